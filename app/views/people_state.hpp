#pragma once

namespace fettle::app {

struct PeopleState {};

}  // namespace fettle::app
