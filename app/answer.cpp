#include "app/answer.hpp"

#include <nlohmann/json.hpp>

#include "app/words/plain_text.hpp"

namespace fettle::app {

Answer& Answer::add(std::string key, Answer value) {
    if (!std::holds_alternative<Fields>(value_)) value_ = Fields{};
    std::get<Fields>(value_).emplace_back(std::move(key), std::move(value));
    return *this;
}

Answer& Answer::push(Answer value) {
    if (!std::holds_alternative<Items>(value_)) value_ = Items{};
    std::get<Items>(value_).push_back(std::move(value));
    return *this;
}

namespace {

using Json = nlohmann::ordered_json;

Json convert(const Answer& answer) {
    struct Visitor {
        Json operator()(std::nullptr_t) const { return nullptr; }
        Json operator()(bool v) const { return v; }
        Json operator()(std::int64_t v) const { return v; }
        Json operator()(double v) const { return v; }
        Json operator()(const std::string& v) const { return v; }
        Json operator()(const Items& items) const {
            Json array = Json::array();
            for (const Answer& item : items) array.push_back(convert(item));
            return array;
        }
        Json operator()(const Fields& fields) const {
            Json object = Json::object();
            for (const auto& [key, value] : fields) object[key] = convert(value);
            return object;
        }
    };
    return std::visit(Visitor{}, answer.value());
}

}  // namespace

std::string to_json(const Answer& answer) {
    return plain_json(convert(answer).dump(2, ' ', false, Json::error_handler_t::replace)) + "\n";
}

}  // namespace fettle::app
