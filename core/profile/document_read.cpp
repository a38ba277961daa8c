#include <algorithm>

#include "core/base/files.hpp"
#include "core/profile/describe.hpp"
#include "core/profile/document.hpp"
#include "core/profile/keys.hpp"

namespace fettle::profile {

namespace {

/// The value as it may stand in an error: short, whatever it is.
std::string shown(const Tree& tree) {
    std::string text = write_json_line(tree);
    if (text.size() <= 60) return text;
    std::size_t end = 57;
    while (end > 0 && (static_cast<unsigned char>(text[end]) & 0xC0u) == 0x80u) --end;
    return text.substr(0, end) + "...";
}

struct Report {
    std::vector<Error> errors;
    void add(Errc code, std::string where, std::string detail) {
        if (errors.size() < k_most_errors) errors.push_back(Error{code, std::move(where), std::move(detail)});
    }
};

/// Fills one record from an object of the tree; what is not there keeps its default.
class Reader {
public:
    Reader(const Tree& from, std::string path, Report& report)
        : from_(from), path_(std::move(path)), report_(report) {}

    /// False if it is no object; then nothing was read.
    bool is_object() {
        if (from_.object() != nullptr) return true;
        report_.add(Errc::wrong_type, path_, std::string(kind_name(from_)) + "; allowed: an object");
        return false;
    }

    void number(const Field& f, auto& value) {
        if (const Tree* tree = find(f)) read_number(f, *tree, path_of(f), value);
    }
    void format_version(const Field& f) {
        const int64_t* number = get<int64_t>(f);
        if (number != nullptr && *number != k_format_version)
            report_.add(Errc::version, path_of(f), std::to_string(*number) + "; allowed: " + allowed(f));
    }
    void flag(const Field& f, bool& value) {
        if (const bool* is_on = get<bool>(f)) value = *is_on;
    }
    void text(const Field& f, std::string& value) {
        if (const std::string* words = get<std::string>(f)) value = *words;
    }
    void hex(const Field& f, ProfileId& id) {
        const std::string* digits = get<std::string>(f);
        if (digits == nullptr) return;
        const bool is_good =
            digits->size() == 16 && digits->find_first_not_of("0123456789abcdef") == std::string::npos;
        if (!is_good) return out_of_range(f, path_of(f), *find(f));
        for (std::size_t i = 0; i < id.size(); ++i)
            id[i] = static_cast<uint8_t>(std::stoi(digits->substr(2 * i, 2), nullptr, 16));
    }
    template <class Choice>
    void choice(const Field& f, Choice& value) {
        if (const int index = read_choice(f); index >= 0) value = static_cast<Choice>(f.least + index);
    }
    void bits(const Field& f, uint8_t& value) {
        const TreeList* list = get<TreeList>(f);
        if (list == nullptr) return;
        unsigned bits = 0;
        for (std::size_t i = 0; i < list->size(); ++i) {
            const Tree& one = (*list)[i];
            const std::string where = path_of(f) + "/" + std::to_string(i);
            const int bit = one.text() != nullptr ? choice_of(f, *one.text()) : -1;
            if (bit < 0)
                out_of_range(f, where, one);
            else if ((bits >> bit) & 1u)
                report_.add(Errc::duplicate, where, shown(one) + " stands twice");
            else
                bits |= 1u << bit;
        }
        value = static_cast<uint8_t>(bits);
        if (bits == 0 && f.least > 0) out_of_range(f, path_of(f), *find(f));
    }
    void key(const Field& f, uint8_t& usage) {
        const std::string* name = get<std::string>(f);
        if (name == nullptr) return;
        const auto known = key_usage(*name);
        if (known)
            usage = *known;
        else
            out_of_range(f, path_of(f), *find(f));
    }
    void consumer(const Field& f, uint16_t& usage) {
        const std::string* name = get<std::string>(f);
        if (name == nullptr) return;
        const auto known = consumer_usage(*name);
        if (known)
            usage = *known;
        else
            out_of_range(f, path_of(f), *find(f));
    }
    void numbers(const Field& f, auto& values) {
        const TreeList* list = get<TreeList>(f);
        if (list == nullptr) return;
        if (static_cast<int64_t>(list->size()) < f.fallback || static_cast<int64_t>(list->size()) > f.step)
            return out_of_range(f, path_of(f), *find(f));
        if constexpr (requires { values.resize(std::size_t{}); }) values.resize(list->size());
        for (std::size_t i = 0; i < list->size(); ++i)
            read_number(f, (*list)[i], path_of(f) + "/" + std::to_string(i), values[i]);
    }
    void object(const Field& f, auto& record) {
        if (const Tree* tree = find(f)) read(*tree, path_of(f), record);
    }
    template <class Record>
    void list(const Field& f, std::vector<Record>& records) {
        const TreeList* list = get_list(f);
        if (list == nullptr) return;
        records.resize(list->size());
        for (std::size_t i = 0; i < list->size(); ++i)
            read((*list)[i], path_of(f) + "/" + std::to_string(i), records[i]);
    }
    template <class Record>
    void optional(const Field& f, std::optional<Record>& record) {
        if (const Tree* tree = find(f)) read(*tree, path_of(f), record.emplace());
    }
    void one_of(const Field& f, auto& variant) {
        const int index = read_choice(f);
        if (index < 0) {
            is_open_ = true;  // which keys belong here is not known
            return;
        }
        emplace_index(variant, static_cast<std::size_t>(index));
        std::visit([&](auto& record) { describe(*this, record); }, variant);
    }
    void pieces(const Field& f, const Field& piece_field, std::vector<TextPart>& parts) {
        const TreeList* list = get_list(f);
        if (list == nullptr) return;
        parts.resize(list->size());
        for (std::size_t i = 0; i < list->size(); ++i) {
            const Tree& one = (*list)[i];
            const std::string where = path_of(f) + "/" + std::to_string(i);
            if (one.object() != nullptr)
                read(one, where, parts[i].emplace<Stroke>());
            else if (one.text() != nullptr)
                parts[i] = *one.text();
            else
                wrong_piece(piece_field, where, one, "text or an object with a key");
        }
    }
    void rows(const Field& f, const Field& row_field, const Field& cell_field,
              std::vector<std::vector<Cell>>& rows) {
        const TreeList* list = get_list(f);
        if (list == nullptr) return;
        for (std::size_t i = 0; i < list->size(); ++i)
            row((*list)[i], path_of(f) + "/" + std::to_string(i), row_field, cell_field, rows.emplace_back());
    }

