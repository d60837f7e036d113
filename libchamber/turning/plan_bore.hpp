#pragma once
// Drilling, and boring of a cavity that opens towards the tailstock.
#include "chamber/turning/plan_fit.hpp"
#include "chamber/turning/plan_stock.hpp"

namespace chamber::turning::detail {

/// Drills through `depth_mm` of metal from Z0. Where a thread is to be cut, to its size.
Result<Operation> drill(const Job& job, double depth_mm);

/// The mark a drill of this diameter starts in, where a centring drill is among the tools.
std::optional<Operation> centre(const Job& job, double hole_diameter_mm);

/// What stands in the bore, and the nose that left it.
struct Roughed {
  Standing standing;
  double nose_mm = 0;
};
/// Steps parallel to the axis out of the pilot (its radius), then along the contour, allowance left. `done` begins with
/// what stands before it.
Result<Operation> rough_bore(const Job& job, const Bore& bore, double pilot_mm, Roughed& done);

/// What the finishing pass leaves, and what comes before it.
struct Finished {
  profile::Chain chain;
  double tight_left_cc = 0;
  std::vector<double> before_mm; ///< what passes of the same tool before it leave, square to the profile; in order
  std::vector<std::string> notes;
};
/// The pass along the finished profile. `measured`: at least half the allowance is off before it.
Result<Operation> finish_bore(const Job& job, const Bore& bore, double pilot_mm, const Roughed& roughed, bool measured,
                              Finished& done);

/// The passes before it, Finished::before_mm: for what corners or floors would give it beyond its depth. Where a
/// measuring stop follows, what is measured after them is this tool's own error.
Result<Operation> passes_before(const Bore& bore, double pilot_mm, const Operation& finish,
                                const std::vector<double>& left_mm, bool measured);

/// Spindle speed for a cutting speed, whole and no more than the clamp.
double rpm_at(double speed_m_per_min, double diameter_mm, double clamp);

} // namespace chamber::turning::detail
