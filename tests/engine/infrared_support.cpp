#include "tests/engine/infrared_support.hpp"

#include <algorithm>
#include <array>
#include <fstream>
#include <ostream>
#include <sstream>
#include <stdexcept>

namespace fettle::engine {

bool operator==(const IrFrame& a, const IrFrame& b) {
    return a.protocol == b.protocol && a.repeat == b.repeat && a.toggle == b.toggle &&
           a.address == b.address && a.command == b.command && a.extended == b.extended &&
           a.signature == b.signature;
}

std::ostream& operator<<(std::ostream& out, const IrFrame& frame) {
    out << test_infrared::name_of(frame.protocol) << std::hex << " a=" << frame.address
        << " c=" << frame.command << " x=" << int{frame.extended} << " s=" << frame.signature << std::dec;
    if (frame.toggle != k_no_toggle) out << " toggle=" << int{frame.toggle};
    return out << (frame.repeat ? " repeat" : "");
}

}  // namespace fettle::engine

namespace fettle::test_infrared {

namespace {
constexpr std::array<const char*, 12> k_names = {"none",   "nec",    "necx", "rc5",       "rc6",   "sirc12",
                                                 "sirc15", "sirc20", "jvc",  "samsung32", "sharp", "unknown"};
}

const std::vector<Protocol> k_all_protocols = {
    Protocol::nec,    Protocol::necx,   Protocol::rc5, Protocol::rc6,       Protocol::sirc12,
    Protocol::sirc15, Protocol::sirc20, Protocol::jvc, Protocol::samsung32, Protocol::sharp};

const char* name_of(Protocol protocol) {
    return k_names.at(static_cast<std::size_t>(protocol));
}

Protocol protocol_named(const std::string& name) {
    const auto at = std::find(k_names.begin(), k_names.end(), name);
    return at == k_names.end() ? Protocol::none : static_cast<Protocol>(at - k_names.begin());
}

int uniform(Random& random, int low, int high) {
    return std::uniform_int_distribution<int>(low, high)(random);
}

IrFrame frame_of(Protocol protocol, unsigned address, unsigned command, unsigned toggle, unsigned extended) {
    IrFrame frame{};
    frame.protocol = protocol;
    frame.address = static_cast<std::uint16_t>(address);
    frame.command = static_cast<std::uint16_t>(command);
    frame.toggle = static_cast<std::uint8_t>(toggle);
    frame.extended = static_cast<std::uint8_t>(extended);
    return frame;
}

IrFrame random_frame(Protocol protocol, Random& random) {
    const auto any = [&random](int most) { return static_cast<unsigned>(uniform(random, 0, most)); };
    switch (protocol) {
        case Protocol::necx: {
            const unsigned first = any(255), second = any(255);
            if ((first ^ second) == 0xFF) return random_frame(protocol, random);
            return frame_of(protocol, first << 8 | second, any(255));
        }
        case Protocol::rc5: return frame_of(protocol, any(31), any(127), any(1));
        case Protocol::rc6: return frame_of(protocol, any(255), any(255), any(1));
        case Protocol::sirc12: return frame_of(protocol, any(31), any(127));
        case Protocol::sirc15: return frame_of(protocol, any(255), any(127));
        case Protocol::sirc20: return frame_of(protocol, any(31), any(127), engine::k_no_toggle, any(255));
        case Protocol::sharp: return frame_of(protocol, any(31), any(255));
        case Protocol::nec:
        case Protocol::jvc:
        case Protocol::samsung32: return frame_of(protocol, any(255), any(255));
        case Protocol::none:
        case Protocol::unknown: break;
    }
    throw std::logic_error("no such frames");
}

Widths scaled(const Widths& widths, int scale_permille) {
    Widths result;
    for (const auto us : widths) {
        result.push_back(
            static_cast<std::uint32_t>((us * static_cast<std::uint64_t>(scale_permille) + 500) / 1000));
    }
    return result;
}

namespace {
std::uint32_t moved(std::uint32_t us, int by_us) {
    return static_cast<std::uint32_t>(std::max(1, static_cast<int>(us) + by_us));
}
}  // namespace

Widths with_width_noise(const Widths& widths, int most_us, Random& random) {
    Widths result;
    for (const auto us : widths) result.push_back(moved(us, uniform(random, -most_us, most_us)));
    return result;
}

Widths with_edge_noise(const Widths& widths, int most_us, Random& random) {
    Widths result;
    int before = uniform(random, -most_us, most_us);
    for (const auto us : widths) {
        const int after = uniform(random, -most_us, most_us);
        result.push_back(moved(us, after - before));
        before = after;
    }
    return result;
}

Widths with_longer_marks(const Widths& widths, int us) {
    Widths result;
    for (std::size_t i = 0; i < widths.size(); ++i) result.push_back(moved(widths[i], i % 2 == 0 ? us : -us));
    return result;
}

std::vector<IrFrame> decoded(const Widths& marks_and_spaces) {
    return sim::decode_widths(sim::to_pulse_widths(marks_and_spaces));
}

Widths joined(Widths a, std::uint32_t gap_us, const Widths& b) {
    a.push_back(gap_us);
    a.insert(a.end(), b.begin(), b.end());
    return a;
}

Widths held(const IrFrame& frame, int times) {
    Widths all;
    IrFrame next = frame;
    for (int i = 0; i < times; ++i) {
        const Widths once = sim::encode(next);
        all.insert(all.end(), once.begin(), once.end());
        std::uint32_t sum = 0;
        for (const auto us : once) sum += us;
        all.push_back(sim::period_us(frame.protocol) - sum);
        next.repeat = frame.protocol == Protocol::nec || frame.protocol == Protocol::jvc;
    }
    return all;
}

bool is_itself_or_unknown(const std::vector<IrFrame>& frames, const IrFrame& sent) {
    return std::all_of(frames.begin(), frames.end(), [&](const IrFrame& frame) {
        return frame.protocol == Protocol::unknown || (frames.size() == 1 && frame == sent);
    });
}

std::string text_of(const std::vector<IrFrame>& frames) {
    std::ostringstream out;
    for (const auto& frame : frames) out << '[' << frame << "] ";
    return out.str();
}

namespace {
IrFrame parse_meaning(const std::string& text) {
    std::istringstream in(text);
    std::string protocol, address, command, word, value;
    in >> protocol >> address >> command;
    if (protocol == "unknown") return frame_of(Protocol::unknown, 0, 0);
    const auto number = [](const std::string& digits) {
        return static_cast<unsigned>(std::stoul(digits, nullptr, 0));
    };
    IrFrame frame = frame_of(protocol_named(protocol), number(address), number(command));
    while (in >> word >> value) {
        auto& field = word == "toggle" ? frame.toggle : frame.extended;
        field = static_cast<std::uint8_t>(number(value));
    }
    return frame;
}
}  // namespace

std::vector<Vector> load_vectors(const std::string& file_name) {
    std::ifstream file(std::string(FETTLE_ROOT "/tests/data/") + file_name);
    if (!file) throw std::runtime_error("cannot read tests/data/" + file_name);
    std::vector<Vector> vectors;
    std::string line;
    while (std::getline(file, line)) {
        if (line.empty() || line[0] == '#') continue;
        std::istringstream in(line);
        Vector vector;
        std::string meaning, widths;
        std::getline(in, vector.code, '|');
        std::getline(in, meaning, '|');
        std::getline(in, widths);
        vector.code.erase(vector.code.find_last_not_of(' ') + 1);
        vector.meaning = parse_meaning(meaning);
        std::istringstream numbers(widths);
        for (std::uint32_t us = 0; numbers >> us;) vector.widths.push_back(us);
        vectors.push_back(vector);
    }
    return vectors;
}

}  // namespace fettle::test_infrared
