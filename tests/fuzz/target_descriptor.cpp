#include "core/link/scan.hpp"
#include "tests/fuzz/tape.hpp"

namespace fettle::fuzz {

void run_descriptor(Input input) {
    const Bytes whole(input.begin(), input.end());
    const bool is_raw = link::is_raw_channel(whole.data(), whole.size());
    // The first application collection decides: what follows it changes nothing.
    bool was_raw = false;
    for (std::size_t bytes = 0; bytes <= std::min<std::size_t>(whole.size(), 64); ++bytes) {
        const Bytes part(whole.begin(), whole.begin() + static_cast<std::ptrdiff_t>(bytes));
        const bool is_now = link::is_raw_channel(part.data(), part.size());
        must(is_now || !was_raw, "a beginning that is a raw channel stays one");
        was_raw = is_now;
    }
    must(is_raw || !was_raw, "a beginning that is a raw channel stays one");

    const std::string_view text(reinterpret_cast<const char*>(whole.data()), whole.size());
    const std::string shown = link::printable(text, 64);
    must(shown.size() == std::min<std::size_t>(text.size(), 64), "as long as the text, at most 64");
    for (const char c : shown) must(c >= ' ' && c <= '~', "only printable characters");
}

}  // namespace fettle::fuzz