    template <class Record>
    static void read(const Tree& from, std::string path, Record& record, Report& report) {
        Reader reader(from, std::move(path), report);
        if (!reader.is_object()) return;
        describe(reader, record);
        reader.refuse_unknown();
    }

private:
    template <class Record>
    void read(const Tree& from, std::string path, Record& record) {
        read(from, std::move(path), record, report_);
    }
    void row(const Tree& tree, const std::string& where, const Field& f, const Field& cell_field,
             std::vector<Cell>& cells) {
        const TreeList* list = tree.list();
        if (list == nullptr) return wrong_piece(f, where, tree, allowed(f).c_str());
        if (!is_in_range(f, static_cast<int64_t>(list->size()))) return out_of_range(f, where, tree);
        cells.resize(list->size());
        for (std::size_t i = 0; i < list->size(); ++i) {
            const Tree& one = (*list)[i];
            const std::string cell_path = where + "/" + std::to_string(i);
            if (one.object() != nullptr)
                read(one, cell_path, cells[i].emplace<Stroke>());
            else if (one.text() != nullptr)
                cells[i] = *one.text();
            else if (!std::holds_alternative<std::monostate>(one.value))
                wrong_piece(cell_field, cell_path, one, "text, an object with a key, or null");
        }
    }

    std::string path_of(const Field& f) const { return path_ + pointer_step(f.key); }

