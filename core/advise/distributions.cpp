#include "core/advise/distributions.hpp"

#include <boost/math/distributions/binomial.hpp>
#include <boost/math/distributions/lognormal.hpp>
#include <boost/math/distributions/normal.hpp>
#include <boost/math/distributions/students_t.hpp>
#include <cmath>

namespace fettle::advise {

namespace {

namespace bm = boost::math;

bm::lognormal log_normal_of(double mean, double sd) {
    const double variance = std::log1p(sd * sd / (mean * mean));
    return bm::lognormal(std::log(mean) - variance / 2, std::sqrt(variance));
}

}  // namespace

double share_above(Spread spread, double mean, double sd, double value) {
    if (!(sd > 0)) return value < mean ? 1 : 0;
    switch (spread) {
        case Spread::normal: return bm::cdf(bm::complement(bm::normal(mean, sd), value));
        case Spread::log_normal:
            return value > 0 ? bm::cdf(bm::complement(log_normal_of(mean, sd), value)) : 1;
    }
    return 0;
}

double value_below_share(Spread spread, double mean, double sd, double share) {
    if (!(sd > 0)) return mean;
    switch (spread) {
        case Spread::normal: return bm::quantile(bm::complement(bm::normal(mean, sd), share));
        case Spread::log_normal: return bm::quantile(bm::complement(log_normal_of(mean, sd), share));
    }
    return mean;
}

std::optional<double> mean_half_width(std::size_t count, double sd, double confidence) {
    if (count < 2) return std::nullopt;
    const double n = static_cast<double>(count);
    const double t = bm::quantile(bm::complement(bm::students_t(n - 1), (1 - confidence) / 2));
    return t * sd / std::sqrt(n);
}

std::optional<double> next_above(std::size_t count, double mean, double sd, double value) {
    if (count < 2) return std::nullopt;
    if (!(sd > 0)) return value < mean ? 1 : 0;
    const double n = static_cast<double>(count);
    const double t = (value - mean) / (sd * std::sqrt(1 + 1 / n));
    return bm::cdf(bm::complement(bm::students_t(n - 1), t));
}

CountedShare counted_share(std::size_t hits, std::size_t count, double confidence) {
    CountedShare share{hits, count, 0, 1};
    if (count == 0) return share;
    using Binomial = bm::binomial;
    const double n = static_cast<double>(count), k = static_cast<double>(hits);
    const double tail = (1 - confidence) / 2;
    if (hits > 0) share.low = Binomial::find_lower_bound_on_p(n, k, tail);
    if (hits < count) share.high = Binomial::find_upper_bound_on_p(n, k, tail);
    return share;
}

}  // namespace fettle::advise
