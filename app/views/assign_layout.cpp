// The keyboard layout that the person's computer is set to.
#include <array>

#include "app/views/assign_marks.hpp"
#include "app/views/assign_words.hpp"
#include "core/profile/field_table.hpp"

namespace fettle::app {

using namespace profile;

namespace {

struct LayoutRow {
    const char* layout;
    const char* variant;
    T name;
};
/// Common layouts by their X Keyboard Extension names. Only those that this system knows are offered.
constexpr std::array k_layouts = {LayoutRow{"us", "", T::assign_layout_us},
                                  LayoutRow{"us", "intl", T::assign_layout_us_intl},
                                  LayoutRow{"us", "dvorak", T::assign_layout_dvorak},
                                  LayoutRow{"gb", "", T::assign_layout_gb},
                                  LayoutRow{"de", "", T::assign_layout_de},
                                  LayoutRow{"de", "nodeadkeys", T::assign_layout_de_nodead},
                                  LayoutRow{"at", "", T::assign_layout_at},
                                  LayoutRow{"ch", "", T::assign_layout_ch},
                                  LayoutRow{"fr", "", T::assign_layout_fr},
                                  LayoutRow{"be", "", T::assign_layout_be},
                                  LayoutRow{"es", "", T::assign_layout_es},
                                  LayoutRow{"it", "", T::assign_layout_it},
                                  LayoutRow{"pt", "", T::assign_layout_pt},
                                  LayoutRow{"br", "", T::assign_layout_br},
                                  LayoutRow{"dk", "", T::assign_layout_dk},
                                  LayoutRow{"no", "", T::assign_layout_no},
                                  LayoutRow{"se", "", T::assign_layout_se},
                                  LayoutRow{"fi", "", T::assign_layout_fi},
                                  LayoutRow{"pl", "", T::assign_layout_pl},
                                  LayoutRow{"cz", "", T::assign_layout_cz},
                                  LayoutRow{"hu", "", T::assign_layout_hu},
                                  LayoutRow{"gr", "", T::assign_layout_gr},
                                  LayoutRow{"ru", "", T::assign_layout_ru},
                                  LayoutRow{"tr", "", T::assign_layout_tr}};

/// One more of the table in a frame, so that none of them waits long. Places are kept for all from the start.
void learn_layouts(Assign& a) {
    auto& known = a.state.layouts;
    if (known.size() >= k_layouts.size()) return;
    const LayoutRow& row = k_layouts[known.size()];
    known.push_back(XkbLayout::load({row.layout, row.variant}) ? 1 : 0);
}

}  // namespace

void layout_page(Assign& a) {
    const KeyboardLayout& now = a.profile().keyboard_layout;
    learn_layouts(a);
    a.head(a.t(T::assign_layout));
    a.complaint();
    a.ui.text(a.t(T::assign_layout_hint));
    a.ui.fact("assign.layout.now", a.t(T::assign_layout_now),
              now.variant.empty() ? now.layout : now.layout + " (" + now.variant + ")");
    a.ui.live("assign.layout.known", a.ui.is_narrow() ? 4 : 2,
              a.layout() == nullptr ? a.t(T::assign_layout_unknown) : a.t(T::assign_layout_is_known));
    a.ui.group("assign.layouts", a.t(T::assign_layout));
    a.ui.row();
    for (std::size_t i = 0; i < k_layouts.size(); ++i) {
        const LayoutRow& row = k_layouts[i];
        const bool is_known = i >= a.state.layouts.size() || a.state.layouts[i] == 1;
        const KeyboardLayout names{row.layout, row.variant};
        const std::string id = std::string("assign.layout/") + row.layout + "/" + row.variant;
        if (a.ui.option(id, a.t(row.name), now == names, is_known)) a.edit(edit::SetLayout{names});
    }
    a.ui.end_row();
    a.ui.end_group();
    a.ui.group("assign.layout.free", a.t(T::assign_layout_free));
    a.ui.heading(a.t(T::assign_layout_free));
    if (const auto layout = a.ui.text_field("assign.layout.name", a.t(T::assign_layout_name), now.layout,
                                            static_cast<int>(field::k_layout.most)))
        a.edit(edit::SetLayout{{*layout, now.variant}});
    if (const auto variant = a.ui.text_field("assign.layout.variant", a.t(T::assign_layout_variant),
                                             now.variant, static_cast<int>(field::k_layout_variant.most)))
        a.edit(edit::SetLayout{{now.layout, *variant}});
    a.ui.end_group();
    findings_part(a, [&](const Finding& f) {
        return f.kind == FindingKind::layout_unknown || f.kind == FindingKind::text_not_typable;
    });
}

}  // namespace fettle::app
