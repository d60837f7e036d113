#pragma once
// Does the tool, with its bar, fit into the work along the path? Planner's view; the proof asks again, in its own way.
#include "chamber/turning/plan.hpp"
#include <optional>

namespace chamber::turning::detail {

/// Heights of the metal's surface over r while a tool works: the profile, the face outside it, air over the pilot.
class Surface {
public:
  /// The chain must fall in r (falls_in_r).
  Surface(profile::ChainView chain, double pilot_radius, double outside_radius);
  /// Lowest metal at |r|; large where there is none.
  double metal_from(double r) const;

private:
  static constexpr double step_mm = 0.025;
  std::vector<double> z_;
};

/// A cavity that is bored from the front: the chamber, or the plug seat. Clamping coordinates (r, w), mm.
struct Bore {
  std::string what;               ///< "chamber", "plug seat"
  profile::Chain chain;           ///< rim -> axis, w = 0 its face, cavity on the left
  std::vector<std::string> names; ///< of its segments, for messages; may be shorter
  double hole_radius_mm = 0;      ///< the pilot may not exceed it; inside it nothing is finished
  double outside_radius_mm = 0;   ///< of the metal round it
  double turned_at_mm = 0;        ///< height of the insert where its top is out, so that messages can say z; else 0
  double front_mm = 0;            ///< of raw metal that stands in front of its face while it is roughed
  bool inch = false;              ///< messages say lengths in inches
};

/// What surface a nose leaves at a feed.
std::string surface_note(const Machine& machine, double nose_mm, double feed_mm_per_rev);

/// "3 (finishing bar)".
std::string label(const Tool& tool);
/// "pocket corner round at r 6.88, z 12.30 mm": the nearest segment's name and the place.
std::string place(const Bore& bore, const profile::P& at);

/// What stops the tool from following the contour of its nose centre, if anything. `standing`: the surface that is
/// there while it works, allowance included, which the bar keeps clear of; the cutting edge answers to the finished
/// chamber.
std::optional<Problem> does_not_fit(const Bore& bore, const Tool& tool, profile::ChainView contour,
                                    profile::ChainView standing, double pilot_radius);

/// Whether a value is finite and above 0.
bool positive(double x);

/// What is wrong with the tool in itself: missing data, overhang, orientation.
std::optional<Problem> unusable(const Tool& tool, const Machine& machine);

} // namespace chamber::turning::detail
