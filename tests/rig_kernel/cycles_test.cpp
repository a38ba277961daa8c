// Plugged in and pulled, again and again.

#include <doctest/doctest.h>

#include <cstdio>
#include <cstdlib>

#include "core/link/opening.hpp"
#include "tests/rig_kernel/rig.hpp"

using namespace fettle;
using namespace fettle::rig;
using link::Session;

namespace {

constexpr int k_plug_cycles = 200;

/// FETTLE_PLUG_CYCLES, where it is a number, asks for more or fewer.
int plug_cycles() {
    const char* asked = std::getenv("FETTLE_PLUG_CYCLES");
    const int number = asked != nullptr ? std::atoi(asked) : 0;
    return number > 0 ? number : k_plug_cycles;
}

/// Named, greeted over its HID channel with the serial one beside it, pulled while it is spoken to, gone.
void cycle(Cable& cable) {
    const News news;
    REQUIRE(cable.plug());
    REQUIRE(news.wait_until([&] {
        const Nodes nodes = cable.nodes();
        return !nodes.raw.empty() && !nodes.serial.empty();
    }));
    const auto attached = attached_at(cable.place());
    REQUIRE(attached.has_value());
    CHECK(attached->serial == "SIM00001");
    auto link = link::open_device(*attached, "", real_clock());
    REQUIRE(link.has_value());
    auto session = Session::open(std::move(*link));
    REQUIRE(session.has_value());
    REQUIRE((*session)->ping().has_value());
    cable.pull();
    CHECK((*session)->ping().error().code == Errc::closed);
    session->reset();
    REQUIRE(cable.pull_and_wait());
}

}  // namespace

TEST_CASE("200 plug cycles: each time named, greeted over HID with serial beside it, pulled, and gone") {
    Cable& cable = fresh_cable();
    REQUIRE(cable.pull_and_wait());
    const int cycles = plug_cycles();
    const auto began_ms = now_ms();
    for (int done = 1; done <= cycles; ++done) {
        CAPTURE(done);
        cycle(cable);
        if (done % 20 == 0)
            std::printf("figure: %d plug cycles, %lld ms each\n", done,
                        static_cast<long long>((now_ms() - began_ms) / done));
    }
}
