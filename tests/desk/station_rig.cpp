#include "tests/desk/station_rig.hpp"

#include <doctest/doctest.h>

#include <algorithm>

#include "core/wire/message.hpp"

namespace fettle::app::test {

Told answered(Station& station, DeviceClock& clock, DeviceNow& now, Ask what) {
    const auto ticket = station.ask(std::move(what));
    for (int i = 0; i < 20000; ++i) {
        const auto before = clock.ms();
        station.step();
        if (clock.ms() == before) clock.add_ms(1);
        station.fetch(now);
        while (auto told = station.told())
            if (told->ticket == ticket) return *told;
    }
    FAIL("never told");
    return {};
}

namespace {

constexpr std::uint64_t k_late_ms = 20000;
const Unexpected k_closed = fail(Errc::closed, "strange link", "as planned");

class StrangeLink : public link::Link {
public:
    StrangeLink(std::unique_ptr<link::Link> inner, std::shared_ptr<Cable> cable)
        : inner_(std::move(inner)), cable_(std::move(cable)) {}

    Status send(std::span<const std::uint8_t> message) override {
        if (count()) return k_closed;
        return inner_->send(message);
    }
    Result<std::optional<link::Message>> receive(std::uint32_t wait_ms) override {
        if (cable_->ends_ms != 0 && now_ms() >= cable_->ends_ms) cable_->trouble = Trouble::none;
        if (is_closed_ || cable_->trouble == Trouble::close) return k_closed;
        switch (cable_->trouble) {
            case Trouble::stall: return pass(wait_ms);
            case Trouble::garbage: return babble(wait_ms, 1);
            case Trouble::flood: return babble(wait_ms, 40);
            case Trouble::standing:
                return std::optional(
                    link::Message{static_cast<std::uint8_t>(wire::MessageType::telemetry), 0});
            case Trouble::late: return late(wait_ms);
            case Trouble::foreign: return foreign(wait_ms);
            case Trouble::none:
            case Trouble::wrong_id:
            case Trouble::refuse:
            case Trouble::close: break;
        }
        auto got = inner_->receive(wait_ms);
        if (!got || !*got || is_telemetry(**got)) return got;
        if (count()) return k_closed;
        if (cable_->trouble == Trouble::wrong_id) (**got)[1] = static_cast<std::uint8_t>((**got)[1] + 7);
        return got;
    }
    std::uint64_t now_ms() const override { return inner_->now_ms(); }
    std::uint64_t now_us() const override { return inner_->now_us(); }
    link::ChannelKind channel() const override { return inner_->channel(); }

private:
    static bool is_telemetry(const link::Message& m) {
        return m[0] == static_cast<std::uint8_t>(wire::MessageType::telemetry);
    }
    bool count() {
        if (++cable_->messages == cable_->close_at || cable_->trouble == Trouble::close) is_closed_ = true;
        return is_closed_;
    }
    /// Time goes on, and what comes is thrown away.
    Result<std::optional<link::Message>> pass(std::uint32_t wait_ms) {
        for (const auto until = now_ms() + wait_ms; now_ms() < until;) {
            auto got = inner_->receive(1);
            if (!got) return got;
        }
        return std::optional<link::Message>{};
    }
    Result<std::optional<link::Message>> babble(std::uint32_t wait_ms, int each_ms) {
        if (++babbled_ % each_ms == 0) {
            if (wait_ms == 0) return std::optional<link::Message>{};
            auto passed = pass(1);
            if (!passed) return passed;
        }
        return std::optional(random_message());
    }
    Result<std::optional<link::Message>> foreign(std::uint32_t wait_ms) {
        auto passed = pass(wait_ms == 0 ? 0 : 1);
        if (!passed || wait_ms == 0) return passed;
        link::Message m(wire::k_message_head + wire::k_telemetry_head);
        m[0] = static_cast<std::uint8_t>(wire::MessageType::telemetry);
        engine::put16(m.data() + 2, 999);  // boot id
        engine::put16(m.data() + 4, sequence_++);
        for (const int byte : {0, 0, static_cast<int>(engine::EventKind::mode), 1, 0})
            m.push_back(static_cast<std::uint8_t>(byte));
        return std::optional(std::move(m));
    }
    link::Message random_message() {
        link::Message m(2 + random_() % 61);
        for (auto& byte : m) byte = static_cast<std::uint8_t>(random_());
        return m;
    }
    Result<std::optional<link::Message>> late(std::uint32_t wait_ms) {
        const auto until = now_ms() + wait_ms;
        do {
            if (!late_.empty() && late_.front().first <= now_ms()) {
                auto message = std::move(late_.front().second);
                late_.pop_front();
                return std::optional(std::move(message));
            }
            auto got = inner_->receive(now_ms() < until ? 1 : 0);
            if (!got) return got;
            if (*got) late_.emplace_back(now_ms() + k_late_ms, std::move(**got));
        } while (now_ms() < until);
        return std::optional<link::Message>{};
    }

