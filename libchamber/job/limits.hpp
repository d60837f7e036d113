#pragma once
// Limits of every dimension that an insert is inspected by: any part within all of them passes the design's own checks.
// Drawing and inspection take them from here.
#include "chamber/job/spec.hpp"
#include "chamber/shapes/limits.hpp"

namespace chamber::job {

/// Dimensions that have no room between their limits, each with what is at its limit there and a cure.
struct InsertLimits {
  std::vector<shapes::Limits> sizes;
  std::vector<Problem> nothing_left;
};

/// Begins with the usual limits (usual_limits) and draws in what would let a check fail.
InsertLimits limits_of(const Spec& spec, const solve::Fit& fit, const shapes::Insert& insert);

/// By standard, surface profile, gland and fit, whatever they do to the checks.
std::vector<shapes::Limits> usual_limits(const Spec& spec, const solve::Fit& fit, const shapes::Insert& insert);

/// The O-ring of a groove, counted from 0; null where none was named.
const shapes::ORingSize* ring_in_face_groove(const Spec& spec, std::size_t i);
const shapes::ORingSize* ring_in_radial_groove(const Spec& spec, std::size_t i);

/// "step 1, ⌀", "radial groove 2, width": numbered where there are more of its kind.
std::string words_for(const shapes::Limits& size, std::span<const shapes::Limits> all);

/// What a check has in hand; under 0 it fails.
struct Margin {
  std::string name, key; ///< the key in the spec that sets it
  double value = 0;      ///< of what the check counts in
};
/// The insert's checks as if its sizes were off by `deviations_mm`, one for each of `sizes`.
std::vector<Margin> margins_of(const Spec& spec, const solve::Fit& fit, const shapes::Insert& insert,
                               std::span<const shapes::Limits> sizes, std::span<const double> deviations_mm);
/// What one size's deviation makes of the volume with the plug fitted, cc.
double volume_change_cc(const Spec& spec, const solve::Fit& fit, std::span<const shapes::Limits> sizes, std::size_t i,
                        double deviation_mm);

} // namespace chamber::job
