#include "core/base/files.hpp"
#include "core/profile/describe.hpp"
#include "core/profile/document.hpp"
#include "core/profile/keys.hpp"

namespace fettle::profile {

namespace {

std::string hex_of(const ProfileId& id) {
    static const char k_hex[] = "0123456789abcdef";
    std::string text;
    for (const uint8_t byte : id) {
        text += k_hex[byte >> 4];
        text += k_hex[byte & 15];
    }
    return text;
}

/// Writes one record into an object of the tree.
class Writer {
public:
    explicit Writer(TreeObject& to) : to_(to) {}

    void number(const Field& f, const auto& value) { add_quietly(f, static_cast<int64_t>(value)); }
    void format_version(const Field& f) { add(f, Tree{int64_t{k_format_version}}); }
    void flag(const Field& f, bool value) {
        if (!f.is_quiet || value != (f.fallback != 0)) add(f, Tree{value});
    }
    void text(const Field& f, const std::string& value) {
        if (!f.is_quiet || !value.empty()) add(f, Tree{value});
    }
    void hex(const Field& f, const ProfileId& id) { add(f, Tree{hex_of(id)}); }
    void choice(const Field& f, const auto& value) {
        const int64_t index = static_cast<int64_t>(value) - f.least;
        if (f.is_quiet && index == f.fallback) return;
        const bool is_known = index >= 0 && index < f.choices.count;
        add(f, Tree{std::string(is_known ? f.choices.names[index] : "?")});
    }
    void bits(const Field& f, uint8_t value) {
        if (f.is_quiet && value == f.fallback) return;
        TreeList list;
        for (int bit = 0; bit < f.choices.count; ++bit)
            if ((value >> bit) & 1) list.push_back(Tree{std::string(f.choices.names[bit])});
        add(f, Tree{std::move(list)});
    }
    void key(const Field& f, uint8_t usage) {
        if (usage != 0) add(f, Tree{key_name(usage)});
    }
    void consumer(const Field& f, uint16_t usage) { add(f, Tree{consumer_name(usage)}); }
    void numbers(const Field& f, const auto& values) {
        TreeList list;
        for (const auto value : values) list.push_back(Tree{static_cast<int64_t>(value)});
        add(f, Tree{std::move(list)});
    }
    void object(const Field& f, const auto& record) { add(f, tree_of(record)); }
    void list(const Field& f, const auto& records) {
        TreeList list;
        for (const auto& record : records) list.push_back(tree_of(record));
        add(f, Tree{std::move(list)});
    }
    void optional(const Field& f, const auto& record) {
        if (record) add(f, tree_of(*record));
    }
    void one_of(const Field& f, const auto& variant) {
        add(f, Tree{std::string(f.choices.names[variant.index()])});
        std::visit([&](const auto& record) { describe(*this, record); }, variant);
    }
    void pieces(const Field& f, const Field& piece_field, const std::vector<TextPart>& parts) {
        TreeList list;
        for (const TextPart& part : parts) {
            const auto* words = std::get_if<std::string>(&part);
            list.push_back(words != nullptr ? Tree{*words, &piece_field} : tree_of(std::get<Stroke>(part)));
        }
        add(f, Tree{std::move(list)});
    }
    void rows(const Field& f, const Field& row_field, const Field& cell_field, const auto& rows) {
        TreeList list;
        for (const auto& row : rows) {
            TreeList cells;
            for (const Cell& cell : row) cells.push_back(cell_tree(cell, cell_field));
            list.push_back(Tree{std::move(cells), &row_field});
        }
        add(f, Tree{std::move(list)});
    }

    static Tree tree_of(const auto& record) {
        TreeObject object;
        Writer writer(object);
        describe(writer, record);
        return Tree{std::move(object)};
    }

private:
    static Tree cell_tree(const Cell& cell, const Field& cell_field) {
        if (const auto* stroke = std::get_if<Stroke>(&cell)) return tree_of(*stroke);
        if (const auto* text = std::get_if<std::string>(&cell)) return Tree{*text, &cell_field};
        return Tree{{}, &cell_field};
    }
    void add_quietly(const Field& f, int64_t value) {
        if (!f.is_quiet || value != f.fallback) add(f, Tree{value});
    }
    void add(const Field& f, Tree tree) {
        tree.field = &f;
        to_.emplace_back(f.key, std::move(tree));
    }

    TreeObject& to_;
};

}  // namespace

Tree to_tree(const Profile& profile) {
    return Writer::tree_of(profile);
}

Tree to_tree(const Action& action) {
    return Writer::tree_of(action);
}

std::string write(const Profile& profile) {
    return write_json(to_tree(profile));
}

Status save_file(const std::string& path, const Profile& profile, FileSystem& files) {
    return fettle::save_file(path, write(profile), Privacy::as_before, files);
}

}  // namespace fettle::profile
