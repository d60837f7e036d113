#pragma once
// What stands in a bore while bars work in it, and what each pass takes of it: the planner's forecast of loads and of
// room for the bar. The proof asks again, in its own way.
#include "chamber/turning/plan_fit.hpp"

namespace chamber::turning::detail {

/// What a pass takes, at its heaviest.
struct Bite {
  double depth_mm = 0; ///< a move's section by the length it is taken over, at least the width of the nose
  double bar_mm = 0;   ///< how far the bar would get into metal
  profile::P bar_at;   ///< where, and where the nose's centre then is
  profile::P nose_at;

  void add(const Bite& other);
};

/// Why tool and bar do not bear it, if they do not. A corner may give a tool a little more than a pass does.
std::optional<Problem> unbearable(const Bore& bore, const Tool& tool, const Bite& bite);

/// The metal of a bore over r, cut down pass by pass. Clamping coordinates (r, w), mm.
class Standing {
public:
  /// A blank that is flat at w = -front_mm, from the pilot outwards.
  Standing(double pilot_radius, double outside_radius, double front_mm);
  /// Takes off what stands in front of w = 0, outside this radius.
  void face(double inner_radius);
  /// Takes what the tool takes while the centre of its nose runs along the path.
  Bite cut(const Tool& tool, const profile::Chain& path);

private:
  std::vector<double> begins_; ///< over r, where the metal begins
};

} // namespace chamber::turning::detail
