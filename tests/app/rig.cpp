#include "tests/app/rig.hpp"

#include <doctest/doctest.h>

#include <fstream>
#include <iterator>
#include <sstream>
#include <streambuf>

namespace fettle::app::test {

namespace {

/// Standard input line by line; the clock goes on while a line is typed.
class Typist final : public std::streambuf {
public:
    Typist(const std::string& typed, FakeClock& clock, int typing_ms)
        : typed_(typed), clock_(clock), typing_ms_(typing_ms) {}

private:
    int_type underflow() override {
        if (at_ == typed_.size()) return traits_type::eof();
        clock_.advance_ms(typing_ms_);
        const std::size_t newline = typed_.find('\n', at_);
        const std::size_t end = newline == std::string::npos ? typed_.size() : newline + 1;
        line_ = typed_.substr(at_, end - at_);
        at_ = end;
        setg(line_.data(), line_.data(), line_.data() + line_.size());
        return traits_type::to_int_type(line_[0]);
    }

    const std::string typed_;
    FakeClock& clock_;
    const int typing_ms_;
    std::string line_;
    std::size_t at_ = 0;
};

std::string compact(const std::string& json) {
    std::string out;
    for (std::size_t i = 0; i < json.size(); ++i) {
        if (json[i] == '\n') {
            while (i + 1 < json.size() && json[i + 1] == ' ') ++i;
            continue;
        }
        out += json[i];
        if (json[i] == ':' && i > 0 && json[i - 1] == '"' && i + 1 < json.size() && json[i + 1] == ' ') ++i;
    }
    return out;
}

}  // namespace

Run Rig::run(const std::vector<std::string>& words, const std::string& typed, int typing_ms) {
    std::vector<const char*> argv{"fettle"};
    for (const auto& word : words) argv.push_back(word.c_str());
    const Parsed parsed = parse_arguments(static_cast<int>(argv.size()), argv.data(), "version of the tests");
    if (!parsed.command) {
        const bool is_fine = parsed.exit_code == 0;
        return {parsed.exit_code, is_fine ? parsed.text : "", is_fine ? "" : parsed.text};
    }
    Typist typist(typed, clock, typing_ms);
    std::istream in(&typist);
    std::ostringstream out, err;
    Console console{in, out, err, parsed.is_json, false, has_typed};
    const Program program{console, clock, folder / "state", nullptr, world};
    const Exit exit = app::run(program, *parsed.command);
    return {static_cast<int>(exit), out.str(), err.str()};
}

std::string Rig::json(const std::vector<std::string>& words) {
    auto asked = words;
    asked.push_back("--json");
    const Run ran = run(asked);
    CAPTURE(ran.err);
    CHECK(ran.exit == 0);
    return compact(ran.out);
}

std::string Rig::put(const std::string& name, const std::string& content) const {
    std::ofstream(folder / name, std::ios::binary) << content;
    return folder / name;
}

std::string Rig::content(const std::string& path) const {
    std::ifstream file(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(file), {}};
}

std::string Rig::copy_of(const std::string& profile) const {
    return put(profile + ".json", content(demo_profile(profile)));
}

std::string demo_profile(const std::string& name) {
    return std::string(FETTLE_ROOT "/assets/profiles/") + name + ".json";
}

std::size_t count(const std::string& text, const std::string& part) {
    std::size_t times = 0;
    for (std::size_t at = text.find(part); at != std::string::npos; at = text.find(part, at + part.size()))
        ++times;
    return times;
}

bool has(const std::string& text, const std::string& part) {
    return text.find(part) != std::string::npos;
}

std::string with(const std::string& text, const std::string& from, const std::string& to) {
    const std::size_t at = text.find(from);
    REQUIRE(at != std::string::npos);
    return std::string(text).replace(at, from.size(), to);
}

}  // namespace fettle::app::test
