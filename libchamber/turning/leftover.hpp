#pragma once
// What a lathe program leaves of the blank, without a drawing to go by: the chamber it cuts, as a profile.
#include "chamber/profile/segment.hpp"
#include "chamber/turning/read.hpp"
#include <span>
#include <string>
#include <vector>

namespace chamber::turning {

/// What the program does not say. Lengths mm; 0: not known.
struct LeftoverOptions {
  double hole_radius_mm = 0; ///< of the pilot or plug hole; the program's own drill counts besides
  double blank_diameter_mm = 0, blank_length_mm = 0;
};

/// The chamber a program leaves.
struct Leftover {
  /// rim -> axis, z = 0 the face that is left round it, cavity on the left, hole closed flush with the metal beside it;
  /// short lines, within 0.0001 mm of what the tools cut.
  profile::Chain chain;
  double hole_radius_mm = 0;         ///< of what was closed; 0: none
  std::vector<std::string> taken;    ///< what was assumed, in sentences
  std::vector<std::string> cautions; ///< what may be wrong with it
};

/// Sweeps the tools along the program's motions, chamber side towards the tailstock, Z0 its finished face. Fails where
/// a tool is not in the list, where no chamber is cut, or where metal is left standing on the axis because the hole is
/// not known.
Result<Leftover> leftover(const Program& program, std::span<const Tool> tools, const LeftoverOptions& options);

} // namespace chamber::turning
