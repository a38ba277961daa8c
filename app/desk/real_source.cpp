#include "app/desk/real_source.hpp"

#include <utility>

namespace fettle::app {

RealSource::RealSource(link::Discovery::Wish wish, const Clock& clock, std::unique_ptr<SimSource> simulated)
    : simulated_(std::move(simulated)), discovery_(std::move(wish), clock) {}

std::vector<link::Attached> RealSource::found() {
    if (!discovery_.has_looked()) return {};
    auto all = discovery_.sight().devices;
    const auto simulated = simulated_->found();
    all.insert(all.end(), simulated.begin(), simulated.end());
    return all;
}

Result<std::unique_ptr<link::Link>> RealSource::open(const link::Attached& attached) {
    const bool is_real = attached.channel != link::ChannelKind::simulated;
    auto opened = is_real ? discovery_.open(attached) : simulated_->open(attached);
    if (opened) is_real_ = is_real;
    return opened;
}

std::shared_ptr<sim::SimDevice> RealSource::simulated() {
    return is_real_ ? nullptr : simulated_->simulated();
}

}  // namespace fettle::app
