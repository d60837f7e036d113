#pragma once
// What a burette figure means: to where the chamber was filled, and weighing instead of filling.
#include <string_view>

namespace chamber::engine {

/// To where the existing head was filled.
enum class Fill { plug_fitted, bottom_of_plug_hole, top_of_plug_hole };
inline constexpr std::string_view fill_names[] = {"plug fitted", "to the bottom of the plug hole",
                                                  "to the top of the plug hole"};

/// The plug hole of the head that was filled.
struct PlugHole {
  double pitch_diameter_mm = 0; ///< of the internal thread: its mean flank
  double length_mm = 0;         ///< pocket roof to plug seat
  double plug_tip_cc = 0; ///< what the plug's tip displaces beyond the hole's bottom, less its own hollow; 0 if unknown
};

/// Threaded volume of the hole, cc: pi/4 d^2 length.
double hole_cc(const PlugHole& hole);

/// The same head said in another convention, cc.
double convert_fill_cc(double cc, Fill from, Fill to, const PlugHole& hole);

/// Density of air-free water, g/cc, at 0-40 deg C: Kell's formula (J. Chem. Eng. Data 20 (1975) 97; constants from
/// memory).
double water_density_g_cc(double temperature_c);

} // namespace chamber::engine
