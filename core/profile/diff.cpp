#include "core/profile/diff.hpp"

#include <string_view>

#include "core/profile/document.hpp"

namespace fettle::profile {

namespace {

/// The name that a list's record goes by: "name", or "input" for assignments. nullptr: by number.
const std::string* name_of(const Tree& record) {
    for (const char* key : {"name", "input"})
        if (const Tree* name = record.find(key)) return name->text();
    return nullptr;
}

bool is_named(const TreeList& list) {
    for (const Tree& one : list)
        if (name_of(one) == nullptr) return false;
    return true;
}

const Tree* find_by_name(const TreeList& list, const std::string& name) {
    for (const Tree& one : list)
        if (*name_of(one) == name) return &one;
    return nullptr;
}

std::string names_in_order(const TreeList& list) {
    std::string all;
    for (const Tree& one : list) all += (all.empty() ? "" : ", ") + *name_of(one);
    return all;
}

/// Records that change their kind (another action, another family) are shown whole.
bool is_of_one_kind(const Tree& a, const Tree& b) {
    for (const char* key : {"do", "kind", "family", "by"}) {
        const Tree* in_a = a.find(key);
        const Tree* in_b = b.find(key);
        if (in_a != nullptr && in_b != nullptr && !(*in_a == *in_b)) return false;
    }
    return true;
}

class Differ {
public:
    std::vector<Change> changes;

    void compare(const std::string& path, const Tree& a, const Tree& b) {
        if (a == b) return;
        const TreeObject* old_members = a.object();
        const TreeObject* new_members = b.object();
        if (old_members != nullptr && new_members != nullptr && is_of_one_kind(a, b))
            return compare_members(path, *old_members, a, *new_members, b);
        const TreeList* old_list = a.list();
        const TreeList* new_list = b.list();
        if (old_list != nullptr && new_list != nullptr && !is_plain(*old_list) && !is_plain(*new_list))
            return compare_lists(path, *old_list, *new_list, b.field);
        add(path, ChangeKind::changed, &a, &b);
    }

private:
    /// Lists of modifiers, buttons, numbers, pieces of text: shown whole.
    static bool is_plain(const TreeList& list) {
        for (const Tree& one : list)
            if (one.object() == nullptr && one.list() == nullptr) return true;
        return false;
    }
    static std::string step(const std::string& path, std::string_view key) {
        return (path.empty() ? "" : path + "/") + std::string(key);
    }

    void compare_members(const std::string& path, const TreeObject& old_members, const Tree& a,
                         const TreeObject& new_members, const Tree& b) {
        for (const auto& [key, value] : new_members) {
            const Tree* before = a.find(key);
            if (before != nullptr)
                compare(step(path, key), *before, value);
            else
                add(step(path, key), ChangeKind::added, nullptr, &value);
        }
        for (const auto& [key, value] : old_members)
            if (b.find(key) == nullptr) add(step(path, key), ChangeKind::removed, &value, nullptr);
    }
    void compare_lists(const std::string& path, const TreeList& a, const TreeList& b, const Field* field) {
        if (!is_named(a) || !is_named(b)) return compare_by_number(path, a, b);
        for (const Tree& one : b) {
            const Tree* before = find_by_name(a, *name_of(one));
            if (before != nullptr)
                compare(step(path, *name_of(one)), *before, one);
            else
                add(step(path, *name_of(one)), ChangeKind::added, nullptr, &one);
        }
        for (const Tree& one : a)
            if (find_by_name(b, *name_of(one)) == nullptr)
                add(step(path, *name_of(one)), ChangeKind::removed, &one, nullptr);
        const bool is_ordered = path == "inputs" || path == "modes";
        if (is_ordered && a.size() == b.size() && names_in_order(a) != names_in_order(b) && same_names(a, b))
            changes.push_back({path, ChangeKind::changed, names_in_order(a), names_in_order(b), field});
    }
    static bool same_names(const TreeList& a, const TreeList& b) {
        for (const Tree& one : b)
            if (find_by_name(a, *name_of(one)) == nullptr) return false;
        return true;
    }
    void compare_by_number(const std::string& path, const TreeList& a, const TreeList& b) {
        for (std::size_t i = 0; i < a.size() || i < b.size(); ++i) {
            const std::string at = step(path, std::to_string(i));
            if (i >= a.size())
                add(at, ChangeKind::added, nullptr, &b[i]);
            else if (i >= b.size())
                add(at, ChangeKind::removed, &a[i], nullptr);
            else
                compare(at, a[i], b[i]);
        }
    }
    void add(std::string path, ChangeKind kind, const Tree* before, const Tree* after) {
        Change change{std::move(path), kind, {}, {}, nullptr};
        if (before != nullptr) change.before = write_json_line(*before);
        if (after != nullptr) change.after = write_json_line(*after);
        change.field = after != nullptr ? after->field : before->field;
        changes.push_back(std::move(change));
    }
};

}  // namespace

std::vector<Change> diff(const Profile& before, const Profile& after) {
    Differ differ;
    differ.compare("", to_tree(before), to_tree(after));
    return std::move(differ.changes);
}

}  // namespace fettle::profile
