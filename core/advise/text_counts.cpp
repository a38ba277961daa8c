#include "core/advise/text_counts.hpp"

#include <algorithm>
#include <unordered_map>

namespace fettle::advise {

namespace {

/// Folds each character once: a text has few that differ.
class Folder {
public:
    explicit Folder(const TextCounts& counts) : counts_(counts) {}

    int place_of(char32_t character) {
        const auto [known, is_new] = places_.try_emplace(character, -1);
        if (is_new)
            known->second = counts_.place_of(is_white_space(character) ? k_word_space : folded(character));
        return known->second;
    }

private:
    const TextCounts& counts_;
    std::unordered_map<char32_t, int> places_;
};

}  // namespace

int TextCounts::place_of(char32_t character) const {
    const auto at = std::lower_bound(alphabet.begin(), alphabet.end(), character);
    return at == alphabet.end() || *at != character ? -1 : static_cast<int>(at - alphabet.begin());
}

TextCounts no_counts(std::span<const char32_t> alphabet) {
    TextCounts counts;
    for (const char32_t character : alphabet)
        counts.alphabet.push_back(is_white_space(character) ? k_word_space : folded(character));
    std::sort(counts.alphabet.begin(), counts.alphabet.end());
    counts.alphabet.erase(std::unique(counts.alphabet.begin(), counts.alphabet.end()), counts.alphabet.end());
    counts.letters.resize(counts.size());
    counts.bigrams.resize(counts.size() * counts.size());
    return counts;
}

Status add_text(TextCounts& counts, std::string_view utf8) {
    auto read = characters_of(utf8);
    if (!read) return read.failure();
    std::vector<char32_t>& characters = *read;
    while (!characters.empty() && is_white_space(characters.back())) characters.pop_back();
    Folder folder(counts);
    int before = -1;
    bool is_after_space = true;
    for (const char32_t character : characters) {
        const bool is_space = is_white_space(character);
        if (is_space && is_after_space) continue;
        is_after_space = is_space;
        const int place = folder.place_of(character);
        if (place < 0) {
            ++counts.left_out;
        } else {
            ++counts.letters[static_cast<std::size_t>(place)];
            ++counts.total;
            if (before >= 0) {
                ++counts.bigrams[static_cast<std::size_t>(before) * counts.size() +
                                 static_cast<std::size_t>(place)];
                ++counts.pairs;
            }
        }
        before = place;
    }
    return Done{};
}

Result<TextCounts> count_text(std::string_view utf8, std::span<const char32_t> alphabet) {
    TextCounts counts = no_counts(alphabet);
    if (const Status added = add_text(counts, utf8); !added) return added.failure();
    return counts;
}

}  // namespace fettle::advise
