#include "core/engine/holds.hpp"

namespace fettle {
namespace engine {
namespace {

bool go(Hold& hold, HoldState to) {
    hold.state = to;
    return true;
}

}  // namespace

bool step(Hold& hold, HoldStep what) {
    switch (hold.state) {
        case HoldState::waiting: return what == HoldStep::turn && go(hold, HoldState::armed);
        case HoldState::armed: return what == HoldStep::built && go(hold, HoldState::pressing);
        case HoldState::pressing: return what == HoldStep::taken && go(hold, HoldState::down);
        case HoldState::down: return what == HoldStep::built && go(hold, HoldState::releasing);
        case HoldState::releasing:
            if (what != HoldStep::taken) return false;
            if (hold.clicks > 1) {
                --hold.clicks;
                return go(hold, HoldState::between);
            }
            return go(hold, HoldState::gone);
        case HoldState::between: return what == HoldStep::built && go(hold, HoldState::pressing);
        case HoldState::gone: return false;
    }
    return false;
}

}  // namespace engine
}  // namespace fettle
