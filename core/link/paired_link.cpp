// Changes over once, from the first channel to the fallback. An error of the fallback while it is not used is
// met when it is needed, and not before.

#include "core/link/paired_link.hpp"

#include <fmt/format.h>
#include <utility>

namespace fettle::link {

namespace {

constexpr int k_old_most = 64;  // messages dropped; more than a host's buffers hold (Linux 6.1, hidraw: 63)

/// The message is at fault, not the channel.
bool is_of_message(Errc code) {
    return code == Errc::too_large || code == Errc::out_of_range;
}

/// A caller above may end a call of its own: that is no fault of the channel either.
bool is_fault(Errc code) {
    return !is_of_message(code) && code != Errc::cancelled;
}

std::string reason(const Error& error) {
    return error.detail.empty() ? error.where : fmt::format("{}: {}", error.where, error.detail);
}

}  // namespace

PairedLink::PairedLink(std::unique_ptr<Link> first, std::unique_ptr<Link> fallback)
    : used_(std::move(first)), fallback_(std::move(fallback)) {}

void PairedLink::use_fallback(std::string why) {
    lost_ = std::move(why);
    used_ = std::move(fallback_);
    ++changeovers_;
}

Unexpected PairedLink::closed(const Error& error) const {
    if (lost_.empty()) return Unexpected{error};
    return fail(Errc::closed, error.where, fmt::format("{}; {}", lost_, reason(error)));
}

Status PairedLink::send(std::span<const std::uint8_t> message) {
    Status sent = used_->send(message);
    if (sent || !is_fault(sent.error().code)) return sent;
    if (!fallback_) return closed(sent.error());
    use_fallback(reason(sent.error()));
    sent = used_->send(message);
    if (sent || !is_fault(sent.error().code)) return sent;
    return closed(sent.error());
}

Result<std::optional<Message>> PairedLink::receive(std::uint32_t wait_ms) {
    auto got = used_->receive(wait_ms);
    if (got || !is_fault(got.error().code)) return got;
    if (!fallback_) return closed(got.error());
    use_fallback(reason(got.error()));
    return std::optional<Message>{};
}

bool PairedLink::change_over() {
    if (!fallback_) return false;
    for (int old = 0; old < k_old_most; ++old) {
        const auto got = fallback_->receive(0);
        if (!got) {
            lost_ = reason(got.error());
            fallback_.reset();
            return false;
        }
        if (!*got) break;
    }
    use_fallback("no answer");
    return true;
}

std::uint64_t PairedLink::now_ms() const {
    return used_->now_ms();
}

std::uint64_t PairedLink::now_us() const {
    return used_->now_us();
}

ChannelKind PairedLink::channel() const {
    return used_->channel();
}

}  // namespace fettle::link
