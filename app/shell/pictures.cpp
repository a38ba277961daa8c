#include "app/shell/pictures.hpp"

#include <array>
#include <functional>
#include <utility>

#include "app/desk/sim_source.hpp"
#include "app/shell/workplace.hpp"
#include "core/base/files.hpp"
#include "core/base/xdg.hpp"

namespace fettle::app {

namespace {

constexpr std::array<std::pair<Screen, const char*>, k_screens> k_names{{{Screen::connect, "connect"},
                                                                         {Screen::teach, "teach"},
                                                                         {Screen::assign, "assign"},
                                                                         {Screen::motion, "motion"},
                                                                         {Screen::presses, "presses"},
                                                                         {Screen::trial, "trial"},
                                                                         {Screen::people, "people"},
                                                                         {Screen::settings, "settings"},
                                                                         {Screen::fitting, "fitting"}}};
constexpr const char* k_demo = "volunteer";

/// The volunteer at the simulated device. Time passes only in let().
class Sitting {
public:
    explicit Sitting(const std::vector<std::string>& asset_folders)
        : place_(wish(asset_folders, clock_), clock_) {}

    Workplace& place() { return place_; }
    const Clock& clock() const { return clock_; }

    void order(Order order) { place_.keeper().take(std::move(order)); }
    void let(int ms) {
        constexpr int k_round_ms = 8;
        for (int passed = 0; passed < ms; passed += k_round_ms) {
            clock_.advance_ms(k_round_ms);
            place_.station().step();
            place_.keeper().refresh();
        }
    }
    /// Lets time pass until it is so.
    Status until(const char* what, const std::function<bool(const Desk&)>& is_so) {
        constexpr int k_patience_ms = 20'000;
        for (int waited = 0; waited < k_patience_ms; waited += 8) {
            if (is_so(place_.desk())) return Done{};
            let(8);
        }
        return fail(Errc::timed_out, what);
    }
    /// A press of the edited profile's input.
    void press(std::string_view name, std::uint32_t hold_ms, int then_ms) {
        for (const profile::Input& input : place_.desk().editing.profile.inputs)
            if (input.name == name) order(Ask{ask::Hand{input.source, true, hold_ms}});
        let(static_cast<int>(hold_ms) + then_ms);
    }

    Status open_demo();
    Status try_demo();
    void work();

private:
    static WorkplaceWish wish(const std::vector<std::string>& asset_folders, const Clock& clock) {
        WorkplaceWish wish;
        wish.source = std::make_unique<SimSource>();
        wish.worker = make_inline_worker();
        wish.asset_folders = asset_folders;
        if (auto store = store::Store::open(":memory:", clock)) wish.store = std::move(*store);
        return wish;
    }

    FakeClock clock_{1'767'603'600'000};  // 2026-01-05 09:00 UTC
    Workplace place_;
};

Status Sitting::open_demo() {
    order(Ask{ask::Connect{"sim"}});
    if (auto live = until("connect", [](const Desk& desk) { return desk.device.state == LinkState::live; });
        !live)
        return live;
    if (auto known = until("people", [](const Desk& desk) { return !desk.people.persons.empty(); }); !known)
        return known;
    order(order::NewProfile{place_.desk().people.persons.front().id, "Tool library", k_demo});
    return until("profile", [](const Desk& desk) { return desk.editing.profile.inputs.size() > 5; });
}

Status Sitting::try_demo() {
    order(order::Try{120, true});
    return until("trial",
                 [](const Desk& desk) { return desk.device.trial.phase == wire::TrialPhase::running; });
}

void Sitting::work() {
    press("right", 500, 200);
    press("select", 100, 300);
    press("down", 800, 250);
    for (int i = 0; i < 3; ++i) press("left", 80, 150);
    press("cheek", 120, 400);
    press("up", 200, 100);
}

}  // namespace

Result<std::vector<std::string>> save_pictures(const std::string& folder, const ui::Options& options,
                                               const std::vector<std::string>& asset_folders) {
    if (auto demo = find_asset(std::string("profiles/") + k_demo + ".json", asset_folders); !demo)
        return demo.failure();
    if (auto made = make_folder(folder); !made) return made.failure();
    Sitting sitting(asset_folders);
    ShellWish wish;
    wish.window.title = "Fettle";
    auto shell = Shell::open(wish, sitting.clock());
    if (!shell) return shell.failure();
    sitting.order(order::SetOptions{options});
    if (auto opened = sitting.open_demo(); !opened) return opened.failure();
    if (auto tried = sitting.try_demo(); !tried) return tried.failure();
    Scene scene = sitting.place().scene();
    scene.refresh = [&sitting] { sitting.let(16); };
    std::vector<std::string> files;
    for (const auto& [screen, name] : k_names) {
        sitting.work();
        sitting.order(order::Show{screen});
        const auto picture = (*shell)->picture(scene);
        if (!picture) return picture.failure();
        files.push_back(folder + "/" + name + ".png");
        if (auto saved = save_png(files.back(), *picture); !saved) return saved.failure();
    }
    return files;
}

}  // namespace fettle::app
