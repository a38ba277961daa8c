// Every screen, walked: by Tab, by five directions, by number, by scanning; at 100 and 300 %, in each theme,
// in each language.
#include <doctest/doctest.h>

#include <set>

#include "tests/views/sitting.hpp"
#include "tests/views/walk.hpp"

namespace fettle::app::test {
namespace {

std::string joined(const std::vector<std::string>& lines) {
    std::string all;
    for (const std::string& line : lines) all += line + "\n";
    return all;
}

Screen screen_of(int i) {
    return static_cast<Screen>(i);
}

/// Controls whose number does not work them, counted by the probe that the window itself has: what it was
/// told to work.
std::vector<std::string> missed_by_number(Bench& bench) {
    std::vector<std::string> missed;
    for (const std::string& id : worked_ids(bench)) {
        const ui::Control* control = bench.find(id);
        if (control == nullptr) continue;
        const std::string digits = id == "calls.more" ? "0" : std::to_string(control->number);
        bench.worked.clear();
        for (const char digit : digits) {
            ui::KeyEvent key = key_event(ui::Key::other);
            key.text = std::string(1, digit);
            bench.input.keys.push_back(key);
        }
        bench.look_only([&] {
            for (std::size_t i = 0; i <= digits.size(); ++i) bench.frame();
        });
        if (bench.worked != std::vector<std::string>{id}) missed.push_back(id);
    }
    return missed;
}

/// From now on only the window's own time goes on, by so much a frame: what stands behind it holds still.
void hold_still(Sitting& sitting, std::int64_t frame_ms = 16) {
    sitting.bench->settle();
    Bench* bench = sitting.bench.get();
    bench->before_frame = [bench, &sitting, frame_ms] {
        bench->input.now_ms += frame_ms - 16;
        bench->options = sitting.desk().options;
    };
}

struct Case {
    int percent;
    ui::ThemeName theme;
    Language language;
};

constexpr Case k_cases[] = {{100, ui::ThemeName::dark, Language::english},
                            {300, ui::ThemeName::dark, Language::english},
                            {100, ui::ThemeName::light, Language::german},
                            {300, ui::ThemeName::light, Language::german},
                            {100, ui::ThemeName::high_contrast, Language::english},
                            {300, ui::ThemeName::high_contrast, Language::german}};

TEST_CASE(
    "walk: on 9 screens at 100 and 300 %, in 3 themes and 2 languages, all is 44 px, in its panel, apart") {
    for (const Case& one : k_cases) {
        SittingWish wish;
        wish.scale_percent = one.percent;
        wish.theme = one.theme;
        wish.language = one.language;
        Sitting sitting(wish);
        hold_still(sitting);
        for (const bool calls : {false, true}) {
            ui::Options options = sitting.desk().options;
            options.shows_call_list = calls;
            sitting.order(order::SetOptions{options});
            for (int i = 0; i < k_screens; ++i) {
                sitting.show(screen_of(i));
                CAPTURE(one.percent);
                CAPTURE(i);
                CAPTURE(calls);
                CHECK(joined(misplaced(*sitting.bench)) == "");
            }
        }
    }
}

TEST_CASE(
    "walk: on 9 screens at 100 and 300 % Tab and Shift+Tab come to every control, directions from each to "
    "each") {
    for (const int percent : {100, 300}) {
        SittingWish wish;
        wish.scale_percent = percent;
        Sitting sitting(wish);
        hold_still(sitting);
        for (int i = 0; i < k_screens; ++i) {
            sitting.show(screen_of(i));
            CAPTURE(percent);
            CAPTURE(i);
            CHECK(sitting.bench->ui.navigator().focus() != "");
            CHECK(joined(missed_by_tab(*sitting.bench)) == "");
            CHECK(joined(missed_by_directions(*sitting.bench)) == "");
        }
    }
}

TEST_CASE("walk: on 9 screens at 100 and 300 % every control is worked by its number, it alone") {
    for (const int percent : {100, 300}) {
        SittingWish wish;
        wish.scale_percent = percent;
        Sitting sitting(wish);
        ui::Options options = sitting.desk().options;
        options.shows_call_list = true;
        sitting.order(order::SetOptions{options});
        hold_still(sitting);
        for (int i = 0; i < k_screens; ++i) {
            sitting.show(screen_of(i));
            CAPTURE(percent);
            CAPTURE(i);
            CHECK(joined(missed_by_number(*sitting.bench)) == "");
        }
    }
}

TEST_CASE("walk: on 9 screens at 100 and 300 % every control is worked by one switch, it alone") {
    for (const int percent : {100, 300}) {
        SittingWish wish;
        wish.scale_percent = percent;
        Sitting sitting(wish);
        ui::Options options = sitting.desk().options;
        options.scans = true;
        options.scan_period_ms = 400;
        options.scan_first_ms = 0;
        sitting.order(order::SetOptions{options});
        hold_still(sitting, 200);
        for (int i = 0; i < k_screens; ++i) {
            sitting.show(screen_of(i));
            CAPTURE(percent);
            CAPTURE(i);
            std::vector<std::string> missed;
            for (const std::string& id : worked_ids(*sitting.bench)) {
                sitting.bench->worked.clear();
                sitting.bench->look_only([&] { (void)sitting.bench->scan_to(id); });
                if (sitting.bench->worked != std::vector<std::string>{id}) missed.push_back(id);
            }
            CHECK(joined(missed) == "");
        }
    }
}

TEST_CASE("frame: at 300 % on 1280 x 800 the content keeps 45 % of the height, in both languages") {
    for (const Language language : {Language::english, Language::german}) {
        SittingWish wish;
        wish.scale_percent = 300;
        wish.language = language;
        Sitting sitting(wish);
        sitting.bench->settle();
        const ui::Panel* content = sitting.bench->ui.registry().find_panel("content");
        REQUIRE(content != nullptr);
        CHECK(content->rect.h >= 0.45f * 800);
    }
}

}  // namespace
}  // namespace fettle::app::test
