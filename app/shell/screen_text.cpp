#include "app/shell/screen_text.hpp"

#include <fmt/format.h>

#include <cmath>

#include "core/base/files.hpp"

namespace fettle::app {

namespace {

std::string on_one_line(std::string text) {
    for (char& c : text)
        if (c == '\n' || c == '\t' || c == '\r') c = ' ';
    return text;
}

std::string states_of(const ui::Control& control) {
    std::string states;
    const auto add = [&](bool is_so, const char* name) {
        if (is_so) states += (states.empty() ? "" : ",") + std::string(name);
    };
    add(control.is_focused, "focused");
    add(control.is_on, "on");
    add(!control.is_enabled, "off now");
    add(!control.is_in_view, "hidden");
    return states.empty() ? "-" : states;
}

}  // namespace

std::string screen_text(const ui::Registry& registry) {
    std::string text = registry.dump() + "places\n";
    for (const ui::Control& control : registry.controls) {
        text +=
            fmt::format("{}\t{}\t{}\t{}\t{}\t{}\t{}\t{}\t{}\t{}\n", on_one_line(control.id),
                        role_name(control.role), control.number, std::lround(control.rect.x),
                        std::lround(control.rect.y), std::lround(control.rect.w), std::lround(control.rect.h),
                        states_of(control), on_one_line(control.label), on_one_line(control.value));
    }
    return text;
}

Status ScreenTextFile::write(const ui::Registry& registry) {
    std::string text = screen_text(registry);
    if (text == written_) return Done{};
    const std::string beside = path_ + ".new";
    files_.remove(beside);
    const int handle = files_.create(beside, 0600);
    if (handle < 0) return file_failure(handle, path_);
    int error = 0;
    for (std::size_t at = 0; at < text.size() && error == 0;) {
        const long wrote = files_.write(handle, text.data() + at, text.size() - at);
        if (wrote < 0) error = static_cast<int>(wrote);
        if (wrote > 0) at += static_cast<std::size_t>(wrote);
    }
    const int closed = files_.close(handle);
    if (error == 0) error = closed;
    if (error == 0) error = files_.rename(beside, path_);
    if (error < 0) return file_failure(error, path_);
    written_ = std::move(text);
    return Done{};
}

}  // namespace fettle::app
