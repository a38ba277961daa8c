#include <doctest/doctest.h>

#include <deque>
#include <random>
#include <vector>

#include "app/ui/scanner.hpp"

namespace fettle::app::ui {
namespace {

constexpr ScanParams k_slow{1000, 1500, 2, false};
const std::vector<int> k_screen{3, 1, 2};  // three groups

ScanStep at(const Scan& scan, ScanEvent event, std::int64_t now_ms, const ScanParams& params = k_slow) {
    return scan_step(scan, event, now_ms, params, k_screen);
}

TEST_CASE("scanner: rests until the switch, then marks group 0 for 1500 ms and each other one for 1000 ms") {
    Scan scan;
    CHECK(at(scan, ScanEvent::time, 90000).next.state == ScanState::resting);
    scan = at(scan, ScanEvent::press, 100).next;
    CHECK(scan.state == ScanState::groups);
    CHECK(at(scan, ScanEvent::time, 1599).next.group == 0);
    scan = at(scan, ScanEvent::time, 1600).next;
    CHECK(scan.group == 1);
    CHECK(at(scan, ScanEvent::time, 2599).next.group == 1);
    CHECK(at(scan, ScanEvent::time, 2600).next.group == 2);
}

TEST_CASE("scanner: begins by itself once when it is to, and rests after 2 rounds all the same") {
    ScanParams params = k_slow;
    params.starts_at_once = true;
    Scan scan = at({}, ScanEvent::time, 0, params).next;
    CHECK(scan.state == ScanState::groups);
    std::int64_t now = 0;
    int marks = 1;
    while (scan.state == ScanState::groups) {
        const Scan next = at(scan, ScanEvent::time, ++now, params).next;
        marks += next.state == ScanState::groups && next.group != scan.group ? 1 : 0;
        scan = next;
    }
    CHECK(marks == 6);  // two rounds of three
    CHECK(now == 2 * (1500 + 1000 + 1000));
    CHECK(at(scan, ScanEvent::time, now + 100000, params).next.state == ScanState::resting);
}

TEST_CASE("scanner: a group of one is worked at once, of three after a second press, 'back' is its fourth") {
    const Scan on_one{ScanState::groups, true, 1, 0, 0, 0};
    const ScanStep worked = at(on_one, ScanEvent::press, 10);
    CHECK(worked.works);
    CHECK(worked.group == 1);
    CHECK(worked.next.state == ScanState::resting);
    Scan scan = at({ScanState::groups, true, 0, 0, 0, 0}, ScanEvent::press, 10).next;
    CHECK(scan.state == ScanState::items);
    for (const std::int64_t now : {1510, 2510, 3510}) scan = at(scan, ScanEvent::time, now).next;
    CHECK(scan.item == 3);
    const ScanStep back = at(scan, ScanEvent::press, 3600);
    CHECK_FALSE(back.works);
    CHECK(back.next.state == ScanState::groups);
    CHECK(back.next.group == 0);
}

TEST_CASE(
    "scanner: what is marked and gone begins anew, a clock that goes back gives the place its time again") {
    const Scan on_item{ScanState::items, true, 2, 1, 1, 5000};
    CHECK(at(on_item, ScanEvent::changed, 6000).next == Scan{ScanState::groups, true, 0, 0, 0, 6000});
    CHECK(at({}, ScanEvent::changed, 6000).next == Scan{});
    CHECK(scan_step(on_item, ScanEvent::press, 6000, k_slow, {}).next.state == ScanState::resting);
    const ScanStep back = at(on_item, ScanEvent::time, 100);
    CHECK(back.next.since_ms == 100);
    CHECK(back.next.item == 1);
}

/// The slow way: writes down every place that will be marked, with its time, and crosses them off.
class Timetable {
public:
    explicit Timetable(ScanParams params) : params_(params) {}
    struct Place {
        ScanState state = ScanState::resting;
        int group = 0, item = 0;
        std::int64_t stay_ms = 0;
    };
    Place now() const { return places_.empty() ? Place{} : places_.front(); }

