// Thresholds from prompted breaths: hand-made breaths with the figures that the header's rules give, and
// drawn ones.

#include "core/advise/breath_thresholds.hpp"

#include <doctest/doctest.h>
#include <rapidcheck.h>

#include <algorithm>
#include <cmath>

using namespace fettle;
using namespace fettle::advise;

namespace {

/// 60 samples around the baseline, the furthest 20 away.
std::vector<int> rest(int baseline = 0, int noise = 20) {
    std::vector<int> samples;
    for (int i = 0; i < 60; ++i) samples.push_back(baseline + (i % 3 == 0 ? noise : i % 3 == 1 ? -noise : 0));
    return samples;
}

/// Up, held, down again.
Breath breath(BreathKind kind, int peak, int baseline = 0) {
    const bool is_sip = kind == BreathKind::soft_sip || kind == BreathKind::hard_sip;
    Breath all{kind, {}};
    for (const int tenths : {0, 3, 7, 10, 10, 9, 10, 6, 2, 0})
        all.samples_permille.push_back(baseline + (is_sip ? -1 : 1) * peak * tenths / 10);
    return all;
}

/// Ten: 3 soft and 2 hard each way.
std::vector<Breath> ten(int baseline = 0) {
    std::vector<Breath> all;
    for (const int peak : {220, 260, 300}) {
        all.push_back(breath(BreathKind::soft_sip, peak, baseline));
        all.push_back(breath(BreathKind::soft_puff, peak + 40, baseline));
    }
    for (const int peak : {700, 800}) {
        all.push_back(breath(BreathKind::hard_sip, peak, baseline));
        all.push_back(breath(BreathKind::hard_puff, peak, baseline));
    }
    return all;
}

BreathTrouble puff_trouble(const std::vector<Breath>& breaths, int noise = 20) {
    const auto found = breath_thresholds(rest(0, noise), breaths);
    REQUIRE(found);
    REQUIRE(found->puff);
    CHECK(found->puff->soft.has_value() == (found->puff->trouble == BreathTrouble::none));
    CHECK((found->puff->hard.has_value() && found->puff->trouble != BreathTrouble::none) == false);
    return found->puff->trouble;
}

}  // namespace

TEST_CASE("breaths: soft sips of 220 to 300 over a noise of 20 begin at 120 and end at 70") {
    const auto found = breath_thresholds(rest(), ten());
    REQUIRE(found);
    CHECK(found->baseline_permille == 0);
    CHECK(found->noise_permille == 20);
    CHECK(found->rest.count == 60);
    REQUIRE(found->sip);
    const BreathAdvice& sip = *found->sip;
    CHECK(sip.side == profile::AxisSide::negative);
    CHECK(sip.trouble == BreathTrouble::none);
    REQUIRE((sip.soft && sip.hard));
    // 20 + (220 - 20) / 2 and / 4; held: .9 of 220, 198, is the lowest between the first and last from 120
    // on, but on the way down .6 of it, 132, still is.
    CHECK(*sip.soft == Threshold{120, 70, 50, 100, 132 - 70});
    // 300 + (700 - 300) / 2 and / 4; .7 of 800 and .9 of 700 are held from 500 on.
    CHECK(*sip.hard == Threshold{500, 400, 100, 200, 560 - 400});
}

TEST_CASE("breaths: the figures behind them are 3 soft peaks of 260 +- 40 and 2 hard ones of 750 +- 70.7") {
    const auto found = breath_thresholds(rest(), ten());
    REQUIRE((found && found->sip && found->puff));
    CHECK(found->sip->soft_breaths.peak.count == 3);
    CHECK(found->sip->soft_breaths.peak.mean == doctest::Approx(260));
    CHECK(found->sip->soft_breaths.peak.sd == doctest::Approx(40));
    CHECK(found->sip->soft_breaths.weakest == 220);
    CHECK(found->sip->soft_breaths.strongest == 300);
    CHECK(found->sip->hard_breaths.peak.sd == doctest::Approx(50 * std::sqrt(2)));
    CHECK(found->puff->side == profile::AxisSide::positive);
    CHECK(found->puff->soft->on_permille == 140);
}

// Source: Student's t with 2 degrees of freedom above x: 1/2 - x / (2 sqrt(2 + x^2)); with 1: Cauchy's.
TEST_CASE("breaths: the chances of the next breath follow t with as little as 2 and 3 breaths allow") {
    const auto found = breath_thresholds(rest(), ten());
    REQUIRE((found && found->sip));
    const auto t2 = [](double x) { return .5 - x / (2 * std::sqrt(2 + x * x)); };
    const double scale = 40 * std::sqrt(4 / 3.0);
    CHECK(found->sip->soft_taken_for_hard.value() == doctest::Approx(t2((500 - 260) / scale)));
    CHECK(found->sip->soft_missed.value() == doctest::Approx(t2((260 - 120) / scale)));
    const double hard = (750 - 500) / (50 * std::sqrt(2) * std::sqrt(1.5));
    CHECK(found->sip->hard_taken_for_soft.value() == doctest::Approx(.5 - std::atan(hard) / std::acos(-1.0)));
}

