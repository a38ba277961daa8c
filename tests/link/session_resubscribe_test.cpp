// Telemetry goes on by itself after gaps and after changes of the channel, and every lost batch is counted.

#include <doctest/doctest.h>
#include <rapidcheck.h>

#include <algorithm>

#include "core/engine/report.hpp"
#include "tests/link/paired_rig.hpp"
#include "tests/link/scripted_link.hpp"

using namespace fettle;
using namespace fettle::test;
using engine::EventKind;
using link::Session;
using link::TimedEvent;
using wire::MessageType;

namespace {

constexpr link::Limits k_quick{100, 400, 3, 1500};

bool is(const link::Message& m, MessageType type) {
    return m[0] == static_cast<std::uint8_t>(type);
}

/// What a link did to telemetry, and what was asked over it.
struct Hole {
    std::function<bool(std::uint32_t nth)> eats = [](std::uint32_t) { return false; };
    std::uint32_t batches = 0, eaten = 0;
    std::vector<std::uint8_t> subscribes;  ///< flags
    int depth = 0, deepest = 0;            ///< of calls
};

/// A link that loses the telemetry that a test wants lost.
class HoleLink : public link::Link {
public:
    HoleLink(std::unique_ptr<link::Link> inner, Hole& hole) : inner_(std::move(inner)), hole_(hole) {}
    Status send(std::span<const std::uint8_t> message) override {
        const Deeper deeper(hole_);
        if (message[0] == static_cast<std::uint8_t>(MessageType::subscribe))
            hole_.subscribes.push_back(message[wire::k_message_head]);
        return inner_->send(message);
    }
    Result<std::optional<link::Message>> receive(std::uint32_t wait_ms) override {
        const Deeper deeper(hole_);
        for (const auto until = now_ms() + wait_ms;;) {
            const auto now = now_ms();
            auto got = inner_->receive(now < until ? static_cast<std::uint32_t>(until - now) : 0);
            if (!got || !*got || !is(**got, MessageType::telemetry)) return got;
            if (!hole_.eats(hole_.batches++)) return got;
            ++hole_.eaten;
            if (now_ms() >= until) return std::optional<link::Message>{};
        }
    }
    std::uint64_t now_ms() const override { return inner_->now_ms(); }
    std::uint64_t now_us() const override { return inner_->now_us(); }
    link::ChannelKind channel() const override { return inner_->channel(); }
    std::uint32_t changeovers() const override { return inner_->changeovers(); }
    bool change_over() override { return inner_->change_over(); }

private:
    struct Deeper {
        explicit Deeper(Hole& hole) : its(hole) { its.deepest = std::max(its.deepest, ++its.depth); }
        ~Deeper() { --its.depth; }
        Hole& its;
    };
    std::unique_ptr<link::Link> inner_;
    Hole& hole_;
};

/// A paired device with a hole in its first channel, subscribed to; its switches are pressed all the time.
struct Subscribed {
    std::shared_ptr<sim::SimDevice> device = kept_device();
    Hole hole;
    FaultyLink* first = nullptr;
    std::unique_ptr<Session> session;
    std::vector<EventKind> kinds;

    Subscribed() {
        auto faulty =
            std::make_unique<FaultyLink>(std::make_unique<link::MemoryLink>(device, Way::hid), Plan{});
        first = faulty.get();
        auto opened = Session::open(
            std::make_unique<link::PairedLink>(std::make_unique<HoleLink>(std::move(faulty), hole),
                                               std::make_unique<link::MemoryLink>(device, Way::serial)),
            k_quick);
        REQUIRE(opened.has_value());
        session = std::move(*opened);
        REQUIRE(subscribe(true).has_value());
        hole.subscribes.clear();
    }
    Status subscribe(bool usages) {
        return session->subscribe(usages, true,
                                  [this](const TimedEvent& e) { kinds.push_back(e.event.kind); });
    }
    const link::TelemetryCounts& counts() const { return session->telemetry(); }
    void press_for_ms(std::uint32_t ms) {
        for (std::uint32_t done = 0; done < ms; done += 100) {
            device->hands().press_switch(1, device->now_us() + 2000, 40);
            REQUIRE(session->listen(100).has_value());
        }
    }
    /// How many batches the device made, as it numbers them itself; ends the session.
    std::uint32_t batches_made() {
        REQUIRE(session->listen(50).has_value());
        session.reset();
        link::MemoryLink raw(device, Way::hid);
        std::uint8_t message[wire::k_message_max];
        const auto size = wire::put_byte_request(message, MessageType::subscribe, 200, 0);
        REQUIRE(raw.send(std::span(message, size)).has_value());
        for (int i = 0; i < 100; ++i) {
            const auto got = raw.receive(10);
            REQUIRE(got.has_value());
            wire::SubscribeReply reply{};
            if (!*got || (**got)[0] != wire::reply_type(MessageType::subscribe)) continue;
            REQUIRE(wire::get_subscribe((**got).data() + 2, static_cast<std::uint8_t>((**got).size() - 2),
                                        reply));
            return reply.next_sequence;
        }
        FAIL("no answer");
        return 0;
    }
};

}  // namespace

