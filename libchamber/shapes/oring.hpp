#pragma once
// O-ring cross-sections and the grooves they want.
#include <span>
#include <string>
#include <string_view>

namespace chamber::shapes {

/// One AS568 cross-section with its static face-seal groove, mm. Section and tolerance: SAE AS568. Groove depth and
/// width (liquids): Parker O-Ring Handbook (from memory).
struct ORingSize {
  std::string_view name; ///< the section in inches, as people call it: "0.103"
  double section_mm, tolerance_mm;
  double depth_low_mm, depth_high_mm, width_low_mm, width_high_mm;
};
std::span<const ORingSize> o_ring_sizes();
const ORingSize* find_o_ring(std::string_view name);

/// How full a groove is: area of the largest ring's section over the groove's. At most 85 % (common practice, no
/// source).
struct GrooveFill {
  std::string groove;
  double section_mm = 0;
  double fill = 0;    ///< 0..1
  double squeeze = 0; ///< (section - depth) / section, of the nominal ring
};
inline constexpr double most_fill = 0.85;
GrooveFill groove_fill(std::string groove, const ORingSize& ring, double width_mm, double depth_mm);

} // namespace chamber::shapes
