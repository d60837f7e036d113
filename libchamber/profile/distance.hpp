#pragma once
// Distances and crossings of lines and arcs, exact.
#include "chamber/profile/segment.hpp"
#include <optional>

namespace chamber::profile {

/// Two nearest points, a on the first curve and b on the second, and how far apart they are (mm).
struct Nearest {
  double distance;
  P a, b;
};

Nearest nearest(const P& p, const S& s);
Nearest nearest(const S& a, const S& b);
Nearest nearest(const P& p, ChainView chain);
/// Smallest distance between two chains; both must be non-empty.
Nearest nearest(ChainView a, ChainView b);

/// Points both segments share (at most two; of overlapping ones, none). Ends count, within tolerance::point_mm.
std::vector<P> crossings(const S& a, const S& b);

/// True when the direction from the arc's centre lies within the arc (ends included, within point_mm).
bool arc_covers(const S& arc, const P& direction);

/// Largest and smallest z of the chain at this radius; empty where the chain does not reach.
struct Heights {
  double low, high;
};
std::optional<Heights> heights_at(ChainView chain, double r);

/// True when p lies inside the closed chain (boundary points: either).
bool inside(const P& p, ChainView closed);

/// First pair of segments that meet where they should not (other than neighbours at their shared end).
struct Clash {
  std::size_t first, second;
  P at;
};
std::optional<Clash> self_crossing(ChainView chain);

/// Places where the end of one segment is not the start of the next, beyond point_mm; index of the first.
std::optional<std::size_t> broken_at(ChainView chain);

} // namespace chamber::profile
