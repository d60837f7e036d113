#pragma once
// When an insert that was filled is right. One rule for the traveller and for trim.
#include "chamber/job/spec.hpp"
#include "chamber/units/tolerance.hpp"
#include <cmath>

namespace chamber::job {

/// How often the traveller asks for the insert to be filled; the mean counts.
inline constexpr std::size_t usual_fillings = 3;

/// Standard uncertainty of the mean of so many fillings, cc. They differ among each other by bubbles and meniscus, by
/// `scatter_cc` or what the spec says of one; the burette itself is off on all of them alike.
double fillings_standard_cc(const Doubts& doubts, std::size_t fillings, double scatter_cc = 0);

/// cc off what is wanted, either way.
struct FillRule {
  double limit_cc = tolerance::cutting_volume_cc; ///< right
  double untold_cc = 0; ///< what the mean is known to, 95 % (JCGM 100, 6.2: two standard uncertainties)
  /// Not right is proven only beyond the limit and what cannot be told (ISO 14253-1, from memory).
  double leave_cc() const { return limit_cc + untold_cc; }
  /// On the limit is within it, however a reading of two decimals comes out in binary.
  bool right(double error_cc) const { return std::abs(error_cc) <= limit_cc + 1e-9; }
  bool leave(double error_cc) const { return std::abs(error_cc) <= leave_cc() + 1e-9; }
};
FillRule fill_rule(double standard_cc);

} // namespace chamber::job
