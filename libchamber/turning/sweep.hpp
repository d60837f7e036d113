#pragma once
// What a tool covers while it moves, in closed form: coordinates (r, z) of insert or clamping, z growing away from
// the tailstock, mm. Used by the proof
// only.
#include "chamber/profile/segment.hpp"
#include <vector>

namespace chamber::turning::sweep {

using profile::P;

/// A path of the tool's reference point (the nose centre; a drill's tip): straight, or an arc.
struct Path {
  profile::Kind kind = profile::Kind::line;
  P from, to, centre;
  double radius = 0;
};

/// Upper edge of a tool towards the axis: points reference + (dr - t, dz - t * slope), 0 <= t <= width.
/// Everything below it (towards the tailstock) is tool.
struct Edge {
  double dr = 0, dz = 0, slope = 0, width = 0;
};

inline constexpr double nowhere = -1e9;

/// Highest and lowest z that a disc moved along the path covers in the column r; `nowhere` (or its negative) if none.
double disc_top(const Path& path, double disc_radius, double r);
double disc_bottom(const Path& path, double disc_radius, double r);

/// Highest z that the edge covers in the column r; `nowhere` if none.
double edge_top(const Path& path, const Edge& edge, double r);

struct Box {
  double r_min, r_max, z_min, z_max;
};
Box box_of(const Path& path);
double length_of(const Path& path);

/// Columns at which the top of a moved disc may have a corner.
void corners_of(const Path& path, double disc_radius, std::vector<double>& columns);

/// Across the axis (r -> -r); seen from the other end (z -> height - z); r and z exchanged.
Path across(Path path);
Path turned_round(Path path, double height);
Path transposed(Path path);

/// Smallest distance from a point or a path to a path.
double distance(const P& p, const Path& path);
double distance(const Path& a, const Path& b);
/// The point of the path nearest to p.
P nearest_on(const Path& path, const P& p);

} // namespace chamber::turning::sweep
