#pragma once
// Paths of the nose centre: roughing passes, contour passes, and their translation to the control point.
#include "chamber/turning/plan.hpp"

namespace chamber::turning::detail {

inline constexpr double clear_mm = 2.0;   ///< in front of the face, where rapids begin and end
inline constexpr double retract_mm = 0.3; ///< off the surface just cut

/// What a finishing path keeps off the profile, so that rounding to a coarse grid does not take the tool into it:
/// inches are written in steps of 0.0001 in, 0.00254 mm, against tolerance::gouge_mm of 0.002 mm.
double grid_ease_mm(const Machine& machine);

/// True when r never grows along the chain (a chamber that opens towards the piston everywhere).
bool falls_in_r(profile::ChainView chain);

/// The part of an r-falling chain with r between `outer` and `inner`, both cut exactly.
profile::Chain between(profile::ChainView chain, double outer, double inner);

/// Path of a circle's centre that rolls along the chamber, at `distance` from it and from the sealing face: rim ->
/// axis, beginning where it leaves the face. Falls in r, or is refused.
Result<profile::Chain> contour_at(profile::ChainView chamber, double distance);

/// What is left of the chamber when a nose of this radius has rolled along it: its tight rounds filled.
Result<profile::Chain> reached_by(profile::ChainView chamber, double nose_mm);

/// The whole contour from a lead-in in the air to a lead-out past `inner`.
profile::Chain contour_pass(profile::ChainView contour, double inner, double nose_mm);

/// Stepped passes parallel to the axis from the pilot outwards, each down to the contour and along it to the one
/// before. On the way off nose and bar (from the nose's tip to its far side, with its air) stay within what
/// the pass has opened. `inner`: no pass goes nearer to the axis; `front_mm`: metal that stands in front of the face.
std::vector<profile::Chain> stepped_passes(profile::ChainView contour, double pilot_radius, double nose_mm,
                                           double step_mm, double bar_mm, double inner, double front_mm);

/// Appends rapid approach, the path at the given feed, and rapid retreat to the operation. `front_mm`: metal that
/// stands in front of the finished face.
void append(Operation& op, const profile::Chain& path, double feed_mm_per_rev, double front_mm = 0);

/// The same for a control that accounts for the nose itself: rapid to `from`, a line that leads in to the path's start,
/// the path (the profile itself), a line that leads out to `to`, rapid retreat. from and to are where the control point
/// stands.
void append_by_control(Operation& op, const profile::P& from, const profile::Chain& path, const profile::P& to,
                       double feed_mm_per_rev, double front_mm = 0);

/// Control point less nose centre, (X radius, Z program), in units of the nose radius.
struct Shift {
  int x, z;
};
Shift control_shift(int orientation);

} // namespace chamber::turning::detail