    std::unique_ptr<link::Link> inner_;
    std::shared_ptr<Cable> cable_;
    std::deque<std::pair<std::uint64_t, link::Message>> late_;
    std::mt19937 random_{5};
    int babbled_ = 0;
    std::uint16_t sequence_ = 0;
    bool is_closed_ = false;
};

}  // namespace

std::string name_of(Trouble trouble) {
    switch (trouble) {
        case Trouble::none: return "none";
        case Trouble::refuse: return "refuse";
        case Trouble::stall: return "stall";
        case Trouble::garbage: return "garbage";
        case Trouble::flood: return "flood";
        case Trouble::standing: return "standing";
        case Trouble::wrong_id: return "wrong_id";
        case Trouble::late: return "late";
        case Trouble::foreign: return "foreign";
        case Trouble::close: return "close";
    }
    return "?";
}

std::vector<link::Attached> StrangeSource::found() {
    if (!cable->is_attached || !device_->is_plugged()) return {};
    const auto kind = is_real ? link::ChannelKind::hid : link::ChannelKind::simulated;
    return {{kind, is_real ? "/dev/strange" : "sim", "SIM00001", "strange device"}};
}

Result<std::unique_ptr<link::Link>> StrangeSource::open(const link::Attached& attached) {
    ++cable->opened;
    if (cable->trouble == Trouble::refuse) return fail(Errc::denied, attached.path, "as planned");
    if (!cable->is_attached || !device_->is_plugged()) return fail(Errc::not_found, attached.path);
    return std::unique_ptr<link::Link>(
        std::make_unique<StrangeLink>(std::make_unique<link::MemoryLink>(device_, way), cable));
}

Rig::Rig(std::shared_ptr<sim::SimDevice> with)
    : device(std::move(with)), clock(device), source(device), station(source, clock) {}

void Rig::step() {
    const auto before = clock.ms();
    station.step();
    if (clock.ms() == before) clock.add_ms(1);
    station.fetch(now);
    while (auto told = station.told()) tolds.push_back(std::move(*told));
    while (auto one = station.hear()) heard.push_back(*one);
}

void Rig::run_ms(std::int64_t ms) {
    for (const auto end = clock.ms() + ms; clock.ms() < end;) step();
}

const Told* Rig::told(std::uint32_t ticket) const {
    const auto at =
        std::find_if(tolds.begin(), tolds.end(), [&](const Told& t) { return t.ticket == ticket; });
    return at == tolds.end() ? nullptr : &*at;
}

Told Rig::answer(Ask what) {
    const std::size_t index = what.index();
    const auto ticket = station.ask(std::move(what));
    REQUIRE(run_until([&] { return told(ticket) != nullptr; }, 30000));
    CHECK(told(ticket)->index == index);
    CHECK(std::count_if(tolds.begin(), tolds.end(), [&](const Told& t) { return t.ticket == ticket; }) == 1);
    return *told(ticket);
}

void Rig::go_live(const std::string& path) {
    const Told told = answer(ask::Connect{path});
    REQUIRE_FALSE(told.error.has_value());
    step();
    REQUIRE(now.state == LinkState::live);
}

void Rig::check_ends_released() {
    station.stop();
    device->pull_cable();
    device->advance_ms(5);
    CHECK_FALSE(device->host().view().holds_anything());
    fettle::test::check_ends_released(*device);
}

}  // namespace fettle::app::test
