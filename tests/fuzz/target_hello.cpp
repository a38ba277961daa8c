#include "core/link/session.hpp"
#include "tests/fuzz/calls.hpp"
#include "tests/fuzz/tape_link.hpp"
#include "tests/wire/support/images.hpp"

namespace fettle::fuzz {

namespace {

using link::Session;

bool is_shown(const std::string& text) {
    return std::all_of(text.begin(), text.end(), [](char c) { return c >= ' ' && c <= '~'; });
}

void call_image(Session& session, Call call) {
    if (call == Call::push) {
        const auto image = test::plain_image(2);
        const auto pushed = session.push(image, 60);
        must(!pushed || pushed->trial.image_crc == test::crc_of(image), "a trial of what was pushed");
    }
    if (call == Call::read_image) {
        const auto image = session.read_image(wire::k_slot_current);
        must(!image || image->size() <= session.hello().slot_bytes, "an image fits its slot");
    }
}

void call_trial(Session& session, Call call) {
    if (call == Call::trial) (void)session.trial();
    if (call == Call::keep) (void)session.keep(1, 0x12345678, false);
    if (call == Call::revert) (void)session.revert(1, 0x12345678);
    if (call == Call::extend) (void)session.extend(1, 0x12345678, 60);
}

void call_small(Session& session, Call call) {
    if (call == Call::greet) (void)session.greet();
    if (call == Call::info) (void)session.info();
    if (call == Call::ping) (void)session.ping();
    if (call == Call::release) (void)session.release();
    if (call == Call::set_mode) (void)session.set_mode(1);
    if (call == Call::listen) (void)session.listen(100);
    if (call == Call::subscribe) (void)session.subscribe(true, true, [](const link::TimedEvent&) {});
    if (call == Call::unsubscribe) (void)session.unsubscribe();
    if (call != Call::display) return;
    const auto row = session.display_row(0);
    must(!row || (row->text.size() <= wire::k_display_columns_max && is_shown(row->text)),
         "a row of the display is shown, not obeyed");
}

}  // namespace

void run_hello(Input input) {
    Tape tape(input);
    link::Limits limits;
    limits.answer_ms = 50;
    limits.slow_ms = 100;
    limits.busy_ms = 30;
    limits.tries = 2;
    const bool has_other_channel = (tape.byte() & 1) != 0;
    auto session = Session::open(std::make_unique<TapeLink>(tape, has_other_channel), limits);
    if (!session) return;
    must((*session)->hello().contract_version != 0, "a contract that is none is no greeting");
    while (!tape.is_empty()) {
        const auto call = static_cast<Call>(tape.byte() % k_calls);
        call_image(**session, call);
        call_trial(**session, call);
        call_small(**session, call);
        must((*session)->serial().size() <= 8, "a serial number of at most 8 characters");
    }
}

}  // namespace fettle::fuzz
