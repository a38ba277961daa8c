#pragma once
// The device without its pins: engine, stored profiles, trial, conversation and telemetry. The firmware puts
// a board around it, core/sim puts memory around it; neither has a second implementation of anything here.
//
// Not thread-safe: one loop calls everything. Not to be moved after start(): its parts point at each other.

#include "core/engine/engine.hpp"
#include "core/wire/fields.hpp"
#include "core/wire/frame.hpp"
#include "core/wire/message.hpp"
#include "core/wire/outbox.hpp"
#include "core/wire/request.hpp"
#include "core/wire/slots.hpp"
#include "core/wire/telemetry.hpp"
#include "core/wire/trial.hpp"

namespace fettle {
namespace wire {

/// Simulated devices alone have an InjectHook; a board has its pins.
#if defined(__AVR__)
constexpr bool k_can_inject = false;
#else
constexpr bool k_can_inject = true;
#endif

/// Where a simulated board takes injected edges. put == nullptr: `inject` is answered `unsupported`.
struct InjectHook {
    void* owner;
    /// False: no room for all of them, nothing was taken (answered `busy`).
    bool (*put)(void* owner, uint8_t line, const InjectStep* steps, uint8_t count);
};

struct DeviceIdentity {
    uint8_t serial[8];
    uint8_t board;      ///< as HelloReply::board
    uint32_t features;  ///< k_feature_* of the board (serial); what follows from the rest is added
    uint16_t boot_id;   ///< anything that differs from start to start
    uint8_t reset_cause;
    uint8_t display_rows, display_columns;  ///< 0: no display. columns up to 40
    InjectHook inject;
};

class Device {
public:
    Device() = default;
    Device(const Device&) = delete;
    Device& operator=(const Device&) = delete;

    /// Starts: all-released reports first, then the newest whole profile, else the built-in one.
    /// May read storage in several ticks (about 40); until then nothing is assigned and requests are answered
    /// `busy` (`release` and `ping` are served).
    void start(const Eeprom& eeprom, const DeviceIdentity& identity, uint32_t now_us);

    /// One millisecond: engine, trial clock, one step of storage work. `out.wishes` are carried out here; a
    /// board need not look at them.
    void tick(const engine::TickInputs& in, engine::TickOutputs& out);

    /// A whole message came in (HID: the report's length byte and padding already taken off).
    void receive(Channel channel, const uint8_t* message, uint8_t size, uint32_t now_us);
    /// True when a reply of any size has room. A board takes no further message from the channel until then
    /// (NAK); what comes all the same and has no room for its answer is not carried out and counted as bad.
    bool can_receive(Channel channel) const { return outbox_.is_empty(channel); }
    /// Bytes of the serial channel, framed here. dtr: the host holds the port open; falling ends the
    /// subscription. Bytes without DTR are ignored.
    void serial_byte(uint8_t byte, uint32_t now_us);
    void serial_dtr(bool is_up);
    /// Bytes that were no message at all (HID report of a wrong id or length).
    void bad_frame();

    /// The next whole message to send on a channel: replies first, then telemetry. 0: nothing. `to` holds
    /// k_message_max. The serial channel frames it with pack_serial(), HID with pack_report().
    uint8_t send(Channel channel, uint8_t* to, uint32_t now_us);

    const engine::Engine& engine() const { return engine_; }
    TrialReply trial() const;
    HelloReply hello() const;
    InfoReply info() const;
    bool is_ready() const { return engine_.is_loaded(); }  ///< a profile runs
    bool is_storage_idle() const {
        return slots_.is_idle() && !load_.is_due;
    }  ///< nothing waits to be written

private:
    /// Who asked, and for what: where an answer goes.
    struct Asked {
        Channel channel;
        MessageType type;
        uint8_t id;
    };
    /// A request that is answered later. One at a time: another one that needs the storage is answered
    /// `busy`.
    struct Job {
        bool is_on;
        Asked asked;
        uint8_t a;    ///< read: slot; display: row; set_variant: variant; finish: variant before
        uint8_t b;    ///< read, write: count; finish: 1 once it is being loaded
        uint16_t at;  ///< read, write: offset; begin_write: size; finish: seconds
    };
    /// A profile or variant to be loaded as soon as the storage can be read.
    struct Load {
        bool is_due, keep_mode;
        uint8_t slot, variant;
        engine::Cause cause;
    };

    // device.cpp
    void take_commands(uint8_t commands);
    void forget_host();
    void load_if_due();
    void load(uint8_t slot, uint8_t variant, bool keep_mode, engine::Cause cause);
    void follow_trial();
    void take_trial(TrialEvent event);
    void tell_trial(TrialPhase phase);
    bool is_proven() const;
    void take_wishes(const engine::TickOutputs& out);
    void keep_telemetry();
    void tell(engine::EventKind kind, uint8_t what, uint16_t id = 0, uint16_t left = 0);
    static void on_event(void* owner, const engine::Event& event);
    void count(const engine::Event& event);

    /// What came of a request or of a step of a job: an error that is still to be told, or one of these.
    static constexpr WireError k_done = static_cast<WireError>(0);  ///< answered, or a job that will be
    static constexpr WireError k_wait = static_cast<WireError>(0xFF);

    // responder.cpp: what a request does at once. All answers go to asked_.
    union Request;
    void respond(const uint8_t* body, uint8_t size);
    WireError carry_out(const uint8_t* body, uint8_t size);
    WireError respond_read(const ReadRequest& request);
    WireError respond_display(uint8_t row);
    WireError respond_mode(uint8_t mode);
    WireError respond_variant(uint8_t variant);
    WireError respond_inject(const uint8_t* body, uint8_t size);
    void send_answer(uint8_t type, Fields fields, const void* from, const uint8_t* tail, uint8_t count);
    WireError answer(Fields fields, const void* from, const uint8_t* tail = nullptr, uint8_t count = 0);
    WireError acknowledge() { return answer(k_no_fields, nullptr); }
    WireError answer_trial(TrialPhase phase);
    WireError detailed(WireError code, uint8_t d0, uint8_t d1 = 0);
    void tell_error(WireError code);
    WireError begin_job(uint8_t a, uint8_t b, uint16_t at);
    bool is_busy() const { return job_.is_on || load_.is_due || !slots_.can_begin(); }
    uint8_t slot_named(uint8_t slot) const;

    // responder_push.cpp: a push and its trial
    WireError respond_begin_write(const BeginWriteRequest& request);
    WireError respond_write(uint32_t offset, const uint8_t* bytes, uint8_t count);
    WireError respond_finish(const FinishRequest& request);
    WireError respond_trial(const TrialRequest& request);

    // jobs.cpp: what a request does over several ticks
    void work_on_job();
    WireError step_job();
    bool is_repeat() const;
    WireError read_job();
    WireError display_job();
    WireError slot_job();
    WireError finish_job();
    WireError keep_job();
    WireError load_job();

    engine::Engine engine_;
    engine::Setup setup_;
    Slots slots_;
    Trial trial_;
    Telemetry telemetry_;
    Outbox outbox_;
    Unframer unframer_;
    DeviceIdentity identity_;
    ImageHeader running_;
    InfoReply info_;
    Asked asked_;
    uint8_t detail_[2];  ///< of an error that is still to be told
    Job job_;
    Load load_;
    uint32_t now_us_;
    uint16_t up_ms_;
    uint8_t running_slot_;
    uint8_t inject_id_;
    Channel inject_channel_;
    bool has_injected_, release_due_, boot_pointer_, is_dtr_up_, is_serial_open_;
};

}  // namespace wire
}  // namespace fettle
