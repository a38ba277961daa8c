#pragma once
// Switch lines and axes to levels of inputs. A line that never had an edge counts as not worked.

#include "core/engine/report.hpp"
#include "core/engine/setup.hpp"

namespace fettle {
namespace engine {

constexpr uint8_t k_line_closed_is_low = 0x80;  ///< InputDef::code of a switch
constexpr uint8_t k_axis_negative_side = 0x80;  ///< byte 0 of InputDef::code of an axis

class Lines {
public:
    void reset();
    /// Another profile: which inputs are switches, which axes. `down` (a bit per input) as the lines and axes
    /// stand.
    void load(const Setup& setup, uint32_t& down);
    /// A switch line changed (line 1 to 8; others are ignored). setup: nullptr before the first load().
    void edge(const Setup* setup, const Edge& edge, uint32_t& down);
    /// As TickInputs::axes; costs nothing while they stay the same.
    void axes(const Setup& setup, const int16_t* permille, uint32_t& down);

private:
    void refresh_axes(const Setup& setup, uint32_t& down) const;
    void refresh_switches(const Setup& setup, uint8_t line, uint32_t& down) const;
    bool is_closed(uint8_t wired) const;

    uint32_t axis_inputs_;
    int16_t axes_[k_axes];
    uint8_t high_;   ///< a bit per line
    uint8_t known_;  ///< lines that had an edge
};

}  // namespace engine
}  // namespace fettle
