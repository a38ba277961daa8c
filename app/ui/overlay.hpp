#pragma once
// What opens over the screen and must be answered first: a list, digits, letters, a question. Its controls
// are in the registry like all others; those behind it are not, until it closes.

#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "app/ui/line_edit.hpp"
#include "app/ui/ui.hpp"

namespace fettle::app::ui {

struct Overlay {
    enum class Kind : std::uint8_t { list, digits, letters, ask };
    struct Answer {
        int index = -1;  ///< list: the option; ask: 1 yes, 0 no
        std::int64_t number = 0;
        std::string text;
    };

    static std::unique_ptr<Overlay> list(Ui& ui, std::string_view owner, std::string_view label,
                                         std::span<const std::string> options, int chosen);
    static std::unique_ptr<Overlay> digits(Ui& ui, std::string_view owner, std::string_view label,
                                           std::int64_t value, const NumberRange& range);
    static std::unique_ptr<Overlay> letters(Ui& ui, std::string_view owner, std::string_view label,
                                            std::string_view value, int most_characters);
    static std::unique_ptr<Overlay> ask(Ui& ui, std::string_view owner, std::string_view label,
                                        std::span<const std::string> question, std::string_view yes);
    /// The answer, once, when the overlay of that owner has one; the overlay is gone then. Nothing for one
    /// that was cancelled.
    static std::optional<Answer> take_answer(std::unique_ptr<Overlay>& overlay, std::string_view owner);

    /// True when the key was the overlay's own: text while editing, Escape. The rest moves the focus.
    /// Typing brings the focus back to Done, so that Enter ends it; until an arrow or Tab moves the focus,
    /// Space is typed, afterwards it selects.
    bool take_key(const KeyEvent& key, Navigator& navigator);
    /// Three parts: what it is about, what can be chosen (scrolls), how it is ended.
    void draw_head(Ui& ui);
    void draw_body(Ui& ui);
    void draw_foot(Ui& ui);
    /// Height of the first part, px.
    float head_px(const Ui& ui) const;
    /// Where the focus is when it opens.
    std::string first_focus() const;

    Kind kind = Kind::list;
    std::string owner, label, yes;
    std::vector<std::string> lines;  ///< options or the question
    int chosen = -1;
    NumberRange range;
    LineEdit edit;
    std::string complaint;
    std::optional<Answer> answer;
    bool is_over = false;  ///< answered or cancelled
    bool is_new = true;
    bool is_typing = true;  ///< Space is text
    int frames_over = 0;

private:
    bool takes_text() const { return kind == Kind::letters || kind == Kind::digits; }
    std::string edited() const;
    void draw_list(Ui& ui);
    void draw_digits(Ui& ui);
    void draw_letters(Ui& ui);
    void finish(Ui& ui);
    void finish_number(Ui& ui);
    void finish_with(Answer with);
    void cancel() { is_over = true; }
};

}  // namespace fettle::app::ui
