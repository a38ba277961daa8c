// What plots draw, read back from the draw data.
#include <doctest/doctest.h>
#include <imgui.h>

#include <algorithm>
#include <cmath>

#include "app/plot/plot.hpp"
#include "tests/plot/drawn.hpp"
#include "tests/ui/bench.hpp"

namespace fettle::app::test {
namespace {

using plot::Axis;
using plot::Plot;
using plot::Quantity;
using plot::Sample;

/// A plot of 0 to 2 s by 0 to 1000 counts on a canvas of 300 px.
struct Stage {
    std::function<void(Plot&, ui::Ui&)> draw;
    std::vector<plot::Entry> legend;
    plot::PilotState pilot;
    ui::Rect outer, inner;
    Bench bench;

    explicit Stage(std::function<void(Plot&, ui::Ui&)> what, int scale = 100)
        : draw(std::move(what)), bench([this](ui::Ui& ui) { view(ui); }, scale) {}
    void view(ui::Ui& ui) {
        ui.panel("all", {0, 0, 1280, 800});
        const ui::Canvas canvas = ui.canvas("plot", "Plot", "a line", 300);
        Plot p(ui, canvas, {.range = {0, 2e6}, .quantity = Quantity::time},
               {.range = {0, 1000}, .unit = "counts"}, legend);
        outer = canvas.rect;
        inner = p.inner();
        work(pilot, {.all = {0, 2e6}, .least_span = 1000, .step = 1000}, canvas, inner);
        draw(p, ui);
        ui.end_panel();
    }
};

bool is_inside(const std::vector<ui::Point>& points, const ui::Rect& r, float over) {
    return std::all_of(points.begin(), points.end(), [&](ui::Point p) {
        return p.x >= r.x - over && p.x <= r.right() + over && p.y >= r.y - over && p.y <= r.bottom() + over;
    });
}

bool overlap(const ui::Rect& a, const ui::Rect& b) {
    return a.x < b.right() - 1 && b.x < a.right() - 1 && a.y < b.bottom() - 1 && b.y < a.bottom() - 1;
}

TEST_CASE(
    "plot: ticks are drawn with their units, inside the canvas, none over another, at 100, 200 and 300 %") {
    for (const int scale : {100, 200, 300}) {
        CAPTURE(scale);
        Stage stage([](Plot&, ui::Ui&) {}, scale);
        stage.bench.settle();
        CHECK(has_drawn("2.0 s"));
        CHECK(has_drawn("0 counts"));
        const auto texts = drawn_texts();
        REQUIRE(texts.size() >= 4);
        for (std::size_t a = 0; a < texts.size(); ++a) {
            CAPTURE(texts[a].text);
            CHECK(texts[a].rect.x >= stage.outer.x);
            CHECK(texts[a].rect.right() <= stage.outer.right());
            CHECK(texts[a].rect.bottom() <= stage.outer.bottom() + 1);
            for (std::size_t b = a + 1; b < texts.size(); ++b)
                CHECK_FALSE(overlap(texts[a].rect, texts[b].rect));
        }
    }
}

TEST_CASE(
    "plot: a line from 0 to 1000 runs from the lower left to the upper right corner of its inner rectangle") {
    const std::vector<Sample> line{{0, 0}, {2e6, 1000}};
    Stage stage([&](Plot& p, ui::Ui& ui) { p.line(line, plot::pen(ui, 0)); });
    stage.bench.settle();
    const auto points = drawn_points(stage.bench.ui.theme().line[0]);
    REQUIRE(points.size() >= 2);
    CHECK(is_inside(points, stage.inner, 4));
    const auto [left, right] =
        std::minmax_element(points.begin(), points.end(), [](auto a, auto b) { return a.x < b.x; });
    CHECK(left->x == doctest::Approx(stage.inner.x).epsilon(0.01));
    CHECK(left->y == doctest::Approx(stage.inner.bottom()).epsilon(0.02));
    CHECK(right->x == doctest::Approx(stage.inner.right()).epsilon(0.01));
    CHECK(std::abs(right->y - stage.inner.y) < 4);
}

TEST_CASE("plot: a line that shoots 100 times above the axis is cut at the edge of the inner rectangle") {
    const std::vector<Sample> line{{0, 0}, {1e6, 100000}, {2e6, 0}};
    Stage stage([&](Plot& p, ui::Ui& ui) { p.line(line, plot::pen(ui, 1)); });
    stage.bench.settle();
    const auto points = drawn_points(stage.bench.ui.theme().line[1]);
    REQUIRE(!points.empty());
    CHECK(is_inside(points, stage.inner, 5));
}

TEST_CASE("plot: six lines of a million samples stay below 65,536 vertices a chunk and 300,000 in all") {
    std::vector<Sample> noise;
    for (int i = 0; i < 1000000; ++i) noise.push_back({i * 2.0, 500 + 400 * std::sin(i * 0.7)});
    Stage stage([&](Plot& p, ui::Ui& ui) {
        for (int i = 0; i < 6; ++i) p.line(noise, plot::pen(ui, i));
    });
    ImGui::GetIO().BackendFlags |= ImGuiBackendFlags_RendererHasVtxOffset;
    stage.bench.settle();
    CHECK(greatest_vertex_count() <= 65536);
    CHECK(ImGui::GetDrawData()->TotalVtxCount < 300000);
    CHECK(ImGui::GetDrawData()->TotalVtxCount > 6 * 4000);
}

TEST_CASE("plot: the six pens differ in colour and in dashes, a dashed line is drawn in pieces") {
    const std::vector<Sample> line{{0, 500}, {2e6, 500}};
    Stage whole([&](Plot& p, ui::Ui& ui) { p.line(line, plot::pen(ui, 0)); });
    whole.bench.settle();
    const auto one = drawn_points(whole.bench.ui.theme().line[0]).size();
    Stage dashed([&](Plot& p, ui::Ui& ui) { p.line(line, plot::pen(ui, 1)); });
    dashed.bench.settle();
    CHECK(drawn_points(dashed.bench.ui.theme().line[1]).size() > 20 * one);
    const auto& ui = whole.bench.ui;
    for (int a = 0; a < ui::k_plot_lines; ++a)
        for (int b = a + 1; b < ui::k_plot_lines; ++b) {
            CHECK(plot::pen(ui, a).dash != plot::pen(ui, b).dash);
            CHECK_FALSE(plot::pen(ui, a).color == plot::pen(ui, b).color);
        }
}

TEST_CASE("plot: bars, bands, marks and thresholds stay inside, their labels are drawn whole at the edges") {
    for (const int scale : {100, 300}) {
        CAPTURE(scale);
        Stage stage(
            [&](Plot& p, ui::Ui& ui) {
                const plot::Bar bars[] = {{-1e6, 1e5, 500}, {1e6, 1.2e6, 5000}, {1.9e6, 9e6, 20}};
                p.bars(bars, plot::pen(ui, 2));
                p.band(-1e6, 2e5, plot::pen(ui, 3), "band");
                p.mark(2e6, 1000, plot::Shape::circle, plot::pen(ui, 4), "at the end");
                p.threshold({.at = 0, .label = "threshold"}, true, plot::pen(ui, 5));
                p.mark(5e6, 0, plot::Shape::square, plot::pen(ui, 4), "outside");
            },
            scale);
        stage.bench.settle();
        for (int i = 2; i < 6; ++i) {
            CAPTURE(i);
            const auto points = drawn_points(stage.bench.ui.theme().line[static_cast<std::size_t>(i)]);
            CHECK(!points.empty());
            // A hatch is drawn beyond its band and cut by the card: its vertices are not looked at.
            if (i != 3) CHECK(is_inside(points, stage.outer, 2));
        }
        CHECK(has_drawn("at the end"));
        CHECK(has_drawn("threshold"));
        CHECK_FALSE(has_drawn("outside"));
        for (const DrawnText& text : drawn_texts()) {
            CAPTURE(text.text);
            CHECK(text.rect.x >= stage.outer.x);
            CHECK(text.rect.right() <= stage.outer.right() + 1);
        }
    }
}

TEST_CASE(
    "plot: a legend of four long entries takes lines of its own, the plot begins below it, also at 300 %") {
    for (const int scale : {100, 300}) {
        CAPTURE(scale);
        Stage stage([](Plot&, ui::Ui&) {}, scale);
        for (int i = 0; i < 4; ++i)
            stage.legend.push_back({.pen = plot::pen(stage.bench.ui, i),
                                    .label = "eine lange Beschriftung " + std::to_string(i)});
        stage.bench.settle();
        float lowest = 0;
        for (const DrawnText& text : drawn_texts())
            if (text.text.find("Beschriftung") != std::string::npos)
                lowest = std::max(lowest, text.rect.bottom());
        CHECK(lowest > 0);
        CHECK(lowest <= stage.inner.y + 1);
        CHECK(stage.inner.h > 60);
    }
}

TEST_CASE("plot: by keyboard alone: Tab, Enter, three arrows, the crosshair is drawn there; Escape leaves") {
    Stage* here = nullptr;
    Stage stage([&](Plot& p, ui::Ui&) {
        if (here->pilot.cursor) p.crosshair(*here->pilot.cursor, 500);
    });
    here = &stage;
    stage.bench.settle();
    CHECK(stage.bench.tab_to("plot"));
    stage.bench.press(ui::Key::right);
    CHECK_FALSE(stage.pilot.cursor);  // not entered yet
    stage.bench.press(ui::Key::enter);
    CHECK(stage.pilot.cursor == 1e6);
    for (int i = 0; i < 3; ++i) stage.bench.press(ui::Key::right);
    REQUIRE(stage.pilot.cursor);
    CHECK(*stage.pilot.cursor > 1e6);
    const double at = *stage.pilot.cursor;
    const auto ink = drawn_points(stage.bench.ui.theme().focus);
    const float px = stage.inner.x + static_cast<float>(at / 2e6) * stage.inner.w;
    CHECK(std::any_of(ink.begin(), ink.end(), [&](ui::Point p) { return std::abs(p.x - px) < 2; }));
    stage.bench.press(ui::Key::escape);
    stage.bench.press(ui::Key::right);
    CHECK(stage.pilot.cursor == at);
    CHECK(stage.bench.tab_to("plot"));
}

}  // namespace
}  // namespace fettle::app::test