    const Tree* find(const Field& f) {
        known_.push_back(&f);
        const Tree* tree = from_.find(f.key);
        if (tree == nullptr && f.is_required)
            report_.add(Errc::missing_key, path_of(f), "missing; allowed: " + allowed(f));
        return tree;
    }
    template <class T>
    const T* get(const Field& f) {
        const Tree* tree = find(f);
        if (tree == nullptr) return nullptr;
        const T* value = std::get_if<T>(&tree->value);
        if (value == nullptr) wrong_type(f, *tree);
        return value;
    }
    const TreeList* get_list(const Field& f) {
        const TreeList* list = get<TreeList>(f);
        if (list == nullptr || is_in_range(f, static_cast<int64_t>(list->size()))) return list;
        report_.add(Errc::out_of_range, path_of(f),
                    "a list of " + std::to_string(list->size()) + "; allowed: " + allowed(f));
        return nullptr;
    }
    int read_choice(const Field& f) {
        const std::string* name = get<std::string>(f);
        if (name == nullptr) return -1;
        const int index = choice_of(f, *name);
        if (index < 0) out_of_range(f, path_of(f), *find(f));
        return index;
    }
    template <class Number>
    void read_number(const Field& f, const Tree& tree, const std::string& where, Number& value) {
        int64_t number = 0;
        if (const int64_t* whole = std::get_if<int64_t>(&tree.value)) {
            number = *whole;
        } else if (const double* real = std::get_if<double>(&tree.value)) {
            // 60.0 is a whole number (JSON Schema says the same), 60.5 is none.
            const bool is_whole =
                *real >= -1e15 && *real <= 1e15 && static_cast<double>(static_cast<int64_t>(*real)) == *real;
            if (!is_whole) return out_of_range(f, where, tree);
            number = static_cast<int64_t>(*real);
        } else {
            return wrong_piece(f, where, tree, allowed(f).c_str());
        }
        if (!is_in_range(f, number)) return out_of_range(f, where, tree);
        value = static_cast<Number>(number);
    }

    void wrong_piece(const Field&, const std::string& where, const Tree& tree, const char* what) {
        report_.add(Errc::wrong_type, where, std::string(kind_name(tree)) + "; allowed: " + what);
    }
    void wrong_type(const Field& f, const Tree& tree) {
        wrong_piece(f, path_of(f), tree, allowed(f).c_str());
    }
    void out_of_range(const Field& f, const std::string& where, const Tree& tree) {
        report_.add(Errc::out_of_range, where, shown(tree) + "; allowed: " + allowed(f));
    }
    void refuse_unknown() {
        if (is_open_) return;
        for (const auto& [key, child] : *from_.object()) {
            bool is_known = false;
            for (const Field* f : known_) is_known = is_known || key == f->key;
            if (!is_known)
                report_.add(Errc::unknown_key, path_ + pointer_step(key), "allowed: " + known_keys());
        }
    }
    std::string known_keys() const {
        std::string keys;
        std::vector<std::string_view> seen;
        for (const Field* f : known_) {
            if (std::find(seen.begin(), seen.end(), f->key) != seen.end()) continue;
            seen.emplace_back(f->key);
            keys += (keys.empty() ? "" : ", ") + std::string(f->key);
        }
        return keys;
    }

    const Tree& from_;
    std::string path_;
    Report& report_;
    std::vector<const Field*> known_;
    bool is_open_ = false;
};

}  // namespace

Result<Profile> parse(std::string_view json, std::vector<Error>* all) {
    Report report;
    Profile profile;
    const Result<Tree> tree = parse_json(json);
    if (tree)
        Reader::read(*tree, "", profile, report);
    else
        report.errors.push_back(tree.error());
    // A document of another version: what else is strange about it is no news.
    const auto version = std::find_if(report.errors.begin(), report.errors.end(),
                                      [](const Error& error) { return error.code == Errc::version; });
    if (version != report.errors.end()) report.errors = std::vector<Error>{Error(*version)};
    if (report.errors.empty()) report.errors = validate(profile);
    if (all != nullptr) *all = report.errors;
    if (!report.errors.empty()) return Unexpected{report.errors.front()};
    return profile;
}

Result<Profile> load_file(const std::string& path, std::vector<Error>* all, FileSystem& files) {
    const Result<std::string> text = read_file(path, k_document_bytes, files);
    if (!text) {
        if (all != nullptr) *all = {text.error()};
        return text.failure();
    }
    Result<Profile> profile = parse(*text, all);
    if (profile) return profile;
    if (all != nullptr)
        for (Error& error : *all) error.where = path + ": " + error.where;
    Error first = profile.error();
    first.where = path + ": " + first.where;
    return Unexpected{std::move(first)};
}

}  // namespace fettle::profile
