#include "app/shell/screen_text.hpp"

#include <doctest/doctest.h>

#include <algorithm>

#include "core/base/files.hpp"
#include "tests/base/folder.hpp"

namespace fettle::app {
namespace {

ui::Registry two_controls() {
    ui::Registry registry;
    ui::Control button;
    button.id = "undo";
    button.label = "Undo\nall";
    button.number = 3;
    button.is_enabled = false;
    button.rect = {10.4f, 20.6f, 100, 44};
    ui::Control toggle;
    toggle.id = "dark";
    toggle.role = ui::Role::toggle;
    toggle.label = "Dark";
    toggle.value = "on";
    toggle.is_on = true;
    toggle.is_focused = true;
    toggle.is_in_view = false;
    registry.controls = {button, toggle};
    return registry;
}

/// The system's files, which count and may refuse to rename.
class Counted final : public FileSystem {
public:
    int renames = 0;
    int refused = 0;

    int open(const std::string& path) override { return files_.open(path); }
    int create(const std::string& path, unsigned mode) override { return files_.create(path, mode); }
    long read(int handle, char* to, size_t count) override { return files_.read(handle, to, count); }
    long write(int handle, const char* from, size_t count) override {
        return files_.write(handle, from, std::min<size_t>(count, 7));  // a system may take less
    }
    int sync(int handle) override { return files_.sync(handle); }
    int close(int handle) override { return files_.close(handle); }
    int rename(const std::string& from, const std::string& to) override {
        if (refused != 0) return refused;
        ++renames;
        return files_.rename(from, to);
    }
    int sync_folder(const std::string& folder) override { return files_.sync_folder(folder); }
    int remove(const std::string& path) override { return files_.remove(path); }
    int mode_of(const std::string& path) override { return files_.mode_of(path); }
    int set_mode(int handle, unsigned mode) override { return files_.set_mode(handle, mode); }
    std::string resolve(const std::string& path) override { return files_.resolve(path); }

private:
    FileSystem& files_ = system_files();
};

}  // namespace

TEST_CASE("screen text: what is read, then a line of 10 fields a control") {
    const ui::Registry registry = two_controls();
    const std::string text = screen_text(registry);
    const std::string read = registry.dump();
    REQUIRE(text.starts_with(read + "places\n"));
    const std::string places = text.substr(read.size() + 7);
    CHECK(places ==
          "undo\tbutton\t3\t10\t21\t100\t44\toff now\tUndo all\t\n"
          "dark\ttoggle\t0\t0\t0\t0\t0\tfocused,on,hidden\tDark\ton\n");
}

TEST_CASE("screen text: the file is written once a change, readable by its owner only") {
    const test::Folder folder;
    Counted files;
    ScreenTextFile file(folder.path() + "/text", files);
    ui::Registry registry = two_controls();
    for (int i = 0; i < 3; ++i) REQUIRE(file.write(registry));
    CHECK(files.renames == 1);
    CHECK(*read_file(folder.path() + "/text", 1 << 20) == screen_text(registry));
    CHECK(test::mode_of(folder.path() + "/text") == 0600);
    registry.controls[1].value = "off";
    REQUIRE(file.write(registry));
    CHECK(files.renames == 2);
    CHECK(*read_file(folder.path() + "/text", 1 << 20) == screen_text(registry));
}

TEST_CASE("screen text: a write that fails leaves the text before, and is tried again") {
    const test::Folder folder;
    Counted files;
    ScreenTextFile file(folder.path() + "/text", files);
    ui::Registry registry = two_controls();
    REQUIRE(file.write(registry));
    const std::string before = screen_text(registry);
    registry.controls.pop_back();
    files.refused = -28;  // ENOSPC
    CHECK(file.write(registry).error().code == Errc::disk_full);
    CHECK(*read_file(folder.path() + "/text", 1 << 20) == before);
    files.refused = 0;
    REQUIRE(file.write(registry));
    CHECK(*read_file(folder.path() + "/text", 1 << 20) == screen_text(registry));
}

TEST_CASE("screen text: into a folder that is not there it is an error") {
    const test::Folder folder;
    ScreenTextFile file(folder.path() + "/no/text");
    CHECK(file.write(two_controls()).error().code == Errc::not_found);
}

}  // namespace fettle::app
