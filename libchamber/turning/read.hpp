#pragma once
// Reads program text of every dialect back into motions. Shares nothing with the planner or the writer.
#include "chamber/turning/tools.hpp"
#include "chamber/units/result.hpp"
#include <optional>
#include <string_view>
#include <vector>

namespace chamber::turning {

/// Radius and Z of the control point, mm, program axes.
struct XZ {
  double x = 0, z = 0;
};

/// thread: straight, in step with the spindle.
enum class MotionKind { rapid, line, arc_cw, arc_ccw, thread };

/// Who accounts for the nose, as read: G40, G41, G42.
enum class Compensation { none, left, right };

/// One straight or circular motion as the text says it, in mm; cw and ccw in the axes, Z to the right and X up.
struct Motion {
  int line = 0; ///< of the text, from 1
  MotionKind kind = MotionKind::rapid;
  bool from_known = false; ///< false before both axes have been positioned
  XZ from, to, centre;
  double radius = 0;   ///< arcs: mean of the radii at both ends, which agree within arc_mismatch_mm
  double mismatch = 0; ///< arcs: by how much those radii differ
  int tool = 0;
  int call = 0;               ///< counts the tool calls of the program, from 1: an operation
  double feed_mm_per_rev = 0; ///< 0 on rapids; threads: the lead
  bool constant_speed = false;
  double speed = 0;       ///< m/min under constant_speed, else rpm
  double clamp_rpm = 0;   ///< under constant_speed
  bool backwards = false; ///< spindle reversed (M4)
  Compensation nose = Compensation::none;
};

struct Program {
  int number = 0;
  bool inch = false, diameter = false;
  std::vector<Motion> motions;
  std::optional<XZ> change; ///< where tools are changed: the first call's place, which all others share
  std::vector<int> stops;   ///< lines of M0
  int line_count = 0;
};

/// mm. An arc's radii at start and end may differ by this: two steps of a centre written to 0.001 mm.
inline constexpr double arc_mismatch_mm = 0.002;

/// Longest text and line that are looked at.
inline constexpr std::size_t longest_text = 4u << 20, longest_line = 256;

/// Strict: anything a careful operator would stop at is a Problem with its line: unknown words, constant speed without
/// a clamp, feed without F, arcs without both I and K or whose radii disagree, numbers without a decimal point, words
/// that mean something else in another dialect, two motions in a line, cutting with a still spindle or no tool, a
/// missing wrap or safe start or end. At most 50 are listed. The machine says dialect, what X words mean where the
/// dialect cannot, and which way arcs are reckoned.
Results<Program> read(std::string_view text, const Machine& machine);

} // namespace chamber::turning
