#pragma once

#include <cstdint>
#include <string>

namespace fettle::app {

struct PeopleState {
    std::int64_t person = 0;  ///< that is looked at; 0: whose profile is open
    std::string import_path;
    std::string export_path;
    int example = 0;  ///< of the profiles that a new one can begin as
    bool shows_revisions = false;
};

}  // namespace fettle::app
