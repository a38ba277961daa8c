// Writes the seeds into tests/fuzz/corpus: make_corpus FOLDER

#include <cstdio>
#include <exception>
#include <filesystem>
#include <fstream>

#include "tests/fuzz/seeds.hpp"

int main(int count, char** arguments) try {
    if (count != 2) {
        std::fputs("usage: make_corpus FOLDER\n", stderr);
        return 2;
    }
    for (const fettle::fuzz::Seed& seed : fettle::fuzz::make_seeds()) {
        const std::filesystem::path folder = std::filesystem::path(arguments[1]) / seed.target;
        std::filesystem::create_directories(folder);
        std::ofstream file(folder / seed.name, std::ios::binary);
        file.write(reinterpret_cast<const char*>(seed.tape.data()),
                   static_cast<std::streamsize>(seed.tape.size()));
        if (!file.flush()) {
            std::fprintf(stderr, "make_corpus: %s cannot be written\n", seed.name.c_str());
            return 1;
        }
    }
    return 0;
} catch (const std::exception& error) {
    std::fprintf(stderr, "make_corpus: %s\n", error.what());
    return 1;
}
