#include "app/ui/scanner.hpp"

namespace fettle::app::ui {

namespace {

Scan resting(const Scan& scan) {
    Scan next;
    next.has_begun = scan.has_begun;
    return next;
}

Scan in_groups(int group, std::int64_t now_ms) {
    return {ScanState::groups, true, group, 0, 0, now_ms};
}

bool is_first(const Scan& scan) {
    return scan.state == ScanState::groups ? scan.group == 0 : scan.item == 0;
}

std::int64_t stay_ms(const Scan& scan, const ScanParams& params) {
    return is_first(scan) ? params.first_ms : params.period_ms;
}

bool is_used_up(const Scan& scan, const ScanParams& params) {
    return params.rounds > 0 && scan.round + 1 >= params.rounds;
}

Scan next_group(Scan scan, std::int64_t now_ms, const ScanParams& params, int groups) {
    scan.since_ms = now_ms;
    if (++scan.group < groups) return scan;
    if (is_used_up(scan, params)) return resting(scan);
    scan.group = 0;
    ++scan.round;
    return scan;
}

Scan next_item(Scan scan, std::int64_t now_ms, const ScanParams& params, int items) {
    scan.since_ms = now_ms;
    if (++scan.item <= items) return scan;
    if (is_used_up(scan, params)) return in_groups(scan.group, now_ms);
    scan.item = 0;
    ++scan.round;
    return scan;
}

Scan on_time(const Scan& scan, std::int64_t now_ms, const ScanParams& params, std::span<const int> items) {
    if (scan.state == ScanState::resting)
        return params.starts_at_once && !scan.has_begun ? in_groups(0, now_ms) : scan;
    if (now_ms < scan.since_ms) {
        Scan anew = scan;
        anew.since_ms = now_ms;
        return anew;
    }
    if (now_ms - scan.since_ms < stay_ms(scan, params)) return scan;
    if (scan.state == ScanState::groups)
        return next_group(scan, now_ms, params, static_cast<int>(items.size()));
    return next_item(scan, now_ms, params, items[static_cast<std::size_t>(scan.group)]);
}

ScanStep works(const Scan& scan, std::int64_t now_ms, const ScanParams& params) {
    return {params.starts_at_once ? in_groups(0, now_ms) : resting(scan), true, scan.group, scan.item};
}

ScanStep on_press(const Scan& scan, std::int64_t now_ms, const ScanParams& params,
                  std::span<const int> items) {
    switch (scan.state) {
        case ScanState::resting: return {in_groups(0, now_ms)};
        case ScanState::groups:
            if (items[static_cast<std::size_t>(scan.group)] == 1) return works(scan, now_ms, params);
            return {Scan{ScanState::items, true, scan.group, 0, 0, now_ms}};
        case ScanState::items:
            if (scan.item >= items[static_cast<std::size_t>(scan.group)])
                return {in_groups(scan.group, now_ms)};
            return works(scan, now_ms, params);
    }
    return {scan};
}

/// What is marked exists.
bool fits(const Scan& scan, std::span<const int> items) {
    if (scan.state == ScanState::resting) return true;
    if (scan.group < 0 || static_cast<std::size_t>(scan.group) >= items.size()) return false;
    return scan.item >= 0 && scan.item <= items[static_cast<std::size_t>(scan.group)];
}

}  // namespace

ScanStep scan_step(const Scan& scan, ScanEvent event, std::int64_t now_ms, const ScanParams& params,
                   std::span<const int> items) {
    if (items.empty()) return {resting(scan)};
    const bool is_lost = event == ScanEvent::changed || !fits(scan, items);
    if (is_lost) return {scan.state == ScanState::resting ? scan : in_groups(0, now_ms)};
    switch (event) {
        case ScanEvent::time: return {on_time(scan, now_ms, params, items)};
        case ScanEvent::press: return on_press(scan, now_ms, params, items);
        case ScanEvent::changed: break;
    }
    return {scan};
}

std::optional<std::int64_t> scan_due_ms(const Scan& scan, const ScanParams& params) {
    if (scan.state == ScanState::resting) return std::nullopt;
    return scan.since_ms + stay_ms(scan, params);
}

}  // namespace fettle::app::ui