TEST_CASE("breaths: a baseline of 35 moves nothing") {
    const auto level = breath_thresholds(rest(), ten());
    const auto moved = breath_thresholds(rest(35), ten(35));
    REQUIRE((level && moved));
    CHECK(moved->baseline_permille == 35);
    CHECK(moved->sip->soft == level->sip->soft);
    CHECK(moved->sip->hard == level->sip->hard);
    CHECK(moved->puff->soft == level->puff->soft);
    CHECK(moved->puff->hard == level->puff->hard);
}

TEST_CASE("breaths: who only puffs softly gets soft puff thresholds and no others") {
    const std::vector<Breath> soft{breath(BreathKind::soft_puff, 300), breath(BreathKind::soft_puff, 320)};
    const auto found = breath_thresholds(rest(), soft);
    REQUIRE(found);
    CHECK_FALSE(found->sip);
    REQUIRE(found->puff);
    CHECK(found->puff->trouble == BreathTrouble::none);
    CHECK(found->puff->soft);
    CHECK_FALSE(found->puff->hard);
    CHECK_FALSE(found->puff->soft_taken_for_hard);
}

TEST_CASE("breaths: a soft peak of 650 against a hard one of 640, or of 670, is hard like soft") {
    std::vector<Breath> all{breath(BreathKind::soft_puff, 650), breath(BreathKind::soft_puff, 300),
                            breath(BreathKind::hard_puff, 640), breath(BreathKind::hard_puff, 900)};
    CHECK(puff_trouble(all) == BreathTrouble::hard_like_soft);
    all[2] = breath(BreathKind::hard_puff, 670);
    CHECK(puff_trouble(all) == BreathTrouble::hard_like_soft);
    all[2] = {BreathKind::hard_puff, {0, 682, 682, 682, 0}};  // a quarter of the way is 8
    all[3] = {BreathKind::hard_puff, {0, 900, 900, 900, 0}};
    CHECK(puff_trouble(all) == BreathTrouble::none);
}

TEST_CASE("breaths: a peak of 50 is lost in a noise of 20 (a quarter of the way is 7), one of 52 is not") {
    const auto both = [](int peak) {
        return std::vector<Breath>{breath(BreathKind::soft_puff, peak), breath(BreathKind::soft_puff, 300)};
    };
    CHECK(puff_trouble(both(50)) == BreathTrouble::lost_in_noise);
    CHECK(puff_trouble(both(52)) == BreathTrouble::none);
    CHECK(puff_trouble(both(52), 40) == BreathTrouble::lost_in_noise);
}

TEST_CASE("breaths: a puff that falls to 60 in the middle breaks off, softly or hard") {
    std::vector<Breath> all{breath(BreathKind::soft_puff, 300), breath(BreathKind::soft_puff, 320),
                            breath(BreathKind::hard_puff, 800), breath(BreathKind::hard_puff, 850)};
    CHECK(puff_trouble(all) == BreathTrouble::none);
    std::vector<Breath> broken = all;
    broken[0].samples_permille[4] = 60;
    CHECK(puff_trouble(broken) == BreathTrouble::breaks_off);
    broken = all;
    broken[2].samples_permille[4] = 330;  // below hard off, far above soft off
    CHECK(puff_trouble(broken) == BreathTrouble::breaks_off);
}

TEST_CASE("breaths: a hard puff that falls to 10 on its way up breaks off; one of 40 is lost in the noise") {
    std::vector<Breath> all{breath(BreathKind::soft_puff, 300), breath(BreathKind::soft_puff, 320),
                            breath(BreathKind::hard_puff, 800), breath(BreathKind::hard_puff, 850)};
    all[2].samples_permille = {0, 300, 10, 800, 800, 0};
    CHECK(puff_trouble(all) == BreathTrouble::breaks_off);
    all[2] = breath(BreathKind::hard_puff, 40);
    CHECK(puff_trouble(all) == BreathTrouble::lost_in_noise);
}

