// The one main() of every test binary, compiled once: doctest's implementation is slow to build.
#define DOCTEST_CONFIG_IMPLEMENT
#include <doctest/doctest.h>
#include <stdlib.h>

int main(int argc, char** argv) {
    // Properties draw the same cases every time, so that a failure can be seen again. RC_PARAMS overrides it.
    setenv("RC_PARAMS", "seed=20260105", 0);
    doctest::Context context(argc, argv);
    return context.run();
}
