#pragma once
// Every tolerance of the product: unit, reason, and how it relates to the others.
// Printed decimals follow from these: a length is printed to coordinate_mm, a volume to volume_cc.

namespace chamber::tolerance {

/// mm. Two points nearer than this are one point. A thousandth of the finest step a lathe control takes
/// (coordinate_mm), and 1e5 times the rounding of doubles at 100 mm, so neither can blur it.
inline constexpr double point_mm = 1e-6;

/// mm. The step of a written millimetre coordinate, and of the dimension that closes the volume.
inline constexpr double coordinate_mm = 1e-3;

/// cc. The solved and rounded profile is this near to the wanted volume. A tenth of what the best burette
/// reading resolves (0.05 cc, ISO 385 class A), and many times what coordinate_mm costs on any closing dimension.
inline constexpr double volume_cc = 0.005;

/// cc. The cut chamber, read back from the written program, is this near to the profile: twice volume_cc,
/// a fifth of a class A burette's limit.
inline constexpr double program_volume_cc = 0.01;

/// cc. Two inserts nearer than this are one: a class A burette's limit (ISO 385), and what 0.02 mm on the depth of a
/// bowl costs.
inline constexpr double cutting_volume_cc = 0.05;

/// mm. Metal the tool may take beyond the drawing. Four rounding errors of a written coordinate
/// (coordinate_mm/2 in each of X radius and Z at both ends of a move).
inline constexpr double gouge_mm = 2e-3;

/// Relative. Closed form, quadrature, boundary representation and re-read file agree to this.
/// 1e-9 of 20 cc is a hundred-millionth of a burette's division; a wrong face or seam misses it by far.
inline constexpr double exact_relative = 1e-9;

/// Relative. The mesh figure, extrapolated, agrees to this: 0.001 cc of 20 cc.
inline constexpr double mesh_relative = 5e-5;

} // namespace chamber::tolerance
