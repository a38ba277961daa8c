#pragma once
// Everything behind the window, wired once: store, device, worker, desk, screens. Made in that order, let go
// in the other. Thread: the window's. Owner: the command that opens the window.

#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "app/desk/desk.hpp"
#include "app/desk/station.hpp"
#include "app/desk/worker.hpp"
#include "app/shell/shell.hpp"
#include "app/views/views.hpp"
#include "core/base/clock.hpp"
#include "core/store/store.hpp"

namespace fettle::app {

struct WorkplaceWish {
    std::unique_ptr<LinkSource> source;
    std::unique_ptr<store::Store> store;  ///< nullptr: nothing is remembered
    std::unique_ptr<Worker> worker;
    std::vector<std::string> asset_folders;
    std::string data_folder;  ///< recordings and exports; "": none are saved
};

class Workplace {
public:
    /// clock outlives it.
    Workplace(WorkplaceWish wish, const Clock& clock);
    ~Workplace();
    Workplace(const Workplace&) = delete;
    Workplace& operator=(const Workplace&) = delete;

    Station& station() { return *station_; }
    DeskKeeper& keeper() { return *keeper_; }
    const Desk& desk() const { return keeper_->desk(); }
    /// Refers to this workplace.
    Scene scene();

private:
    std::unique_ptr<store::Store> store_;
    std::unique_ptr<LinkSource> source_;
    std::unique_ptr<Station> station_;
    std::unique_ptr<Worker> worker_;
    std::unique_ptr<DeskKeeper> keeper_;
    ViewState views_;
};

}  // namespace fettle::app
