#include "tests/engine/output_rig.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cstdio>

namespace fettle::engine {

void Host::note(uint32_t now_ms, Seen::What what, int code) {
    const Seen one{now_ms, what, code, modifiers};
    if (at_edge) at_edge(one);
    seen.push_back(one);
}

void Host::read_keyboard(uint32_t now_ms, const Report& report) {
    keyboard_reports.push_back(report);
    modifiers = report.bytes[0];
    if (report.bytes[2] == k_error_roll_over) {  // the keys are unknown: what was known stays
        ++rolled_over;
        return;
    }
    std::vector<uint8_t> now;
    for (int i = 2; i < 8; ++i) {
        if (report.bytes[i] != 0) now.push_back(report.bytes[i]);
    }
    const std::vector<uint8_t> before = keys;
    keys = now;
    for (uint8_t key : before) {
        if (std::find(now.begin(), now.end(), key) == now.end()) note(now_ms, Seen::key_up, key);
    }
    for (uint8_t key : now) {
        if (std::find(before.begin(), before.end(), key) == before.end()) note(now_ms, Seen::key_down, key);
    }
}

void Host::read_pointer(uint32_t now_ms, const Report& report, bool is_boot) {
    pointer_reports.push_back(report);
    const uint8_t* b = report.bytes;
    if (!is_boot && b[0] == k_consumer_report_id) {
        const uint16_t usage = get16(b + 1);
        if (usage == consumer) return;
        if (consumer != 0) note(now_ms, Seen::consumer_up, consumer);
        consumer = usage;
        if (usage != 0) note(now_ms, Seen::consumer_down, usage);
        return;
    }
    const uint8_t now = is_boot ? b[0] : b[1];
    for (int i = 0; i < 8; ++i) {
        const uint8_t bit = static_cast<uint8_t>(1 << i);
        if (((now ^ buttons) & bit) != 0) {
            note(now_ms, (now & bit) != 0 ? Seen::button_down : Seen::button_up, i);
        }
    }
    buttons = now;
    if (is_boot) {
        x += static_cast<int8_t>(b[1]);
        y += static_cast<int8_t>(b[2]);
        return;
    }
    x += static_cast<int16_t>(get16(b + 2));
    y += static_cast<int16_t>(get16(b + 4));
    wheel += static_cast<int8_t>(b[6]);
    pan += static_cast<int8_t>(b[7]);
    if (b[6] != 0) note(now_ms, Seen::wheel, static_cast<int8_t>(b[6]));
    if (b[7] != 0) note(now_ms, Seen::pan, static_cast<int8_t>(b[7]));
}

bool Host::is_all_up() const {
    return modifiers == 0 && buttons == 0 && consumer == 0 && keys.empty();
}

std::vector<Seen> Host::only(Seen::What what) const {
    std::vector<Seen> some;
    std::copy_if(seen.begin(), seen.end(), std::back_inserter(some),
                 [what](const Seen& s) { return s.what == what; });
    return some;
}

std::vector<int> Host::downs(Seen::What what) const {
    std::vector<int> codes;
    for (const Seen& s : only(what)) codes.push_back(s.code);
    return codes;
}

std::string Host::story() const {
    static const char* const k_names[] = {"k%02x+", "k%02x-", "b%d+", "b%d-", "c%x+", "c%x-", "w%d", "p%d"};
    std::string all;
    for (const Seen& s : seen) {
        char text[40];
        std::snprintf(text, sizeof text, k_names[s.what], static_cast<unsigned>(s.code));
        if (!all.empty()) all += ' ';
        all += text;
        if (s.mods != 0) {
            std::snprintf(text, sizeof text, "/%02x", s.mods);
            all += text;
        }
    }
    return all;
}

Rig::Rig() : sink_{this, [](void* owner, const Event& e) { static_cast<Rig*>(owner)->events.push_back(e); }} {
    out.reset();
    is_polled = [](Endpoint, uint32_t) { return true; };
}

Rig::~Rig() {
    if (!is_finished_) finish();
}

void Rig::poll(Endpoint endpoint) {
    const auto i = static_cast<size_t>(endpoint);
    if (!is_full_[i] || !is_polled(endpoint, now_ms_)) return;
    is_full_[i] = false;
    taken_ = static_cast<uint8_t>(taken_ | (1u << i));
    if (endpoint == Endpoint::keyboard) host.read_keyboard(now_ms_, buffer_[i]);
    if (endpoint == Endpoint::pointer) host.read_pointer(now_ms_, buffer_[i], is_buffer_boot_);
}

void Rig::tick(uint8_t commands) {
    ++now_ms_;
    // A sleeping host polls nothing.
    if (((commands | steady_commands) & k_command_suspended) == 0) {
        poll(reads_pointer_first ? Endpoint::pointer : Endpoint::keyboard);
        poll(reads_pointer_first ? Endpoint::keyboard : Endpoint::pointer);
    }
    if ((commands & k_command_cable_lost) != 0) {
        is_full_[0] = is_full_[1] = false;
        taken_ = 0;
        host.modifiers = host.buttons = 0;  // a host that loses a device lets go what it held
        host.consumer = 0;
        host.keys.clear();
    }
    TickInputs in{};
    in.now_us = now_ms_ * 1000;
    in.taken = taken_;
    in.commands = static_cast<uint8_t>(commands | steady_commands);
    in.boot_protocol = boot_protocol;
    taken_ = 0;
    TickOutputs made;
    out.tick(in, made, sink_);
    for (size_t i = 0; i < 2; ++i) {
        if (made.reports[i].size == 0) continue;
        CHECK_FALSE(is_full_[i]);  // never two reports in flight on one endpoint
        is_full_[i] = true;
        buffer_[i] = made.reports[i];
        handed[i].push_back({now_ms_, made.reports[i]});
        if (i == 1) is_buffer_boot_ = (boot_protocol & k_taken_pointer) != 0;
    }
}

void Rig::run(uint32_t ms) {
    for (uint32_t i = 0; i < ms; ++i) tick();
}

void Rig::settle() {
    for (int i = 0; i < 5000 && (out.is_busy() || is_full_[0] || is_full_[1]); ++i) tick();
    CHECK_FALSE(out.is_busy());
    run(4);
}

std::vector<Event> Rig::events_of(EventKind kind) const {
    std::vector<Event> some;
    std::copy_if(events.begin(), events.end(), std::back_inserter(some),
                 [kind](const Event& e) { return e.kind == kind; });
    return some;
}

void Rig::finish() {
    is_finished_ = true;
    steady_commands = 0;
    boot_protocol = 0;
    is_polled = [](Endpoint, uint32_t) { return true; };
    for (int source = 0; source < 254; ++source) out.let_go(static_cast<uint8_t>(source));
    const HeldState left = out.held();
    if (left.locked != 0) out.latch(LatchStyle::lock, left.locked);
    if (left.dragged != 0) out.drag(left.dragged);
    run(3000);
    CAPTURE(host.story());
    CHECK(host.is_all_up());
    CHECK_FALSE(out.holds_anything());
    CHECK_FALSE(out.is_busy());
    CHECK(events_of(EventKind::fault).empty());
    if (!host.keyboard_reports.empty()) {
        for (int i = 0; i < 8; ++i) CHECK(host.keyboard_reports.back().bytes[i] == 0);
    }
    const size_t reports = handed[0].size() + handed[1].size();
    run(50);
    CHECK(handed[0].size() + handed[1].size() == reports);  // nothing more comes out
}

}  // namespace fettle::engine
