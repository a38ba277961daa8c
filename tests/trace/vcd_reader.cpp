#include "tests/trace/vcd_reader.hpp"

#include <algorithm>
#include <sstream>

namespace fettle::test {

namespace {

bool is_number(const std::string& text) {
    return !text.empty() && text.size() < 18 &&
           std::all_of(text.begin(), text.end(), [](char c) { return c >= '0' && c <= '9'; });
}

bool is_code(const std::string& text) {
    return !text.empty() &&
           std::all_of(text.begin(), text.end(), [](char c) { return c >= '!' && c <= '~'; });
}

bool is_reference(const std::string& text) {
    const auto is_letter = [](char c) {
        return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '_';
    };
    return !text.empty() && is_letter(text[0]) && std::all_of(text.begin(), text.end(), [&](char c) {
        return is_letter(c) || (c >= '0' && c <= '9') || c == '$';
    });
}

class Reading {
public:
    explicit Reading(const std::string& text) : in_(text) {}

    Vcd run() {
        while (vcd_.error.empty() && next()) {
            if (!are_defined_)
                declare();
            else
                simulate();
        }
        if (vcd_.error.empty() && (!are_defined_ || is_dumping_ || scopes_ != 0)) fail("not closed");
        return vcd_;
    }

private:
    bool next() { return static_cast<bool>(in_ >> word_); }
    void fail(const std::string& why) { vcd_.error = why + " at " + word_; }

    std::vector<std::string> to_end() {
        std::vector<std::string> words;
        while (next() && word_ != "$end") words.push_back(word_);
        if (word_ != "$end") fail("no $end");
        return words;
    }

    void declare() {
        const std::string keyword = word_;
        const auto words = to_end();
        if (!vcd_.error.empty()) return;
        std::string all;
        for (const auto& word : words) all += (all.empty() ? "" : " ") + word;
        if (keyword == "$comment") {
            vcd_.comment = all;
        } else if (keyword == "$timescale") {
            vcd_.timescale = all;
        } else if (keyword == "$scope") {
            if (words.size() != 2 || words[0] != "module") fail("scope");
            ++scopes_;
        } else if (keyword == "$upscope") {
            if (!words.empty() || --scopes_ < 0) fail("upscope");
        } else if (keyword == "$var") {
            variable(words);
        } else if (keyword == "$enddefinitions") {
            are_defined_ = words.empty();
            if (!are_defined_ || vcd_.timescale.empty()) fail("enddefinitions");
        } else if (keyword != "$date" && keyword != "$version") {
            fail("keyword");
        }
    }

    void variable(const std::vector<std::string>& words) {
        if (words.size() != 4 || !is_number(words[1]) || !is_code(words[2]) || !is_reference(words[3]) ||
            scopes_ == 0)
            return fail("var");
        if (words[0] != "wire" && words[0] != "reg" && words[0] != "integer") return fail("type");
        VcdVariable made{words[0], words[3], words[2], std::stoi(words[1])};
        if (by_code_.count(made.code) != 0 || vcd_.variable(made.name) != nullptr) return fail("twice");
        by_code_[made.code] = vcd_.variables.size();
        vcd_.variables.push_back(made);
    }

    void simulate() {
        if (word_[0] == '#') {
            if (!is_number(word_.substr(1))) return fail("time");
            const std::int64_t at = std::stoll(word_.substr(1));
            if (has_time_ && at <= vcd_.last) return fail("time goes back");
            vcd_.last = at;
            has_time_ = true;
        } else if (word_ == "$dumpvars") {
            is_dumping_ = true;
        } else if (word_ == "$end") {
            if (!is_dumping_) fail("end");
            is_dumping_ = false;
        } else if (word_[0] == 'b') {
            const std::string value = word_.substr(1);
            if (!next()) return fail("no code");
            change(value, word_, true);
        } else {
            change(word_.substr(0, 1), word_.substr(1), false);
        }
    }

    void change(const std::string& value, const std::string& code, bool is_vector) {
        if (!has_time_ || by_code_.count(code) == 0) return fail("code");
        const VcdVariable& of = vcd_.variables[by_code_[code]];
        if ((of.bits != 1) != is_vector || value.empty() ||
            value.size() > static_cast<std::size_t>(of.bits) ||
            value.find_first_not_of("01xz") != std::string::npos)
            return fail("value");
        vcd_.changes.push_back({vcd_.last, of.name, value});
    }

    std::istringstream in_;
    std::string word_;
    Vcd vcd_;
    std::map<std::string, std::size_t> by_code_;
    int scopes_ = 0;
    bool are_defined_ = false, is_dumping_ = false, has_time_ = false;
};

}  // namespace

std::string Vcd::value(const std::string& name, std::int64_t at) const {
    std::string last_value;
    for (const auto& change : changes)
        if (change.at <= at && change.name == name) last_value = change.value;
    return last_value;
}

const VcdVariable* Vcd::variable(const std::string& name) const {
    const auto found = std::find_if(variables.begin(), variables.end(),
                                    [&](const VcdVariable& v) { return v.name == name; });
    return found == variables.end() ? nullptr : &*found;
}

Vcd read_vcd(const std::string& text) {
    return Reading(text).run();
}

}  // namespace fettle::test
