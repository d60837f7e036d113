#pragma once
// Parallel curves of lines and arcs, as lines and arcs.
#include "chamber/profile/segment.hpp"
#include "chamber/units/result.hpp"

namespace chamber::profile {

/// The curve at `distance` > 0 (mm) to the left of an open chain: convex corners become arcs about the corner, concave
/// rounds smaller than the distance vanish, and whatever would come nearer to the chain than `distance` is cut away.
/// The chain's first and last segments keep their ends (moved square to the chain there), unless those would come too
/// near another part of it: then the curve begins or ends where it is clear. For a chain from rim to axis left is the
/// cavity side. Fails when nothing is left or the remains do not hang together.
Result<Chain> offset_left(ChainView chain, double distance);

/// A concave round (or a sharp concave corner, radius 0) that a circle of the given radius cannot reach into when it
/// rolls along the left side. too_tight_for lists all of them; empty when all can be reached.
struct TightSpot {
  std::size_t segment; ///< the round, or the segment that ends in the sharp corner
  P at;
  double radius_mm;
};
std::vector<TightSpot> too_tight_for(ChainView chain, double radius);

} // namespace chamber::profile
