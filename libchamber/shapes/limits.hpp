#pragma once
// Limits of size: what a dimension may be and why. The drawing prints them, the inspection copies them.
#include "chamber/shapes/oring.hpp"
#include <cstddef>
#include <span>
#include <vector>

namespace chamber::shapes {

/// The dimensions an insert is inspected by. Those that occur more than once are counted from the sealing face, or from
/// the inside out.
enum class Size {
  step_diameter,
  step_length, ///< of all but the last step, which the height closes
  height,
  face_groove_inner,
  face_groove_width,
  face_groove_depth,
  radial_groove_from_face,
  radial_groove_width,
  radial_groove_floor, ///< diameter
  seat_below_top,
  rim,    ///< diameter of the recess's wall
  band,   ///< height over the sealing face at a gauge diameter
  mouth,  ///< diameter, sharp
  pocket, ///< diameter
  roof,   ///< height over the sealing face
};

/// Why a dimension has the limits it has.
enum class Grounds {
  general, ///< ISO 2768-m, as the drawing says of all that it says nothing else of
  profile, ///< surface profile of the chamber
  gland,   ///< of its O-ring
  fit,     ///< h9 in its bore
  check,   ///< drawn in to where a check of the design still holds
};

/// mm.
struct Limits {
  Size size{};
  std::size_t index = 0;
  double nominal_mm = 0, lower_mm = 0, upper_mm = 0;
  Grounds grounds = Grounds::general;
  double gauge_diameter_mm = 0; ///< of a height on the band: where it is measured

  bool symmetric() const;
};

/// Null where the insert has no such dimension.
const Limits* find(std::span<const Limits> limits, Size size, std::size_t index = 0);

/// ISO 2768-1, class m: permissible deviation of a linear size, mm.
double general_deviation_mm(double size_mm);
/// ISO 286-1, IT9 (from memory): from the nominal diameter down for h9, mm.
double h9_mm(double diameter_mm);

/// Of a groove's width or depth: the handbook's where the nominal lies in it, else its spread round the nominal (common
/// practice, no source).
Limits gland_limits(Size size, std::size_t index, double nominal_mm, double low_mm, double high_mm);

/// As it is printed, in units of the drawing. Never outside the limits themselves, but where no printed figure lies
/// between them: then the nearest.
struct PrintedLimits {
  double nominal = 0, lower = 0, upper = 0;
  bool fine = false; ///< one decimal more than usual
  int decimals = 0;
};
/// To 0.01 mm or 0.001 in, and one decimal more where that would leave too few steps.
PrintedLimits printed(const Limits& limits, bool inch);

} // namespace chamber::shapes
