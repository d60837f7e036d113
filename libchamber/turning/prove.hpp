#pragma once
// Sweeps the tools along the motions that were read from a program's text, against blank and finished part.
#include "chamber/profile/segment.hpp"
#include "chamber/turning/read.hpp"
#include "chamber/turning/tools.hpp"
#include <span>
#include <string>
#include <vector>

namespace chamber::turning {

/// What should come out. Lengths mm.
struct Part {
  profile::Chain
      chamber; ///< rim -> axis, z up into the insert; where rounds are left on purpose, with those (Plan::finished)
  double plug_hole_radius_mm = 0;
  Stock stock;
};

enum class FailureKind {
  volume,
  gouge,
  metal_left,
  rapid_through_metal,
  bar_contact,
  undercut,
  depth,
  unknown_tool,
  drill_off_centre,
  pilot,
  unsafe_start,
};
std::string_view name(FailureKind kind);

struct Failure {
  FailureKind kind;
  int line = 0; ///< of the program; 0 when no single line is to blame
  double r_mm = 0, z_mm = 0;
  std::string message, cure;
};

struct ToolFigures {
  int tool = 0;
  int first_line = 0, last_line = 0;
  double time_s = 0;         ///< cutting and rapids, tool changes not counted
  double deepest_cut_mm = 0; ///< boring: of its deepest move, section taken by the length it was taken over
};

struct Proof {
  double volume_expected_cc = 0; ///< of the profile, plug fitted
  double volume_left_cc = 0;     ///< of the cavity that is cut, closed at the pocket roof
  double volume_error_cc = 0;    ///< bound on the quadrature of volume_left_cc

  double largest_gouge_mm = 0; ///< closed form
  int gouge_line = 0;
  double gouge_r_mm = 0, gouge_z_mm = 0;

  double largest_left_mm = 0; ///< metal on the profile outside the plug hole, normal to it
  double left_r_mm = 0, left_z_mm = 0;
  double left_error_mm = 0; ///< bound on what lies between two sampled places: spacing^2 / (8 nose)

  double grid_mm = 0; ///< column width of the checks in time order: contacts narrower than this are not seen
  std::vector<ToolFigures> tools;
  std::vector<Failure> failures;

  bool passed() const { return failures.empty(); }
};

/// mm. Metal that may be left on the finished profile: what rounding to 0.0001 in leaves at the worst corner.
inline constexpr double left_limit_mm = 5e-3;

/// Proves the program or says what is wrong with it. Never fails itself: failures are part of the answer (at most 50).
Proof prove(const Program& program, const Part& part, std::span<const Tool> tools, const Machine& machine);

} // namespace chamber::turning
