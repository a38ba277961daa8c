#include "core/link/session.hpp"
#include "core/trace/roll.hpp"
#include "tests/fuzz/tape_link.hpp"
#include "tests/link/scripted_link.hpp"

namespace fettle::fuzz {

namespace {

/// What is subscribed to before the tape begins.
Bytes opening() {
    const link::Message hello = test::hello_reply(0);
    Bytes steps = {static_cast<std::uint8_t>(Answer::reply),
                   static_cast<std::uint8_t>(hello.size() - wire::k_message_head)};
    steps.insert(steps.end(), hello.begin() + wire::k_message_head, hello.end());
    const std::uint8_t subscribed[] = {static_cast<std::uint8_t>(Answer::reply), 4, 7, 0, 0, 0};
    steps.insert(steps.end(), std::begin(subscribed), std::end(subscribed));
    return steps;
}

/// The tape: bit 7 of a step lets time pass first, as a power of two of ms; its low 6 bits count the body.
void hear(link::Session& session, TapeLink& link, Tape& tape) {
    const std::uint8_t step = tape.byte();
    if ((step & 0x80) != 0) link.pass_ms(std::uint64_t{1} << tape.byte() % 40);
    const Bytes body = tape.bytes(step & 0x3F);
    link::Message message = {static_cast<std::uint8_t>(wire::MessageType::telemetry), 0};
    message.insert(message.end(), body.begin(), body.end());
    link.put(std::move(message));
    (void)session.listen(2);
}

}  // namespace

void run_telemetry(Input input) {
    Bytes whole = opening();
    whole.insert(whole.end(), input.begin(), input.end());
    Tape tape(whole);
    auto its_link = std::make_unique<TapeLink>(tape, true);
    TapeLink& link = *its_link;
    auto session = link::Session::open(std::move(its_link));
    must(session.has_value(), "the greeting is whole");

    trace::Roll roll;
    std::uint64_t heard = 0;
    std::uint32_t lost = 0;
    const auto listener = [&](const link::TimedEvent& event) {
        ++heard;
        if (const auto now_lost = (*session)->telemetry().batches_lost; now_lost != lost) {
            roll.append_gap(now_lost - lost);
            lost = now_lost;
        }
        const std::size_t before = roll.size();
        must(roll.append(event.at_us, event.event) == (roll.size() == before + 1), "recorded or not");
    };
    must((*session)->subscribe(true, true, listener).has_value(), "the subscription is whole");
    while (!tape.is_empty()) hear(**session, link, tape);
    must((*session)->telemetry().events == heard, "each event is handed on once");
    must(roll.size() >= heard, "each event is recorded");
    must(roll.is_empty() || roll.first_us() <= roll.last_us(), "a roll has a beginning and an end");
}

}  // namespace fettle::fuzz
