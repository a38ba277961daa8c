#pragma once
// Documents that are wrong in one place each: what the parser must say of them, and whether a schema can see
// it (references between values are beyond JSON Schema).

#include <string>

#include "core/base/result.hpp"

namespace fettle::profile {

struct Broken {
    const char* what;
    const char* from;
    const char* to;
    Errc code;
    const char* where;
    const char* detail;  // a part of it
    bool is_seen_by_schema = true;
};
// Each takes one piece of the written sample and breaks it.
inline const Broken k_broken[] = {
    {"an unknown key", "\"version\": 513", "\"versoin\": 513", Errc::unknown_key, "/versoin",
     "allowed: format_version"},
    {"an unknown key deep inside", "\"acceptance_ms\": 35", "\"acceptance_s\": 35", Errc::unknown_key,
     "/rule_sets/1/acceptance_s", "acceptance_ms"},
    {"a number too large", "\"acceptance_ms\": 35", "\"acceptance_ms\": 5001", Errc::out_of_range,
     "/rule_sets/1/acceptance_ms", "5001; allowed: 0 to 5000 ms"},
    {"a number below 0", "\"acceptance_ms\": 35", "\"acceptance_ms\": -1", Errc::out_of_range,
     "/rule_sets/1/acceptance_ms", "-1; allowed: 0 to 5000 ms"},
    {"half a millisecond", "\"acceptance_ms\": 35", "\"acceptance_ms\": 0.5", Errc::out_of_range,
     "/rule_sets/1/acceptance_ms", "0.5"},
    {"a number that no integer holds", "\"acceptance_ms\": 35", "\"acceptance_ms\": 18446744073709551615",
     Errc::out_of_range, "/rule_sets/1/acceptance_ms", "allowed: 0 to 5000 ms"},
    {"text for a number", "\"acceptance_ms\": 35", "\"acceptance_ms\": \"35\"", Errc::wrong_type,
     "/rule_sets/1/acceptance_ms", "text; allowed: 0 to 5000 ms"},
    {"a step between", "\"longest_hold_ms\": 1500", "\"longest_hold_ms\": 1550", Errc::out_of_range,
     "/rule_sets/1/longest_hold_ms", "in steps of 100"},
    {"a long press shorter than 100 ms that is not off", "\"long_ms\": 600", "\"long_ms\": 99",
     Errc::out_of_range, "/rule_sets/0/long_ms", "0 (off), or 100 to 5000 ms"},
    {"null for a flag", "\"act_on_release\": true", "\"act_on_release\": null", Errc::wrong_type,
     "/rule_sets/1/act_on_release", "null; allowed: true or false"},
    {"a list for an object", "\"pace\": {", "\"pace\": [], \"x\": {", Errc::wrong_type, "/pace",
     "a list; allowed: an object"},
    {"an object for a list", "\"repeats\": [", "\"repeats\": {}, \"x\": [", Errc::wrong_type, "/repeats",
     "an object"},
    {"an unknown version", "\"format_version\": 1", "\"format_version\": 2", Errc::version, "/format_version",
     "2; allowed"},
    {"no version", "\"format_version\": 1,", "", Errc::missing_key, "/format_version", "missing"},
    {"an id of 15 digits", "\"1032547698badcfe\"", "\"1032547698badcf\"", Errc::out_of_range, "/id",
     "16 digits"},
    {"an unknown action", "\"do\": \"grid_pick\"", "\"do\": \"launch\"", Errc::out_of_range,
     "/modes/1/assignments/3/short/do", "one of: key, latch"},
    {"a key of another action", "\"do\": \"grid_pick\"", "\"do\": \"grid_pick\", \"counts\": 3",
     Errc::unknown_key, "/modes/1/assignments/3/short/counts", "allowed: do"},
    {"an unknown direction", "\"direction\": \"up_left\"", "\"direction\": \"upwards\"", Errc::out_of_range,
     "/modes/0/assignments/0/short/direction", "one of: up, up_right"},
    {"a diagonal scroll", "\"direction\": \"left\", \"detents\": 3",
     "\"direction\": \"up_left\", \"detents\": 3", Errc::out_of_range,
     "/modes/1/assignments/0/short/direction", "up, right, down, left"},
    {"a motion that is not there", "\"motion\": \"travel\"", "\"motion\": \"fast\"", Errc::unknown_name,
     "/modes/0/assignments/0/short/motion", "\"fast\"; allowed: travel, points, keys, moves", false},
    {"a rule set that is not there", "\"rules\": \"switches\"", "\"rules\": \"switch\"", Errc::unknown_name,
     "/inputs/2/rules", "remote, switches", false},
    {"an input that is not there", "\"input\": \"spare\"", "\"input\": \"spar\"", Errc::unknown_name,
     "/modes/1/assignments/4/input", "button, other, line", false},
    {"an input assigned twice", "\"input\": \"other\"", "\"input\": \"button\"", Errc::duplicate,
     "/modes/0/assignments/1", "stands twice", false},
    {"two modes of one name", "\"name\": \"second\"", "\"name\": \"first\"", Errc::duplicate, "/modes/1",
     "first", false},
    {"a name with a space", "\"name\": \"second\"", "\"name\": \"sec ond\"", Errc::out_of_range,
     "/modes/1/name", "letters"},
    {"a label of 13 characters", "\"label\": \"First\"", "\"label\": \"Thirteen char\"", Errc::out_of_range,
     "/modes/0/label", "up to 12"},
    {"a label beyond ASCII", "\"label\": \"First\"", "\"label\": \"F\u00FCrst\"", Errc::out_of_range,
     "/modes/0/label", "ASCII"},
    {"a modifier that is none", "\"left_gui\"", "\"left_hyper\"", Errc::out_of_range,
     "/modes/0/assignments/2/double/modifiers/0", "some of: left_control"},
    {"a modifier twice", "[\"left_gui\"]", "[\"left_gui\", \"left_gui\"]", Errc::duplicate,
     "/modes/0/assignments/2/double/modifiers/1", "twice"},
    {"a key that is none", "\"key\": \"tab\"", "\"key\": \"tabulator\"", Errc::out_of_range,
     "/texts/0/parts/1/key", "usage_"},
    {"a consumer usage that is none", "\"volume_up\"", "\"louder\"", Errc::out_of_range,
     "/modes/1/assignments/1/double/usage", "usage_"},
    {"rows of unequal length", "[\"Z\", ", "[", Errc::out_of_range, "/grid/rows/1", "a row of 2", false},
    {"a number in a cell", "[\"Z\", ", "[5, ", Errc::wrong_type, "/grid/rows/1/0",
     "text, an object with a key, or null"},
    {"a command too wide for sirc20", "\"command\": 73", "\"command\": 128", Errc::out_of_range,
     "/inputs/0/source/command", "0 to 127", false},
    {"a signature for a known protocol", "\"extended\": 200", "\"extended\": 200, \"signature\": 5",
     Errc::out_of_range, "/inputs/0/source/signature", "0", false},
    {"off above on", "\"off_permille\": 400", "\"off_permille\": 599", Errc::out_of_range,
     "/inputs/3/source/off_permille", "at least 4 less", false},
    {"a repeat without its hold", "\"hold\": \"held\"", "\"hold\": \"held\", \"repeat\": \"slow\"",
     Errc::out_of_range, "/modes/0/assignments/2/short/repeat", "hold: repeated", false},
};

/// The written sample with that one place broken; as it was if the place is not there.
inline std::string broken(std::string text, const Broken& how) {
    const std::size_t at = text.find(how.from);
    return at == std::string::npos ? text : text.replace(at, std::string(how.from).size(), how.to);
}

}  // namespace fettle::profile
