// What a node is, and which nodes are one device. No system here.

#include "core/link/scan.hpp"

#include <algorithm>
#include <array>
#include <map>

#include "core/link/sight_records.hpp"
#include "core/wire/usb_descriptors.hpp"

namespace fettle::link {

namespace {

// Source: Device Class Definition for HID 1.11, section 6.2.2 (report descriptor): a short item's first byte
// is tag (4 bits), type (2 bits), size (2 bits; 3 stands for 4 bytes).
enum Item : std::uint8_t {
    k_collection = 0xA0,
    k_usage_page = 0x04,
    k_push = 0xA4,
    k_pop = 0xB4,
    k_usage = 0x08,
    k_long_item = 0xFE,
};
constexpr std::uint8_t k_size_bits = 0x03, k_type_bits = 0x0C;
constexpr std::uint32_t k_application = 1;
constexpr std::size_t k_stack = 4;  // as deep as Linux goes (hid-core.c); ours pushes nothing

/// The items of a stranger's descriptor, one after the other.
class Items {
public:
    Items(const std::uint8_t* from, std::size_t count) : at_(from), left_(from == nullptr ? 0 : count) {}
    /// False at the end, and where the bytes end within an item.
    bool next() {
        while (left_ > 0 && *at_ == k_long_item)
            if (!skip_long()) return false;
        if (left_ == 0) return false;
        const std::size_t size = (*at_ & k_size_bits) == 3 ? 4 : *at_ & k_size_bits;
        if (left_ < 1 + size) return false;
        kind = static_cast<std::uint8_t>(*at_ & ~k_size_bits);
        bytes = size;
        data = 0;
        for (std::size_t i = size; i > 0; --i) data = data << 8 | at_[i];
        return step(1 + size);
    }