TEST_CASE(
    "resubscribe: 5 lost batches are 5 lost batches, and a full snapshot follows within 300 ms, unasked for "
    "by the caller") {
    Subscribed s;
    s.press_for_ms(1000);
    CHECK(s.counts().batches_lost == 0);
    CHECK(s.counts().resubscribed == 0);
    const auto from = s.hole.batches;
    s.device->hands().press_switch(1, s.device->now_us() + 2000, 40);
    s.hole.eats = [from](std::uint32_t nth) { return nth >= from && nth < from + 5; };
    s.kinds.clear();
    while (s.hole.eaten < 5) REQUIRE(s.session->listen(1).has_value());
    s.press_for_ms(300);
    CHECK(std::count(s.kinds.begin(), s.kinds.end(), EventKind::snapshot) >= 1);
    CHECK(s.counts().batches_lost == 5);
    CHECK(s.counts().resubscribed == 1);
    s.press_for_ms(3000);
    CHECK(s.counts().resubscribed == 1);
    CHECK(s.hole.subscribes == std::vector<std::uint8_t>{3});  // usages and edges, as they were
    CHECK(s.counts().cuts == 0);
    const auto heard = s.counts();
    CHECK(s.batches_made() == heard.batches + heard.batches_lost);
    check_ends_released(*s.device);
}

TEST_CASE("resubscribe: every third batch lost for 10 s is asked for anew 4 times a second at most") {
    Subscribed s;
    s.hole.eats = [](std::uint32_t nth) { return nth % 3 == 0; };
    s.press_for_ms(10000);
    CHECK(s.hole.subscribes.size() >= 20);
    CHECK(s.hole.subscribes.size() <= 41);
    CHECK(s.hole.eaten > 100);
    s.hole.eats = [](std::uint32_t) { return false; };
    s.press_for_ms(1000);
    CHECK(s.counts().batches_lost == s.hole.eaten);
    const auto heard = s.counts();
    CHECK(s.batches_made() == heard.batches + heard.batches_lost);
    check_ends_released(*s.device);
}

TEST_CASE(
    "resubscribe: over a channel that dies, in 3 ways, telemetry goes on with a snapshot, and every batch is "
    "heard or lost") {
    for (const Plan& plan :
         {Plan{Harm::close, 1, false}, Plan{Harm::io, 2, false}, Plan{Harm::drop, 2, true}}) {
        CAPTURE(static_cast<int>(plan.harm));
        Subscribed s;
        s.press_for_ms(1000);
        s.hole.eats = [](std::uint32_t) { return true; };
        s.press_for_ms(300);
        s.hole.eats = [](std::uint32_t) { return false; };
        CHECK(s.hole.eaten > 3);
        s.kinds.clear();
        s.first->set_plan(plan);
        REQUIRE(s.session->info().has_value());
        CHECK(s.session->link().changeovers() == 1);
        const auto before_cut = s.kinds.size();
        s.press_for_ms(500);
        REQUIRE(s.kinds.size() > before_cut);
        CHECK(s.kinds[before_cut] == EventKind::snapshot);
        CHECK(s.counts().cuts == 1);
        CHECK(s.counts().resubscribed >= 1);
        CHECK(s.counts().resubscribed <= 2);  // a gap that was seen just before, and the cut
        s.press_for_ms(3000);
        CHECK(s.counts().resubscribed <= 2);
        CHECK(s.counts().boots == 0);
        CHECK(s.counts().garbled == 0);
        CHECK(s.counts().batches_lost >= s.hole.eaten);
        const auto heard = s.counts();
        CHECK(s.batches_made() == heard.batches + heard.batches_lost);
        check_ends_released(*s.device);
    }
}

TEST_CASE(
    "resubscribe: a push over a channel with holes that then closes completes, telemetry after it too") {
    for (int at = 1; at < 20; ++at) {
        CAPTURE(at);
        Subscribed s;
        s.hole.eats = [](std::uint32_t nth) { return nth % 2 == 0; };
        s.press_for_ms(300);
        s.first->set_plan({Harm::close, at, false});
        REQUIRE(s.session->push(plain_image(2), 30).has_value());
        CHECK(runs(*s.device) == crc_of(plain_image(2)));
        CHECK(s.hole.deepest == 1);
        s.kinds.clear();
        s.press_for_ms(1500);
        CHECK(std::count(s.kinds.begin(), s.kinds.end(), EventKind::snapshot) >= 1);
        const auto heard = s.counts();
        CHECK(s.batches_made() == heard.batches + heard.batches_lost);
        check_ends_released(*s.device);
    }
}

