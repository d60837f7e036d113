#pragma once
// Sweeps the tools along the motions that were read from the programs' text, against blank, jaws and finished part.
#include "chamber/figure/figure.hpp"
#include "chamber/turning/read.hpp"
#include "chamber/turning/work.hpp"
#include <span>
#include <string>
#include <vector>

namespace chamber::turning {

/// A program as read, and the clamping it runs in.
struct Run {
  Program program;
  Clamping clamping;
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
  chuck_contact,
  thread,
  compensation,
  rate,
};
std::string_view name(FailureKind kind);

struct Failure {
  FailureKind kind;
  int run = 0;               ///< index of the run
  int line = 0;              ///< of its program; 0 when no single line is to blame
  double r_mm = 0, z_mm = 0; ///< insert coordinates
  std::string message, cure;
};

/// Figures of one tool call.
struct CallFigures {
  int run = 0, call = 0, tool = 0;
  int first_line = 0, last_line = 0;
  double time_s = 0;         ///< cutting and rapids, tool changes not counted
  double deepest_cut_mm = 0; ///< boring, turning: of its deepest move, section taken by the length it was taken over
};

struct Proof {
  double volume_expected_cc = 0; ///< of the profile, plug fitted
  double volume_left_cc = 0;     ///< of the cavity that is cut, closed at the pocket roof
  double volume_error_cc = 0;    ///< bound on the quadrature of volume_left_cc

  double largest_gouge_mm = 0; ///< into the finished insert, anywhere; closed form
  int gouge_run = 0, gouge_line = 0;
  double gouge_r_mm = 0, gouge_z_mm = 0;

  double largest_left_mm = 0; ///< metal anywhere on the drawing but the plug hole, normal to it; inner corners of the
                              ///< outside may keep a round of Work::inner_corner_mm
  double left_r_mm = 0, left_z_mm = 0;
  double left_error_mm = 0; ///< bound on what lies between two sampled places: spacing^2 / (8 nose)

  double grid_mm = 0; ///< column width of the checks in time order: contacts narrower than this are not seen
  std::vector<CallFigures> calls;
  std::vector<Failure> failures;

  bool passed() const { return failures.empty(); }
};

/// mm. Metal that may be left on the finished profile: what rounding to 0.0001 in leaves at the worst corner.
inline constexpr double left_limit_mm = 5e-3;

/// What stands after each tool call, as a drawing: metal hatched, what the call took shaded, its path, jaws, finished
/// outline.
struct StepPicture {
  int run = 0, call = 0;
  figure::Figure figure; ///< its axes in the program's unit
  figure::Figure sketch; ///< the same without words, for where they would be too small to read
};

/// Proves the programs of all clampings, in order, against the drawing (`work`; its chamber as it shall be cut, that is
/// Plan::finished where rounds are left on purpose), or says what is wrong. Never fails itself: failures are part of
/// the answer (at most 50). `pictures`: where to put what stands after each tool call, in order over all runs.
Proof prove(std::span<const Run> runs, const Work& work, std::span<const Tool> tools, const Machine& machine,
            std::vector<StepPicture>* pictures = nullptr);

/// A program for a trial in the air: no tool comes nearer than clear_mm to blank or jaws.
std::vector<Failure> prove_in_air(const Run& run, std::span<const Tool> tools, const Machine& machine, double clear_mm);

} // namespace chamber::turning
