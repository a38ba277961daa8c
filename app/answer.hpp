#pragma once
// What a command has to say, once for people and once for programs: the same tree is printed as lines or as
// JSON.

#include <cstdint>
#include <memory>
#include <string>
#include <utility>
#include <variant>
#include <vector>

namespace fettle::app {

class Answer;
using Fields = std::vector<std::pair<std::string, Answer>>;
using Items = std::vector<Answer>;

/// A value of JSON, keys in the order in which they were added. Built in code only, never parsed.
class Answer {
public:
    Answer() : value_(nullptr) {}
    Answer(bool value) : value_(value) {}
    Answer(int value) : value_(std::int64_t{value}) {}
    Answer(unsigned value) : value_(std::int64_t{value}) {}
    Answer(std::int64_t value) : value_(value) {}
    Answer(std::uint64_t value) : value_(static_cast<std::int64_t>(value)) {}
    Answer(double value) : value_(value) {}
    Answer(const char* value) : value_(std::string(value)) {}
    Answer(std::string value) : value_(std::move(value)) {}
    Answer(Items items) : value_(std::move(items)) {}

    static Answer object() { return Answer(Fields{}); }
    static Answer array() { return Answer(Items{}); }

    /// Adds a field; turns an empty answer into an object.
    Answer& add(std::string key, Answer value);
    /// Adds an item; turns an empty answer into an array.
    Answer& push(Answer value);

    using Value = std::variant<std::nullptr_t, bool, std::int64_t, double, std::string, Items, Fields>;
    const Value& value() const { return value_; }

private:
    explicit Answer(Fields fields) : value_(std::move(fields)) {}
    Value value_;
};

/// JSON text with a newline at its end; invalid UTF-8 is replaced by U+FFFD.
std::string to_json(const Answer& answer);

}  // namespace fettle::app
