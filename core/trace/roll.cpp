// Appending and reading events. Questions: roll_query.cpp.
#include "core/trace/roll.hpp"

#include <atomic>
#include <limits>
#include <utility>

#include "core/engine/bytes.hpp"
#include "core/trace/record.hpp"
#include "core/trace/roll_parts.hpp"

namespace fettle::trace {

using engine::Event;
using engine::EventKind;
using engine::PressOutcome;

std::uint32_t gap_batches(const Event& event) {
    return engine::get32(event.data);
}

Roll::Parts::Parts() {
    static std::atomic<std::uint64_t> count{0};
    id = ++count;
}

Roll::Roll() : parts_(std::make_unique<Parts>()) {}
Roll::~Roll() = default;

Roll::Roll(Roll&& other) noexcept : parts_(std::exchange(other.parts_, nullptr)) {
    other.parts_ = std::make_unique<Parts>();
}

Roll& Roll::operator=(Roll&& other) noexcept {
    if (this == &other) return *this;
    parts_ = std::exchange(other.parts_, nullptr);
    other.parts_ = std::make_unique<Parts>();
    return *this;
}

void Roll::clear(const RollInfo& info) {
    parts_ = std::make_unique<Parts>();
    parts_->info = info;
    parts_->info.batches_lost = parts_->info.events_lost = 0;
}

const RollInfo& Roll::info() const {
    return parts_->info;
}
std::size_t Roll::size() const {
    return parts_->size;
}
std::int64_t Roll::first_us() const {
    return parts_->first_us;
}
std::int64_t Roll::last_us() const {
    return parts_->end_us;
}

std::int64_t Roll::latest_us() const {
    return parts_->latest_us;
}
std::uint64_t Roll::id() const {
    return parts_->id;
}

void Roll::Parts::keep(std::int64_t at_us, const Event& event) {
    if (size % k_events_a_mark == 0) marks.push({bytes.size(), time_us, size == 0 ? at_us : latest_us});
    std::uint8_t record[k_longest_record_bytes];
    const std::size_t count = put_record(record, at_us - time_us, event);
    for (std::size_t i = 0; i < count; ++i) bytes.push(record[i]);
    if (size == 0) {
        first_us = latest_us = end_us = at_us;
        lanes.begin(at_us);
    }
    ++size;
    time_us = at_us;
    slip_us = std::max(slip_us, latest_us - at_us);
    first_us = std::min(first_us, at_us);
    latest_us = std::max(latest_us, at_us);
    end_us = std::max(end_us, latest_us);
}

void Roll::Parts::note(Wanted wanted, std::int64_t at_us) {
    auto& list = found[static_cast<std::size_t>(wanted)];
    if (!list.is_empty()) at_us = std::max(at_us, list.last().at_us);
    list.push({size - 1, at_us});
}

/// Enters the event that was kept last. gap_us: where telemetry began to be missing, if it tells of that.
void Roll::Parts::index(std::int64_t at_us, const Event& event, std::int64_t gap_us) {
    if (event.kind == EventKind::lost) {
        info.events_lost += engine::get16(event.data);
        lanes.close(gap_us, engine::get16(event.data));
        end_us = std::max(end_us, gap_us);
        note(Wanted::telemetry_lost, gap_us);
    } else if (event.kind == EventKind::ir_lost) {
        note(Wanted::repeat_lost, at_us);
    } else if (event.kind == EventKind::drag_broken) {
        note(Wanted::drag_broken, at_us);
    } else if (event.kind == EventKind::press) {
        const auto outcome = static_cast<PressOutcome>(event.data[1]);
        if (outcome == PressOutcome::hold_limit) note(Wanted::hold_limit, at_us);
        if (outcome >= PressOutcome::too_short && outcome <= PressOutcome::guarded)
            note(Wanted::press_rejected, at_us);
    }
    lanes.take(at_us, event);
}

bool Roll::append(std::int64_t at_us, const Event& event) {
    if (is_gap(event) || kept_bytes(event.kind) == 0) return false;
    at_us = std::clamp(at_us, -k_farthest_us, k_farthest_us);
    const std::int64_t gap_us = parts_->size == 0 ? at_us : parts_->gap_begin_us();
    parts_->keep(at_us, event);
    parts_->index(at_us, event, gap_us);
    return true;
}

void Roll::append_gap(std::uint32_t batches) {
    Event event{};
    engine::put32(event.data, batches);
    const std::int64_t gap_us = parts_->size == 0 ? 0 : parts_->gap_begin_us();
    parts_->keep(gap_us, event);
    parts_->info.batches_lost += batches;
    parts_->lanes.close(gap_us, batches);
    parts_->note(Wanted::telemetry_lost, gap_us);
}

void Roll::extend_to(std::int64_t us) {
    if (!is_empty()) parts_->end_us = std::max(parts_->end_us, std::min(us, k_farthest_us));
}

/// Records are read from one piece: one that lies across two blocks is copied together first.
std::size_t Roll::Parts::read(std::uint64_t byte, std::int64_t& delta_us, Event& event) const {
    const std::size_t left = std::min<std::size_t>(bytes.size() - byte, k_longest_record_bytes);
    if (left <= bytes.piece_size(byte)) return get_record(bytes.piece(byte), left, delta_us, event);
    std::uint8_t record[k_longest_record_bytes];
    for (std::size_t i = 0; i < left; ++i) record[i] = bytes[byte + i];
    return get_record(record, left, delta_us, event);
}

Roll::Walk Roll::walk(std::size_t from_index) const {
    Walk walk;
    walk.parts_ = parts_.get();
    walk.from_us_ = std::numeric_limits<std::int64_t>::min();
    walk.to_us_ = walk.stop_us_ = std::numeric_limits<std::int64_t>::max();
    walk.next_ = std::min(from_index, size());
    if (walk.next_ == size()) return walk;
    const Parts::Mark& mark = parts_->marks[walk.next_ / k_events_a_mark];
    walk.byte_ = mark.byte;
    walk.time_us_ = mark.time_us;
    Event skipped{};
    for (std::size_t i = walk.next_ % k_events_a_mark; i > 0; --i) {
        std::int64_t delta_us = 0;
        walk.byte_ += parts_->read(walk.byte_, delta_us, skipped);
        walk.time_us_ += delta_us;
    }
    return walk;
}

Roll::Walk Roll::walk_between(std::int64_t from_us, std::int64_t to_us) const {
    Walk walk = this->walk(index_at(from_us));
    walk.from_us_ = from_us;
    walk.to_us_ = to_us;
    walk.stop_us_ = to_us >= k_farthest_us ? walk.stop_us_ : to_us + parts_->slip_us;
    return walk;
}

bool Roll::Walk::next(Moment& out) {
    while (parts_ != nullptr && next_ < parts_->size) {
        std::int64_t delta_us = 0;
        byte_ += parts_->read(byte_, delta_us, out.event);
        time_us_ += delta_us;
        index_ = next_++;
        if (time_us_ > stop_us_) break;
        if (time_us_ < from_us_ || time_us_ >= to_us_) continue;
        out.at_us = time_us_;
        out.event.at_us = static_cast<std::uint32_t>(time_us_);
        return true;
    }
    parts_ = nullptr;
    return false;
}

Moment Roll::at(std::size_t index) const {
    Moment moment;
    walk(index).next(moment);
    return moment;
}

/// The last mark before which everything lies before `us`, then event by event.
std::size_t Roll::index_at(std::int64_t us) const {
    if (is_empty() || parts_->latest_us < us) return size();
    std::size_t low = 0, high = parts_->marks.size();
    while (high - low > 1) {
        const std::size_t middle = low + (high - low) / 2;
        if (parts_->marks[middle].latest_us < us)
            low = middle;
        else
            high = middle;
    }
    Walk walk = this->walk(low * k_events_a_mark);
    for (Moment moment; walk.next(moment);)
        if (moment.at_us >= us) return walk.index();
    return size();
}

Roll roll_of(const Recording& recording) {
    Roll roll;
    roll.clear({recording.image_crc, recording.engine_build, recording.has_usages});
    for (const auto& [at_us, event] : recording.moments) roll.append(at_us, event);
    return roll;
}

Recording recording_of(const Roll& roll) {
    Recording recording;
    recording.image_crc = roll.info().image_crc;
    recording.engine_build = roll.info().engine_build;
    recording.has_usages = roll.info().has_usages;
    recording.batches_lost = roll.info().batches_lost;
    Moment moment;
    for (auto walk = roll.walk(); walk.next(moment);)
        if (!is_gap(moment.event)) recording.moments.push_back(moment);
    return recording;
}

}  // namespace fettle::trace
