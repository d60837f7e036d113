#include "chamber/turning/plan_control.hpp"
#include "chamber/profile/integrals.hpp"
#include "chamber/turning/plan_path.hpp"
#include <algorithm>
#include <cmath>
#include <optional>

namespace chamber::turning::detail {

using namespace profile;

namespace {

constexpr double least_turn_mm = 0.02; ///< radius left of a round when the nose rolls in it, where the control reckons
constexpr double parallels_meet_mm = 0.01; ///< a control joins parallels that miss each other by no more
constexpr double centre_steps = 3;         ///< of the grid that an arc's centre may be away from its place
constexpr double lead_turn_rad = 0.1;      ///< from the way in to the profile: more than rounding turns either

/// The direction in which a pass under G41 comes to its profile's start, or none where the nose has no room for it.
std::optional<P> way_in(const S& first, double nose) {
  const P along = direction_at(first, 0);
  if (std::abs(along.r) < 1e-9) return along; // down a wall: it stays there when it is rounded
  constexpr double slant = 0.2588;            // as in contour_pass: a tangent along the face would rub on it
  if (along.r > -0.5 || along.z >= slant)
    // The nose rolls on to the profile. A tangent that rounding turns the other way is a corner to the control, and
    // what lies before the point where the parallels of a flat arc and its tangent then cross would not be cut.
    return along * std::cos(lead_turn_rad) + left_of(along) * std::sin(lead_turn_rad);
  // Steeper than the profile: the parallels cross a little way along it.
  const P steep{-0.9659, slant};
  const double turn = std::acos(std::min(1.0, dot(steep, along)));
  const double parallel = !first.is_arc()           ? arc_length(first)
                          : first.kind == Kind::ccw ? (first.radius - nose) * std::abs(sweep(first))
                                                    : (first.radius + nose) * std::abs(sweep(first));
  if (parallel < 2 * nose * std::tan(turn / 2)) return std::nullopt;
  return steep;
}

} // namespace

bool follow_profile(Operation& op, const Machine& machine, const Bore& bore, double inner, double feed) {
  const double nose = op.tool.nose_radius_mm;
  const auto reached = reached_by(bore.chain, nose);
  bool whole = reached && std::abs(swept_volume(ChainView(bore.chain)) - swept_volume(ChainView(*reached))) < 1e-3;
  // A round of the nose's own size is an arc without radius to the control.
  for (const auto& s : bore.chain) whole = whole && (s.kind != Kind::ccw || s.radius > nose + least_turn_mm);
  Chain path = between(bore.chain, bore.chain.front().start.r, inner);
  if (!whole || path.empty()) {
    op.notes.push_back("rounds as small as the nose: its coordinates are compensated, G40");
    return false;
  }
  // Rounding turns so short a piece, or the ends of so tight an arc, that the parallels of its neighbours do not meet;
  // the way in just goes on along the first, where that lies along an axis.
  const double step = std::pow(10.0, -coordinate_decimals(machine)) * (machine.inch ? 25.4 : 1);
  const P along = direction_at(path.front(), 0);
  const bool goes_on = std::min(std::abs(along.r), std::abs(along.z)) < 1e-9;
  const auto turns = [&](const S& s) {
    return arc_length(s) * parallels_meet_mm < step * nose ||
           (s.is_arc() && s.radius * parallels_meet_mm < centre_steps * step * nose);
  };
  if (std::any_of(path.begin() + (goes_on ? 1 : 0), path.end(), turns)) {
    op.notes.push_back("pieces too short for the control to reckon with: the nose's coordinates are compensated, G40");
    return false;
  }
  const auto in = way_in(path.front(), nose);
  if (!in) {
    op.notes.push_back("no room for the control's way in: the nose's coordinates are compensated, G40");
    return false;
  }
  op.nose = Nose::left;
  const auto shift = control_shift(op.tool.orientation);
  const P last = path.back().end, off = left_of(direction_at(path.back(), 1)); // from the contact to the nose's centre
  append_by_control(op, path.front().start - *in * (2 * nose + clear_mm), path,
                    {last.r + (off.r + shift.x) * nose, last.z + (off.z - shift.z) * nose - retract_mm}, feed);
  return true;
}

} // namespace chamber::turning::detail
