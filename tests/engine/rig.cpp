#include "tests/engine/rig.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cstdio>
#include <utility>

#include "core/sim/ir_encode.hpp"

namespace fettle::engine::testing {

namespace {

bool read_stored(void* owner, std::uint16_t offset, std::uint8_t* to, std::uint8_t count) {
    auto& stored = *static_cast<Stored*>(owner);
    if (stored.is_busy && stored.is_busy()) return false;
    if (offset + std::size_t{count} > stored.image.size()) {
        FAIL_CHECK("read past the end of the image at ", offset);
        return false;
    }
    std::copy_n(stored.image.begin() + offset, count, to);
    return true;
}

std::string hex(unsigned value, int digits) {
    char out[16];
    std::snprintf(out, sizeof out, "%0*X", digits, value);
    return out;
}

void join(std::string& to, const std::string& part, const char* between = " ") {
    if (!to.empty()) to += between;
    to += part;
}

constexpr std::uint32_t k_quiet_end_ms = 6000;  // longer than any debounce, gap, long or double of a test

}  // namespace

Stored::Stored(const Profile& profile) {
    profile.build(setup, image);
    setup.storage = Storage{this, read_stored};
}

Rig::Rig(const Profile& profile, std::uint32_t start_us) : now_us_(start_us) {
    engine.start(EventSink{this, collect});
    loaded_.push_back(std::make_unique<Stored>(profile));
    engine.load(&stored().setup, now_us_, Cause::start, 0, false);
    run(10);
    forget_events();
}

void Rig::collect(void* owner, const Event& event) {
    Rig& rig = *static_cast<Rig*>(owner);
    rig.events.push_back(event);
    if (event.kind == EventKind::fault) ++rig.faults_;
    if (event.kind != EventKind::action) return;
    if (event.data[2] == static_cast<std::uint8_t>(ActionPhase::begin)) ++rig.begun_;
    if (event.data[2] == static_cast<std::uint8_t>(ActionPhase::end)) ++rig.ended_;
}

Rig::~Rig() {
    if (is_end_checked) finish();
}

void Rig::tick() {
    now_us_ += 1000;
    ++ticks_;
    Tick now{};
    while (!pending_.empty() && static_cast<std::int32_t>(pending_.front().at_us - now_us_) <= 0) {
        now.edges.push_back(pending_.front());
        pending_.pop_front();
    }
    now.in.now_us = now_us_;
    now.in.edges = now.edges.data();
    now.in.edge_count = static_cast<std::uint8_t>(now.edges.size());
    std::copy_n(axes, 4, now.in.axes);
    now.in.leds = leds;
    now.in.taken = taken_;
    now.in.commands = static_cast<std::uint8_t>(standing_commands | once_);
    now.in.boot_protocol = boot_protocol;
    once_ = 0;
    engine.tick(now.in, now.out);
    computer.offer(Endpoint::keyboard, now.out.reports[0]);
    computer.offer(Endpoint::pointer, now.out.reports[1]);
    taken_ = computer.poll(ticks_);
    wishes_ = static_cast<std::uint8_t>(wishes_ | now.out.wishes);
    if ((now.out.wishes & k_wish_variant) != 0) wished_variant = now.out.variant;
    if (is_recording) record.push_back(now);
}

void Rig::run(std::uint32_t ms) {
    for (std::uint32_t i = 0; i < ms; ++i) tick();
}

void Rig::edge(std::uint8_t line, bool level, std::uint32_t in_us) {
    const Edge made{now_us_ + in_us, line, static_cast<std::uint8_t>(level ? 1 : 0)};
    const auto later = [&](const Edge& e) { return static_cast<std::int32_t>(e.at_us - made.at_us) > 0; };
    pending_.insert(std::find_if(pending_.begin(), pending_.end(), later), made);
}

void Rig::down(std::uint8_t input) {
    const std::uint32_t code = stored().setup.input(input).code;
    edge(static_cast<std::uint8_t>(code & 0x7F), (code & 0x80) == 0);
}

void Rig::up(std::uint8_t input) {
    const std::uint32_t code = stored().setup.input(input).code;
    edge(static_cast<std::uint8_t>(code & 0x7F), (code & 0x80) != 0);
}

void Rig::press(std::uint8_t input, std::uint32_t for_ms) {
    down(input);
    run(for_ms);
    up(input);
    run(1);
}

std::uint32_t Rig::send(const IrFrame& frame) {
    std::uint32_t at = 100;
    bool is_mark = true;
    for (const std::uint32_t width : sim::encode(frame)) {
        edge(0, is_mark, at);
        at += width;
        is_mark = !is_mark;
    }
    edge(0, false, at);
    return at;
}

void Rig::load(const Profile& profile, Cause cause, bool keep_mode, std::uint8_t variant) {
    loaded_.push_back(std::make_unique<Stored>(profile));
    stored().is_busy = storage_is_busy;
    engine.load(&stored().setup, now_us_, cause, variant, keep_mode);
}

void Rig::command(std::uint8_t bits) {
    once_ = bits;
    run(1);
}

std::string Rig::typed() {
    std::string out;
    for (const Typed& key : take_typed())
        join(out, (key.modifiers != 0 ? hex(key.modifiers, 2) + "+" : "") + hex(key.usage, 2));
    return out;
}

std::string Rig::clicked() {
    std::string out;
    for (const Clicked& click : take_clicks())
        join(out, (click.modifiers != 0 ? hex(click.modifiers, 2) + "+" : "") + hex(click.buttons, 1));
    return out;
}

std::string Rig::played() {
    std::string out;
    for (const Media& media : computer.medias) join(out, hex(media.usage, 4));
    computer.medias.clear();
    return out;
}

std::vector<Typed> Rig::take_typed() {
    return std::exchange(computer.typed, {});
}

std::vector<Clicked> Rig::take_clicks() {
    return std::exchange(computer.clicks, {});
}

std::string Rig::moved() {
    const std::string out = std::to_string(computer.x) + " " + std::to_string(computer.y);
    computer.x = computer.y = 0;
    return out;
}

std::string Rig::scrolled() {
    const std::string out = std::to_string(computer.wheel) + " " + std::to_string(computer.pan);
    computer.wheel = computer.pan = 0;
    return out;
}

std::uint8_t Rig::take_wishes() {
    return std::exchange(wishes_, std::uint8_t{0});
}

std::size_t Rig::count(EventKind kind) const {
    return of(kind).size();
}

std::size_t Rig::count(EventKind kind, std::uint8_t d0, std::uint8_t d1) const {
    const std::vector<Event> found = of(kind);
    return static_cast<std::size_t>(std::count_if(
        found.begin(), found.end(), [&](const Event& e) { return e.data[0] == d0 && e.data[1] == d1; }));
}

std::vector<Event> Rig::of(EventKind kind) const {
    std::vector<Event> out;
    std::copy_if(events.begin(), events.end(), std::back_inserter(out),
                 [&](const Event& e) { return e.kind == kind; });
    return out;
}

std::string Rig::action_story() const {
    static const char* const k_phases[] = {"begin ", "end ", "refused ", "repeat "};
    std::string out;
    for (const Event& e : of(EventKind::action))
        join(out, k_phases[e.data[2]] + std::to_string(e.data[1]), ", ");
    return out;
}

void Rig::finish() {
    is_end_checked = false;
    run(k_quiet_end_ms);
    CHECK_FALSE(engine.holds_anything());
    CHECK_FALSE(computer.holds_anything());
    CHECK_FALSE(computer.is_waiting());
    CHECK_FALSE(computer.was_handed_two);
    CHECK(typed() == "");
    CHECK(clicked() == "");
    CHECK(played() == "");
    CHECK(moved() == "0 0");
    CHECK(scrolled() == "0 0");
    CHECK(int{take_wishes()} == 0);
    CHECK(faults_ == expected_faults);
    CHECK(begun_ == ended_);
}

}  // namespace fettle::engine::testing
