#pragma once
// The device without its pins: engine, stored profiles, trial, conversation and telemetry. The firmware puts
// a board around it, core/sim puts memory around it; neither has a second implementation of anything here.
//
// Not thread-safe: one loop calls everything. Not to be moved after start(): its parts point at each other.

#include "core/engine/engine.hpp"
#include "core/wire/frame.hpp"
#include "core/wire/message.hpp"
#include "core/wire/outbox.hpp"
#include "core/wire/request.hpp"
#include "core/wire/slots.hpp"
#include "core/wire/telemetry.hpp"
#include "core/wire/trial.hpp"

namespace fettle {
namespace wire {

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
    /// A request that is answered later. One at a time: another one that needs the storage is answered
    /// `busy`.
    struct Job {
        bool is_on;
        MessageType type;
        Channel channel;
        uint8_t id;
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
    static void on_event(void* owner, const engine::Event& event);
    void count(const engine::Event& event);

    // responder.cpp: what a request does at once. `Asked` names a request and what came with it.
    struct Asked {
        Channel channel;
        MessageType type;
        uint8_t id;
        const uint8_t* body;
        uint8_t size;
    };
    void respond(const Asked& asked);
    void respond_hello(const Asked& asked);
    void respond_ping(const Asked& asked);
    void respond_read(const Asked& asked);
    void respond_display(const Asked& asked);
    void respond_subscribe(const Asked& asked);
    void respond_mode(const Asked& asked);
    void respond_variant(const Asked& asked);
    void respond_inject(const Asked& asked);
    void reply(const Asked& asked, const uint8_t* message, uint8_t size);
    void acknowledge(const Asked& asked);
    void error(const Asked& asked, WireError code, uint8_t d0 = 0, uint8_t d1 = 0);
    void begin_job(const Asked& asked, uint8_t a, uint8_t b, uint16_t at);
    bool is_busy() const { return job_.is_on || load_.is_due || !slots_.can_begin(); }

    // responder_push.cpp: a push and its trial
    void respond_begin_write(const Asked& asked);
    void respond_write(const Asked& asked);
    void respond_finish(const Asked& asked);
    void respond_keep(const Asked& asked);
    void respond_revert(const Asked& asked);
    void respond_extend(const Asked& asked);
    bool is_named(const Asked& asked, const TrialRequest& request);
    void reply_trial(const Asked& asked, TrialPhase phase);

    // jobs.cpp: what a request does over several ticks
    void work_on_job();
    bool is_repeat(const Asked& asked) const;
    bool read_job();
    bool display_job();
    bool slot_job();
    bool finish_job();
    bool keep_job();
    bool load_job();
    void answer(const uint8_t* message, uint8_t size);
    void answer_error(WireError code, uint8_t d0 = 0, uint8_t d1 = 0);

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