    std::uint8_t kind = 0;
    std::size_t bytes = 0;
    std::uint32_t data = 0;

private:
    bool skip_long() { return left_ >= 3 && left_ >= 3u + at_[1] && step(3u + at_[1]); }
    bool step(std::size_t by) {
        at_ += by;
        left_ -= by;
        return true;
    }
    const std::uint8_t* at_;
    std::size_t left_;
};

constexpr bool is_printable(char c) {
    return c >= ' ' && c <= '~';
}

bool begins_as_ours(std::string_view product) {
    std::array<char, wire::k_maker_text_bytes> ours{};
    wire::read_rom(reinterpret_cast<const std::uint8_t*>(wire::k_maker_text),
                   reinterpret_cast<std::uint8_t*>(ours.data()), wire::k_maker_text_bytes);
    return product.substr(0, ours.size()) == std::string_view(ours.data(), ours.size());
}

Attached attached_by(const NodeRecord& node, ChannelKind channel, const NodeRecord* fallback) {
    Attached one;
    one.channel = channel;
    one.path = node.path;
    one.serial = printable(node.serial_text);
    one.product = printable(node.product_text);
    one.place = printable(node.place);
    one.fallback_path = fallback != nullptr ? fallback->path : std::string();
    one.is_accessible = node.is_accessible;
    return one;
}

/// The nodes of one device.
struct Nodes {
    const NodeRecord* any = nullptr;
    const NodeRecord* raw = nullptr;
    const NodeRecord* serial = nullptr;
    int interfaces = 0, nodes = 0;
};

void keep_first(const NodeRecord*& kept, const NodeRecord& node) {
    if (kept == nullptr || node.path < kept->path) kept = &node;
}

}  // namespace

bool is_raw_channel(const std::uint8_t* descriptor, std::size_t bytes) {
    std::array<std::uint32_t, k_stack> pushed{};
    std::size_t depth = 0;
    std::uint32_t page = 0, usage = 0;
    bool has_usage = false, is_usage_whole = false;  // whole: it brings its page with it
    for (Items item(descriptor, bytes); item.next();) {
        if (item.kind == k_usage_page) page = item.data & 0xFFFF;
        if (item.kind == k_push) {
            if (depth == k_stack) return false;
            pushed[depth++] = page;
        }
        if (item.kind == k_pop) {
            if (depth == 0) return false;
            page = pushed[--depth];
        }
        if (item.kind == k_usage && !has_usage) {
            has_usage = true;
            usage = item.data;
            is_usage_whole = item.bytes == 4;
        }
        if ((item.kind & k_type_bits) != 0) continue;
        if (item.kind == k_collection && item.data == k_application) {
            const std::uint32_t whole = is_usage_whole ? usage : page << 16 | usage;
            return has_usage && whole == (std::uint32_t{wire::k_raw_usage_page} << 16 | wire::k_raw_usage);
        }
        has_usage = is_usage_whole = false;  // a main item ends what is local to it
    }
    return false;
}

std::string printable(std::string_view text, std::size_t most) {
    std::string shown(text.substr(0, most));
    std::replace_if(
        shown.begin(), shown.end(), [](char c) { return !is_printable(c); }, '?');
    return shown;
}

Sight sight_of(const std::vector<NodeRecord>& records) {
    std::map<std::string, Nodes> devices;
    for (const NodeRecord& node : records) {
        if (node.vendor != wire::k_usb_vendor || node.product != wire::k_usb_product) continue;
        Nodes& nodes = devices[node.group];
        if (nodes.any == nullptr) nodes.any = &node;
        if (node.kind == NodeKind::hid && node.is_raw_channel) keep_first(nodes.raw, node);
        if (node.kind == NodeKind::serial) keep_first(nodes.serial, node);
        if (node.kind == NodeKind::interface) ++nodes.interfaces;
        if (node.kind == NodeKind::hid || node.kind == NodeKind::serial) ++nodes.nodes;
    }
    Sight sight;
    for (const auto& [group, nodes] : devices) {
        if (nodes.raw != nullptr)
            sight.devices.push_back(attached_by(*nodes.raw, ChannelKind::hid, nodes.serial));
        else if (nodes.serial != nullptr && begins_as_ours(nodes.serial->product_text))
            sight.devices.push_back(attached_by(*nodes.serial, ChannelKind::serial, nullptr));
        else
            sight.strangers.push_back({printable(nodes.any->place), printable(nodes.any->product_text)});
        if (nodes.nodes < nodes.interfaces) sight.unfinished.push_back(printable(nodes.any->place));
    }
    const auto by_place = [](const auto& a, const auto& b) { return a.place < b.place; };
    std::stable_sort(sight.devices.begin(), sight.devices.end(), by_place);
    std::stable_sort(sight.strangers.begin(), sight.strangers.end(), by_place);
    return sight;
}

void group_by_serial(std::vector<NodeRecord>& records) {
    struct Count {
        int raw = 0, serial = 0;
        bool is_one() const { return raw <= 1 && serial <= 1; }
    };
    const auto is_side = [](const NodeRecord& node) {
        return node.kind == NodeKind::hid && !node.is_raw_channel;
    };
    std::map<std::string, Count> counted;
    for (const NodeRecord& node : records) {
        Count& count = counted[node.serial_text];
        if (node.kind == NodeKind::serial) ++count.serial;
        if (node.kind == NodeKind::hid && node.is_raw_channel) ++count.raw;
    }
    // Where devices share a number, their other interfaces belong to any of them: no devices of their own.
    std::erase_if(records, [&](const NodeRecord& node) {
        const Count& count = counted[node.serial_text];
        return is_side(node) && count.raw + count.serial > 0 && (!count.is_one() || node.serial_text.empty());
    });
    for (NodeRecord& node : records) {
        const bool is_told_apart = !node.serial_text.empty() && counted[node.serial_text].is_one();
        node.group = is_told_apart ? "serial " + node.serial_text : "path " + node.path;
    }
}

}  // namespace fettle::link