TEST_CASE("resubscribe: consent that was taken back is not given again by a gap, whenever it was seen") {
    for (std::uint32_t ms = 0; ms < 40; ++ms) {
        Subscribed s;
        s.press_for_ms(300);
        s.hole.eats = [](std::uint32_t nth) { return nth % 2 == 0; };
        for (std::uint32_t done = 0; done < 200 + ms; ++done) REQUIRE(s.session->listen(1).has_value());
        REQUIRE(s.subscribe(false).has_value());
        s.press_for_ms(1000);
        CHECK(s.hole.subscribes.back() == wire::k_subscribe_edges);
        const auto taken =
            std::find(s.hole.subscribes.begin(), s.hole.subscribes.end(), wire::k_subscribe_edges);
        CHECK(std::count(taken, s.hole.subscribes.end(), 3) == 0);
        check_ends_released(*s.device);
    }
}

TEST_CASE("resubscribe: a gap that is seen while consent is being taken back asks with the new flags only") {
    std::vector<std::uint8_t> asked;
    std::uint8_t sequence = 0;
    auto made = std::make_unique<ScriptedLink>([&](const link::Message& m, auto& answers) {
        if (is(m, MessageType::hello)) return answers.push_back(hello_reply(m[1]));
        if (!is(m, MessageType::subscribe)) return;
        asked.push_back(m[wire::k_message_head]);
        for (int gap = 0; gap < 3; ++gap) {  // on their way before the answer
            sequence = static_cast<std::uint8_t>(sequence + 2);
            answers.push_back({0x40, 0, 7, 0, sequence, 0, 0, 0, 0, 0});
        }
        std::uint8_t raw[wire::k_message_max];
        const auto size = wire::put_subscribe(raw, m[1], {7, static_cast<std::uint16_t>(sequence + 1)});
        answers.emplace_back(raw, raw + size);
    });
    auto session = Session::open(std::move(made));
    REQUIRE(session.has_value());
    REQUIRE((*session)->subscribe(true, true, {}).has_value());
    asked.clear();
    REQUIRE((*session)->subscribe(false, true, {}).has_value());
    REQUIRE((*session)->listen(600).has_value());
    REQUIRE_FALSE(asked.empty());
    for (const auto flags : asked) CHECK(flags == wire::k_subscribe_edges);
}

TEST_CASE("resubscribe: unsubscribed, neither a gap nor another channel subscribes again") {
    Subscribed s;
    s.press_for_ms(300);
    s.hole.eats = [](std::uint32_t nth) { return nth % 2 == 0; };
    s.press_for_ms(100);
    REQUIRE(s.session->unsubscribe().has_value());
    const auto asked = s.hole.subscribes.size();
    s.first->set_plan({Harm::close, 1, false});
    REQUIRE(s.session->info().has_value());
    const auto heard = s.kinds.size();
    s.press_for_ms(2000);
    CHECK(s.hole.subscribes.size() == asked);
    CHECK(s.kinds.size() == heard);
    CHECK(s.counts().cuts == 0);
    check_ends_released(*s.device);
}

TEST_CASE("resubscribe: a device that does not answer it is asked twice a second, with an error 4 times") {
    for (const bool is_error : {false, true}) {
        int subscribes = 0;
        auto made = std::make_unique<ScriptedLink>([&](const link::Message& m, auto& answers) {
            std::uint8_t raw[wire::k_message_max];
            std::uint8_t size = 0;
            if (is(m, MessageType::hello)) return answers.push_back(hello_reply(m[1]));
            if (!is(m, MessageType::subscribe)) return;
            if (++subscribes == 1)
                size = wire::put_subscribe(raw, m[1], {7, 0});
            else if (is_error)
                size = wire::put_error(raw, m[1], {m[0], wire::WireError::busy, {0, 0}});
            else
                return;
            answers.emplace_back(raw, raw + size);
        });
        ScriptedLink* const link = made.get();
        auto session = Session::open(std::move(made));
        REQUIRE(session.has_value());
        REQUIRE((*session)->subscribe(false, false, {}).has_value());
        for (const std::uint8_t sequence : std::initializer_list<std::uint8_t>{0, 2}) {  // batch 1 is missing
            link->answers().push_back({0x40, 0, 7, 0, sequence, 0, 0, 0, 0, 0});
            REQUIRE((*session)->listen(1).has_value());
        }
        REQUIRE((*session)->listen(10000).has_value());
        CHECK((*session)->telemetry().batches_lost == 1);
        CHECK(subscribes - 1 >= (is_error ? 38 : 19));
        CHECK(subscribes - 1 <= (is_error ? 42 : 21));
    }
}

TEST_CASE("resubscribe: whatever is lost and whenever the channel closes, each batch is heard or counted") {
    CHECK(rc::check([](const std::vector<bool>& losses, std::uint8_t close_at) {
        Subscribed s;
        s.hole.eats = [&](std::uint32_t nth) { return nth < losses.size() && losses[nth]; };
        s.first->set_plan({Harm::close, 1 + close_at % 12, false});
        for (int round = 0; round < 6; ++round) {
            s.press_for_ms(200);
            RC_ASSERT(s.session->ping().has_value());
        }
        s.press_for_ms(1000);
        const auto heard = s.counts();
        RC_ASSERT(heard.repeated == 0u);
        RC_ASSERT(s.batches_made() == heard.batches + heard.batches_lost);
    }));
}
