// Makes the files that are derived from others; tests hold them equal to what this program prints.
//   profile_tool canonical FILE       the document as write() has it
//   profile_tool sizes FILE           bytes of the image by section
//   profile_tool built_in FILE        core/wire/built_in_image.cpp
//   profile_tool schema               assets/schema/profile.schema.json
#include <cstdio>
#include <string_view>

#include "core/profile/document.hpp"
#include "core/profile/image_compile.hpp"
#include "core/profile/layout.hpp"
#include "tests/profile/built_in_source.hpp"

namespace {

using namespace fettle::profile;

int complain(const fettle::Error& error) {
    std::fprintf(stderr, "%s: %s\n", error.where.c_str(), error.detail.c_str());
    return 1;
}

int run(std::string_view what, const char* file) {
    const auto profile = load_file(file);
    if (!profile) return complain(profile.error());
    if (what == "canonical") return std::fputs(write(*profile).c_str(), stdout), 0;
    const auto layout = XkbLayout::load(profile->keyboard_layout);
    if (!layout) return complain(layout.error());
    const auto compiled = build_image(*profile, **layout);
    if (!compiled) return complain(compiled.error());
    if (what == "built_in") return std::fputs(built_in_source(compiled->image).c_str(), stdout), 0;
    for (const SectionSize& one : compiled->sections) std::printf("%-9s %4d\n", one.name.c_str(), one.bytes);
    std::printf("%-9s %4zu\n%-9s %4d\n", "image", compiled->image.size(), "mirror", compiled->mirror_bytes);
    return 0;
}

}  // namespace

int main(int argc, char** argv) {
    const std::string_view what = argc > 1 ? argv[1] : "";
    if (what == "schema") return std::fputs(schema_json().c_str(), stdout), 0;
    const bool is_known = what == "canonical" || what == "sizes" || what == "built_in";
    if (argc == 3 && is_known) return run(what, argv[2]);
    std::fputs("profile_tool canonical|sizes|built_in FILE, or profile_tool schema\n", stderr);
    return 2;
}