    /// Gives what is worked: group and item, or -1.
    std::pair<int, int> take(ScanEvent event, std::int64_t now_ms, const std::vector<int>& items) {
        const Place place = now();
        const bool is_gone =
            place.state != ScanState::resting && (place.group >= static_cast<int>(items.size()) ||
                                                  place.item > items[static_cast<std::size_t>(place.group)]);
        if (event == ScanEvent::changed || is_gone) {
            if (place.state != ScanState::resting) write_groups(0, now_ms, items);
            return {-1, -1};
        }
        if (event == ScanEvent::time) pass(now_ms, items);
        return event == ScanEvent::press ? press(now_ms, items) : std::pair{-1, -1};
    }

private:
    void write_groups(int from, std::int64_t now_ms, const std::vector<int>& items) {
        places_.clear();
        has_begun_ = true;
        since_ms_ = now_ms;
        for (int round = 0; round < std::max(1, params_.rounds); ++round)
            for (int g = round == 0 ? from : 0; g < static_cast<int>(items.size()); ++g)
                places_.push_back({ScanState::groups, g, 0, g == 0 ? params_.first_ms : params_.period_ms});
    }
    void write_items(int group, std::int64_t now_ms, int count) {
        places_.clear();
        since_ms_ = now_ms;
        for (int round = 0; round < std::max(1, params_.rounds); ++round)
            for (int i = 0; i <= count; ++i)
                places_.push_back(
                    {ScanState::items, group, i, i == 0 ? params_.first_ms : params_.period_ms});
    }
    void pass(std::int64_t now_ms, const std::vector<int>& items) {
        if (places_.empty()) {
            if (params_.starts_at_once && !has_begun_) write_groups(0, now_ms, items);
            return;
        }
        if (now_ms < since_ms_) {
            since_ms_ = now_ms;
            return;
        }
        if (now_ms - since_ms_ < places_.front().stay_ms) return;
        const Place was = places_.front();
        places_.pop_front();
        since_ms_ = now_ms;
        if (!places_.empty()) return;
        if (was.state == ScanState::items && params_.rounds == 0)
            write_items(was.group, now_ms, items[static_cast<std::size_t>(was.group)]);
        else if (was.state == ScanState::items)
            write_groups(was.group, now_ms, items);
        else if (params_.rounds == 0)
            write_groups(0, now_ms, items);
    }
    std::pair<int, int> press(std::int64_t now_ms, const std::vector<int>& items) {
        const Place place = now();
        if (place.state == ScanState::resting) {
            write_groups(0, now_ms, items);
            return {-1, -1};
        }
        const int count = items[static_cast<std::size_t>(place.group)];
        if (place.state == ScanState::groups && count > 1) {
            write_items(place.group, now_ms, count);
            return {-1, -1};
        }
        if (place.state == ScanState::items && place.item == count) {
            write_groups(place.group, now_ms, items);
            return {-1, -1};
        }
        if (params_.starts_at_once)
            write_groups(0, now_ms, items);
        else
            places_.clear();
        return {place.group, place.state == ScanState::items ? place.item : 0};
    }

    ScanParams params_;
    std::deque<Place> places_;
    std::int64_t since_ms_ = 0;
    bool has_begun_ = false;
};

TEST_CASE("scanner: a million random events mark and work what a written timetable does") {
    std::mt19937 random(7);
    const auto below = [&](int n) { return static_cast<int>(random() % static_cast<unsigned>(n)); };
    int wrong = 0;
    int worked = 0;
    for (int run = 0; run < 1000; ++run) {
        const ScanParams params{400 + below(2000), 400 + below(4000), below(4), below(2) == 0};
        std::vector<int> items{1 + below(5), 1 + below(5), 1 + below(5)};
        Scan scan;
        Timetable slow(params);
        std::int64_t now = 0;
        for (int i = 0; i < 1000; ++i) {
            now += below(20) == 0 ? -below(50) : below(900);
            const int kind = below(10);
            ScanEvent event = kind < 7 ? ScanEvent::time : kind < 9 ? ScanEvent::press : ScanEvent::changed;
            if (event == ScanEvent::changed) {
                std::vector<int> other(static_cast<std::size_t>(1 + below(4)), 1 + below(5));
                const bool is_gone = scan.state != ScanState::resting &&
                                     (static_cast<std::size_t>(scan.group) >= other.size() ||
                                      scan.item > other[static_cast<std::size_t>(scan.group)]);
                // Nobody said so: what is gone is noticed.
                if (is_gone && below(2) == 0) event = ScanEvent::time;
                items = std::move(other);
            }
            const ScanStep step = scan_step(scan, event, now, params, items);
            scan = step.next;
            const auto [group, item] = slow.take(event, now, items);
            const bool same_work = step.works ? step.group == group && step.item == item : group == -1;
            const auto place = slow.now();
            wrong += !same_work || place.state != scan.state || place.group != scan.group ||
                             place.item != scan.item
                         ? 1
                         : 0;
            worked += step.works ? 1 : 0;
        }
    }
    CHECK(wrong == 0);
    CHECK(worked > 10000);
}

}  // namespace
}  // namespace fettle::app::ui
