#pragma once
// The plan as program text, one program a clamping.
#include "chamber/turning/plan.hpp"
#include <optional>
#include <span>
#include <string>

namespace chamber::turning {

struct WriteOptions {
  std::string warning;    ///< not empty: the first comment, for a program that is written although its proof failed
  double lift_mm = 0;     ///< above 0: every Z but the change position's is this much higher; a trial run in the air
  double feed_factor = 1; ///< of every feed but threads, in a trial run
};

/// The dialects a machine may name: "rs274", "type-a".
std::span<const std::string_view> dialect_names();
/// With its dot: ".ngc". Throws std::logic_error for a dialect that is not among them.
std::string_view file_extension(std::string_view dialect);

/// A tool's tip as the operator enters it: the control's own number, and whither it points from the nose's centre.
struct Tip {
  int number = 0;
  std::string_view towards; ///< "X+ Z-"; "nowhere" where the nose's centre itself is the control point
};
/// None of drills, taps and threading tools. Throws std::logic_error for a dialect that is not among dialect_names().
std::optional<Tip> tip_of(const Tool& tool, std::string_view dialect);

/// What tapping asks of the holder under this dialect; empty: nothing.
std::string_view tap_note(std::string_view dialect);

/// Writes the program of a clamping: ASCII, upper case, lines no longer than the machine takes, a final newline.
/// Coordinates are rounded to the machine's decimals; the centres of arcs are chosen on that grid so that both radii
/// agree and the arc leaves the planned one as little as the grid allows.
/// Throws std::logic_error for a dialect that is not among dialect_names(), or no such setup.
std::string write(const Plan& plan, std::size_t setup, const Machine& machine, const WriteOptions& options = {});

} // namespace chamber::turning