TEST_CASE("breaths: one of a kind, or one of 2 samples, is too few") {
    const Breath soft = breath(BreathKind::soft_puff, 300), hard = breath(BreathKind::hard_puff, 800);
    CHECK(puff_trouble({soft}) == BreathTrouble::too_few_breaths);
    CHECK(puff_trouble({soft, soft, hard}) == BreathTrouble::too_few_breaths);
    CHECK(puff_trouble({hard, hard}) == BreathTrouble::too_few_breaths);
    CHECK(puff_trouble({soft, soft, Breath{BreathKind::hard_puff, {0, 800}}}) ==
          BreathTrouble::too_few_samples);
    CHECK(puff_trouble({soft, soft, Breath{BreathKind::soft_puff, {}}}) == BreathTrouble::too_few_samples);
}

TEST_CASE("breaths: 49 samples of rest and no breaths at all are refused, 1001 permille is out of range") {
    std::vector<int> few = rest();
    few.resize(49);
    CHECK(breath_thresholds(few, ten()).error().code == Errc::refused);
    CHECK(breath_thresholds(rest(), {}).error().code == Errc::refused);
    std::vector<Breath> wild = ten();
    wild[3].samples_permille[0] = 1001;
    const auto found = breath_thresholds(rest(), wild);
    REQUIRE_FALSE(found);
    CHECK(found.error().code == Errc::out_of_range);
    CHECK(found.error().where == "breaths/3");
    std::vector<int> outside = rest();
    outside[0] = -1001;
    CHECK(breath_thresholds(outside, ten()).error().where == "rest");
}

TEST_CASE("breaths: whatever was breathed, thresholds stand in order with their margins between all peaks") {
    int good = 0;
    CHECK(rc::check("order", [&] {
        std::vector<Breath> all;
        for (int i = 0; i < 3; ++i) {
            all.push_back(breath(BreathKind::soft_puff, *rc::gen::inRange(10, 450)));
            all.push_back(breath(BreathKind::hard_puff, *rc::gen::inRange(350, 1001)));
        }
        const auto found = breath_thresholds(rest(), all);
        RC_ASSERT(found.has_value());
        const BreathAdvice& puff = *found->puff;
        RC_ASSERT(puff.soft.has_value() == (puff.trouble == BreathTrouble::none));
        if (!puff.soft) return;
        ++good;
        RC_ASSERT(found->noise_permille < puff.soft->off_permille);
        RC_ASSERT(puff.soft->off_permille < puff.soft->on_permille);
        RC_ASSERT(puff.soft->on_permille < puff.soft_breaths.weakest);
        RC_ASSERT(puff.soft_breaths.strongest < puff.hard->off_permille);
        RC_ASSERT(puff.hard->off_permille < puff.hard->on_permille);
        RC_ASSERT(puff.hard->on_permille < puff.hard_breaths.weakest);
        for (const Threshold& threshold : {*puff.soft, *puff.hard}) {
            RC_ASSERT(threshold.margin_below_permille >= k_least_step_permille);
            RC_ASSERT(threshold.margin_above_permille >= k_least_step_permille);
            RC_ASSERT(threshold.margin_held_permille >= k_least_step_permille);
        }
    }));
    CHECK(good >= 20);  // of 100 draws
}

TEST_CASE("breaths: sips that mirror puffs get the same thresholds on the other side") {
    int good = 0;
    CHECK(rc::check("mirror", [&] {
        std::vector<Breath> puffs, sips;
        for (int i = 0; i < 4; ++i) {
            const bool is_soft = i < 2;
            const int peak = is_soft ? *rc::gen::inRange(30, 450) : *rc::gen::inRange(400, 1001);
            puffs.push_back(breath(is_soft ? BreathKind::soft_puff : BreathKind::hard_puff, peak));
            sips.push_back(breath(is_soft ? BreathKind::soft_sip : BreathKind::hard_sip, peak));
        }
        const auto puff = breath_thresholds(rest(), puffs)->puff;
        const auto sip = breath_thresholds(rest(), sips)->sip;
        RC_ASSERT(puff->trouble == sip->trouble);
        RC_ASSERT(puff->soft == sip->soft);
        RC_ASSERT(puff->hard == sip->hard);
        RC_ASSERT(puff->soft_missed == sip->soft_missed);
        good += puff->soft.has_value();
    }));
    CHECK(good >= 20);  // of 100 draws
}

TEST_CASE("breaths: samples before and after a breath, at rest, change nothing") {
    std::vector<Breath> padded = ten();
    for (Breath& one : padded) {
        one.samples_permille.insert(one.samples_permille.begin(), {5, -5, 0, 12});
        one.samples_permille.insert(one.samples_permille.end(), {-12, 3});
    }
    const auto plain = breath_thresholds(rest(), ten());
    const auto found = breath_thresholds(rest(), padded);
    REQUIRE((plain && found));
    CHECK(found->sip->soft == plain->sip->soft);
    CHECK(found->sip->hard == plain->sip->hard);
    CHECK(found->puff->soft == plain->puff->soft);
    CHECK(found->puff->hard == plain->puff->hard);
}
