// What is open when the program starts, and how a profile gets onto the desk.

#include "app/desk/desk_inside.hpp"
#include "core/base/xdg.hpp"
#include "core/profile/document.hpp"

namespace fettle::app {

namespace {

constexpr const char* k_demo_profile = "volunteer";

struct Started {
    std::optional<std::string> options;
    std::optional<OpenedProfile> opened;
};

struct FirstNames {
    std::string person, profile;
    std::vector<std::string> folders;
};

/// An empty store gets one person with the demo profile: something to look at, and to try on.
Status fill(store::Store& store, const FirstNames& names) {
    const auto people = store.people();
    if (!people) return people.failure();
    if (!people->empty()) return Done{};
    const auto person = store.add_person(names.person);
    if (!person) return person.failure();
    auto profile = profile_from_asset(k_demo_profile, names.folders);
    profile::Profile first = profile ? *profile : built_in_profile();
    if (!store::check_name(first.name, "name")) first.name = names.profile;
    const auto added = store.add_profile(person->id, first);
    if (!added) return added.failure();
    return Done{};
}

Result<Started> start_with(store::Store& store, const FirstNames& names) {
    if (Status filled = fill(store, names); !filled) return filled.failure();
    const auto options = store.setting(k_options_setting);
    if (!options) return options.failure();
    auto one = open_any(store);
    if (!one) return one.failure();
    return Started{*options, std::move(*one)};
}

Result<std::optional<std::int64_t>> last_opened(store::Store& store) {
    const auto last = store.setting(k_last_profile_key);
    if (!last) return last.failure();
    if (*last) {
        const std::int64_t id = std::strtoll((*last)->c_str(), nullptr, 10);
        if (store.profile(id)) return std::optional(id);
    }
    const auto people = store.people();
    if (!people) return people.failure();
    for (const auto& person : *people) {
        const auto profiles = store.profiles(person.id);
        if (!profiles) return profiles.failure();
        if (!profiles->empty()) return std::optional(profiles->front().id);
    }
    return std::optional<std::int64_t>{};
}

/// The draft that was left when the program ended; nothing when there is none, or none that can be read.
Result<std::optional<profile::Profile>> draft_of(store::Store& store, std::int64_t id) {
    const auto draft = store.setting(draft_key(id));
    if (!draft) return draft.failure();
    if (!*draft) return std::optional<profile::Profile>{};
    auto parsed = profile::parse(**draft);
    if (!parsed) return std::optional<profile::Profile>{};
    return std::optional(std::move(*parsed));
}

}  // namespace

std::string foreign_key(std::int64_t profile) {
    return "foreign." + std::to_string(profile);
}

Status forget_settings_of(store::Store& store, std::int64_t profile) {
    if (Status gone = store.forget_setting(draft_key(profile)); !gone) return gone;
    return store.forget_setting(foreign_key(profile));
}

profile::Profile built_in_profile() {
    const std::vector<std::uint8_t> image(wire::k_built_in_image,
                                          wire::k_built_in_image + wire::k_built_in_image_bytes);
    auto made = profile::decompile(image, strokes_of(Editing{}), {});
    profile::Profile profile = made ? std::move(*made) : profile::Profile{};
    profile.name = "built-in";
    return profile;
}

Result<profile::Profile> profile_from_asset(const std::string& name,
                                            const std::vector<std::string>& folders) {
    if (name.empty()) return built_in_profile();
    const auto path = find_asset("profiles/" + name + ".json", folders);
    if (!path) return path.failure();
    return profile::load_file(*path);
}

Result<OpenedProfile> open_in_store(store::Store& store, std::int64_t id) {
    OpenedProfile one;
    auto document = store.load(id);
    const auto draft = draft_of(store, id);
    if (!draft) return draft.failure();
    if (*draft) {  // mends a damaged document, too
        const auto saved = store.save(id, **draft, store::RevisionKind::edited);
        if (!saved) return saved.failure();
        one.was_draft = saved->is_new;
        if (Status gone = store.forget_setting(draft_key(id)); !gone) return gone.failure();
        document = store.load(id);
    }
    if (!document) return document.failure();
    const auto entry = store.profile(id);
    if (!entry) return entry.failure();
    const auto foreign = store.setting(foreign_key(id));
    if (!foreign) return foreign.failure();
    if (Status noted = store.set_setting(k_last_profile_key, std::to_string(id)); !noted)
        return noted.failure();
    one.entry = *entry;
    one.profile = std::move(*document);
    one.is_foreign = foreign->has_value();
    return one;
}

OpenedOrNot open_any(store::Store& store) {
    const auto id = last_opened(store);
    if (!id) return id.failure();
    if (!*id) return std::optional<OpenedProfile>{};
    auto one = open_in_store(store, **id);
    if (!one) return one.failure();
    return std::optional(std::move(*one));
}

void DeskKeeper::Inside::start() {
    auto demo = store == nullptr ? profile_from_asset(k_demo_profile, asset_folders) : built_in_profile();
    set_editing({{}, demo ? std::move(*demo) : built_in_profile(), false, false});
    const FirstNames names{text(T::desk_first_person), text(T::desk_first_profile), asset_folders};
    is_started = !with_store(
        T::desk_work_open, [names](store::Store& its) { return start_with(its, names); },
        [](Inside& in, const Result<Started>& started) {
            in.is_started = true;
            if (!started) return in.problem(started.error());
            if (started->options) in.desk.options = options_from(*started->options);
            if (started->opened) {
                in.set_editing(*started->opened);
                if (started->opened->was_draft) in.warn(in.text(T::desk_draft_found));
            }
            in.read_people();
        });
}

void DeskKeeper::Inside::opened_or_not(OpenedOrNot opened_one, bool says_so) {
    if (!opened_one) return problem(opened_one.error());
    OpenedProfile one;
    if (*opened_one)
        one = std::move(**opened_one);
    else
        one.profile = built_in_profile();
    const std::string name = one.profile.name;
    const bool was_draft = one.was_draft;
    set_editing(std::move(one));
    read_people();
    if (was_draft)
        warn(text(T::desk_draft_found));
    else if (says_so)
        done(text(T::desk_opened, name));
}

void DeskKeeper::Inside::leave_editing() {
    saving.posted = saving.generation;
    desk.editing.is_saved = true;
    group_is_open = false;
}

}  // namespace fettle::app
