#include "tests/link/fake_libraries.hpp"

#include <errno.h>
#include <hidapi.h>
#include <libserialport.h>

#include <algorithm>

namespace fettle::test {

Answer FakeLibraries::next() {
    Answer answer = otherwise;
    if (!answers.empty()) {
        answer = answers.front();
        answers.pop_front();
    }
    errno = answer.error;
    return answer;
}

int FakeLibraries::count(const std::string& call) const {
    return static_cast<int>(std::count(calls.begin(), calls.end(), call));
}

FakeLibraries& libraries() {
    static FakeLibraries one;
    return one;
}

namespace {

void note(std::string call) {
    libraries().calls.push_back(std::move(call));
}

/// A step of opening a serial port: noted, and failed where that is its turn.
sp_return step(const char* name) {
    note(name);
    FakeLibraries& fake = libraries();
    if (fake.opening_calls++ != fake.failing) return SP_OK;
    errno = fake.failing_errno;
    return SP_ERR_FAIL;
}

int read_into(void* to, std::size_t size) {
    const Answer answer = libraries().next();
    std::copy_n(answer.bytes.begin(), std::min(size, answer.bytes.size()), static_cast<std::uint8_t*>(to));
    return answer.result;
}

}  // namespace

}  // namespace fettle::test

using namespace fettle::test;

extern "C" {

hid_device* hid_open_path(const char*) {
    note("hid_open_path");
    return nullptr;
}
void hid_close(hid_device*) {
    note("hid_close");
}
int hid_write(hid_device*, const unsigned char* data, size_t length) {
    note("hid_write " + std::to_string(length) + " id " + std::to_string(data[0]));
    return libraries().next().result;
}
int hid_read_timeout(hid_device*, unsigned char* data, size_t length, int milliseconds) {
    note("hid_read_timeout " + std::to_string(milliseconds));
    return read_into(data, length);
}
const wchar_t* hid_error(hid_device*) {
    errno = ENOMEM;  // it may leave anything
    return libraries().words.c_str();
}

sp_return sp_get_port_by_name(const char*, sp_port** port) {
    *port = handle<sp_port>();
    return step("sp_get_port_by_name");
}
void sp_free_port(sp_port*) {
    note("sp_free_port");
}
sp_return sp_open(sp_port*, sp_mode) {
    return step("sp_open");
}
sp_return sp_close(sp_port*) {
    note("sp_close");
    return SP_OK;
}
sp_return sp_set_baudrate(sp_port*, int baudrate) {
    return step(("baud " + std::to_string(baudrate)).c_str());
}
sp_return sp_set_bits(sp_port*, int bits) {
    return step(("bits " + std::to_string(bits)).c_str());
}
sp_return sp_set_parity(sp_port*, sp_parity parity) {
    return step(parity == SP_PARITY_NONE ? "no parity" : "parity");
}
sp_return sp_set_stopbits(sp_port*, int bits) {
    return step(("stop bits " + std::to_string(bits)).c_str());
}
sp_return sp_set_flowcontrol(sp_port*, sp_flowcontrol control) {
    return step(control == SP_FLOWCONTROL_NONE ? "no flow control" : "flow control");
}
sp_return sp_new_event_set(sp_event_set** set) {
    const sp_return result = step("sp_new_event_set");
    *set = result == SP_OK ? handle<sp_event_set>() : nullptr;
    return result;
}
sp_return sp_add_port_events(sp_event_set*, const sp_port*, sp_event mask) {
    return step(mask == SP_EVENT_RX_READY ? "events: bytes came" : "events");
}
void sp_free_event_set(sp_event_set*) {
    note("sp_free_event_set");
}
sp_return sp_set_dtr(sp_port*, sp_dtr dtr) {
    return step(dtr == SP_DTR_ON ? "DTR up" : "DTR down");
}
sp_return sp_flush(sp_port*, sp_buffer buffers) {
    return step(buffers == SP_BUF_BOTH ? "flush" : buffers == SP_BUF_OUTPUT ? "flush output" : "flush input");
}
int sp_last_error_code(void) {
    return errno;
}
char* sp_last_error_message(void) {
    static char words[] = "words";
    errno = ENOMEM;
    return words;
}
void sp_free_error_message(char*) {}
sp_return sp_blocking_write(sp_port*, const void*, size_t count, unsigned int timeout_ms) {
    note("sp_blocking_write " + std::to_string(count) + " for " + std::to_string(timeout_ms));
    return static_cast<sp_return>(libraries().next().result);
}
sp_return sp_nonblocking_write(sp_port*, const void*, size_t count) {
    note("sp_nonblocking_write " + std::to_string(count));
    return static_cast<sp_return>(libraries().next().result);
}
sp_return sp_nonblocking_read(sp_port*, void* buffer, size_t count) {
    note("sp_nonblocking_read");
    return static_cast<sp_return>(read_into(buffer, count));
}
sp_return sp_input_waiting(sp_port*) {
    note("sp_input_waiting");
    FakeLibraries& fake = libraries();
    if (fake.waiting.empty()) return SP_OK;
    const Answer answer = fake.waiting.front();
    fake.waiting.pop_front();
    errno = answer.error;
    return static_cast<sp_return>(answer.result);
}
sp_return sp_wait(sp_event_set*, unsigned int timeout_ms) {
    note("sp_wait " + std::to_string(timeout_ms));
    FakeLibraries& fake = libraries();
    const bool comes_something = !fake.answers.empty() || !fake.waiting.empty();
    if (fake.clock_us != nullptr && !comes_something) *fake.clock_us += std::int64_t{timeout_ms} * 1000;
    return SP_OK;
}
}
