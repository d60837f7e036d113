#pragma once
// Drilling, and boring of a cavity that opens towards the tailstock.
#include "chamber/turning/plan_fit.hpp"

namespace chamber::turning::detail {

/// Drills through `depth_mm` of metal from Z0. Where a thread is to be cut, to its size.
Result<Operation> drill(const Job& job, double depth_mm);

/// The mark a drill of this diameter starts in, where a centring drill is among the tools.
std::optional<Operation> centre(const Job& job, double hole_diameter_mm);

/// Steps parallel to the axis out of the pilot (its radius), then once along the contour, allowance left.
Result<Operation> rough_bore(const Job& job, const Bore& bore, double pilot_mm);

/// What the finishing pass leaves.
struct Finished {
  profile::Chain chain;
  double tight_left_cc = 0;
  std::vector<std::string> notes;
};
Result<Operation> finish_bore(const Job& job, const Bore& bore, double pilot_mm, Finished& done);

/// A pass of the finishing tool that leaves half the allowance: what is measured after it is this tool's own error.
Result<Operation> measure_bore(const Job& job, const Bore& bore, double pilot_mm, const Operation& finish);

/// Spindle speed for a cutting speed, whole and no more than the clamp.
double rpm_at(double speed_m_per_min, double diameter_mm, double clamp);

} // namespace chamber::turning::detail
