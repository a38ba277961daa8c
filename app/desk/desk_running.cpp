// Which profile the device runs: among those known, in the store, or read from the device itself.

#include <algorithm>

#include "app/desk/desk_inside.hpp"

namespace fettle::app {

namespace {

constexpr std::size_t k_most_known = 16;
/// Of one profile, newest first, so many revisions are compiled to find the one that runs.
constexpr std::size_t k_most_revisions = 200;

/// Compiled as this system types it; nothing when that cannot be done.
std::optional<profile::Compiled> built(const profile::Profile& profile) {
    auto layout = profile::XkbLayout::load(profile.keyboard_layout);
    Editing alone;
    if (layout) alone.layout = std::move(*layout);
    auto image = profile::build_image(profile, strokes_of(alone));
    if (!image) return std::nullopt;
    return std::move(*image);
}

std::optional<KnownImage> match(const profile::Profile& profile, std::uint32_t crc, std::int64_t entry,
                                std::int64_t revision) {
    const auto image = built(profile);
    if (!image || image->crc != crc) return std::nullopt;
    return KnownImage{crc, profile, image->image, true, entry, revision};
}

using Found = Result<std::optional<KnownImage>>;

/// The revision of the profile with this id whose image has this CRC.
Found find_in_store(store::Store& store, const profile::ProfileId& id, std::uint32_t crc) {
    const auto entry = store.find_profile(id);
    if (!entry) return entry.failure();
    if (!*entry) return std::optional<KnownImage>{};
    const auto revisions = store.revisions((*entry)->id);
    if (!revisions) return revisions.failure();
    for (std::size_t i = 0; i < std::min(revisions->size(), k_most_revisions); ++i) {
        const auto document = store.load_revision((*revisions)[i].id);
        if (!document) continue;  // a damaged revision does not hide the others
        if (auto one = match(*document, crc, (*entry)->id, (*revisions)[i].id)) return one;
    }
    return std::optional<KnownImage>{};
}

}  // namespace

const KnownImage* DeskKeeper::Inside::find_known(std::uint32_t crc) const {
    const auto at =
        std::find_if(known.rbegin(), known.rend(), [&](const KnownImage& one) { return one.crc == crc; });
    return at == known.rend() ? nullptr : &*at;
}

void DeskKeeper::Inside::remember(KnownImage one) {
    std::erase_if(known, [&](const KnownImage& old) { return old.crc == one.crc; });
    known.push_back(std::move(one));
    if (known.size() > k_most_known) known.erase(known.begin());
}

void DeskKeeper::Inside::identify() {
    const std::uint32_t crc = desk.device.hello->image_crc;
    running = crc;
    know_edited();
    const KnownImage* one = find_known(crc);
    show_running();
    if (one != nullptr && one->is_by_name) return;
    profile::ProfileId id{};
    std::copy_n(desk.device.hello->profile_id, id.size(), id.begin());
    const bool is_posted = with_store(
        T::desk_work_identify, [id, crc](store::Store& its) { return find_in_store(its, id, crc); },
        [crc](Inside& in, const Found& found) {
            if (found && *found) in.remember(**found);
            if (in.running == crc) in.identify_by(crc);
        });
    if (!is_posted) identify_by(crc);
}

void DeskKeeper::Inside::know_edited() {
    const Editing& editing = desk.editing;
    if (!running || !editing.compiled || editing.compiled->crc != *running) return;
    const KnownImage* one = find_known(*running);
    if (one != nullptr && one->is_by_name && one->profile == editing.profile) return;
    remember({*running, editing.profile, editing.compiled->image, true, editing.entry,
              editing.is_saved ? latest_revision : std::nullopt});
    show_running();
}

/// What neither the desk nor the store knows is read from the device.
void DeskKeeper::Inside::identify_by(std::uint32_t crc) {
    if (find_known(crc) != nullptr) return show_running();
    if (is_live()) station.ask(ask::ReadImage{});
}

void DeskKeeper::Inside::take_image(const std::vector<std::uint8_t>& image) {
    wire::MemoryImage memory{image.data(), static_cast<std::uint16_t>(image.size())};
    wire::ImageHeader header{};
    if (wire::read_header(wire::storage_of(memory), memory.size, header) != wire::ImageFault::none ||
        header.crc != running)
        return;  // it runs another one by now: that is asked for by itself
    const auto made =
        profile::decompile(image, strokes_of(desk.editing), desk.editing.profile.keyboard_layout);
    if (!made) return problem(made.error(), DeviceThen::unchanged);
    remember({*running, *made, image, false, {}, {}});
    show_running();
}

void DeskKeeper::Inside::show_running() {
    const KnownImage* one = running ? find_known(*running) : nullptr;
    desk.names = one != nullptr ? names_of(one->profile, one->image, desk.options.language) : EventNames{};
    desk.editing.on_device.reset();
    if (one != nullptr && one->is_by_name) desk.editing.on_device = one->profile;
    count_changes();
}

void DeskKeeper::Inside::take_from_device() {
    const KnownImage* one = running ? find_known(*running) : nullptr;
    if (one == nullptr) return warn(text(T::desk_not_read_yet));
    profile::Profile taken = one->profile;
    taken.id = desk.editing.profile.id;
    taken.name = desk.editing.profile.name;
    if (change(edit::Replace{std::move(taken)})) done(text(T::desk_taken_from_device));
}

}  // namespace fettle::app
