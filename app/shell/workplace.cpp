#include "app/shell/workplace.hpp"

#include <utility>

namespace fettle::app {

Workplace::Workplace(WorkplaceWish wish, const Clock& clock)
    : store_(std::move(wish.store)),
      source_(std::move(wish.source)),
      station_(std::make_unique<Station>(*source_, clock)),
      worker_(std::move(wish.worker)),
      keeper_(std::make_unique<DeskKeeper>(*station_, *worker_, store_.get(), clock,
                                           std::move(wish.asset_folders), std::move(wish.data_folder))) {}

Workplace::~Workplace() {
    keeper_.reset();   // hands its last edits to the worker
    worker_.reset();   // writes them
    station_->stop();  // lets the device go
}

Scene Workplace::scene() {
    Scene scene;
    scene.refresh = [this] { keeper_->refresh(); };
    scene.options = [this] { return keeper_->desk().options; };
    scene.draw = [this](ui::Ui& ui) {
        // Taken when no screen is looking at the desk any more: an order may change what it goes through.
        std::vector<Order> asked;
        frame_view(ui, keeper_->desk(), views_, [&asked](Order order) { asked.push_back(std::move(order)); });
        for (Order& order : asked) keeper_->take(std::move(order));
    };
    return scene;
}

}  // namespace fettle::app
