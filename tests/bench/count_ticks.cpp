// Runs one scene for a number of ticks and nothing else: instructions.sh counts it under callgrind.
// usage: count_ticks idle|travel|infrared|busiest TICKS
#include <cstdlib>
#include <iostream>

#include "tests/bench/scene.hpp"

int main(int argc, char** argv) {
    const auto found = fettle::bench::hands_of(argc == 3 ? argv[1] : "");
    if (!found.found) {
        std::cerr << "usage: count_ticks idle|travel|infrared|busiest TICKS\n";
        return 2;
    }
    fettle::bench::Scene scene(found.hands);
    const long count = std::atol(argv[2]);
    for (long n = 0; n < count; ++n) scene.tick();
    std::cout << scene.reports() << " reports, " << scene.frames() << " frames\n";
    return 0;
}
