#pragma once
// The path of a tool's reference point, with or without the control accounting for the nose (G41, G42).
#include "chamber/turning/prove.hpp"
#include "chamber/turning/sweep.hpp"
#include <vector>

namespace chamber::turning::detail {

/// What the reference point does during (a part of) a motion, in the clamping's coordinates (r, w). Nose tools: the
/// nose centre; others: the control point.
struct ReferencePath {
  const Motion* motion;
  sweep::Path path;
};

/// Paths in the order of the program, of all motions whose start is known and whose tool is in the list. Motions under
/// compensation are moved aside by the nose as the rs274 interpreter does it: the lead-in ends square beside its own
/// end, convex corners are rolled round, concave ones cut short; the lead-out goes straight to its end. What cannot be
/// done becomes a failure of kind compensation.
std::vector<ReferencePath> reference_paths(const Program& program, std::span<const Tool> tools, int run,
                                           std::vector<Failure>& failures);

/// Nose centre less control point, in noses, by tip orientation 0-9: (r, w).
sweep::P to_centre(int orientation);

/// Whether the tool's reference point is a nose centre.
bool has_nose(const Tool& tool);

} // namespace chamber::turning::detail
