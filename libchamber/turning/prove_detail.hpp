#pragma once
// The proof's own view of a program: strokes of nose or drill tip, each with its tool's silhouette.
#include "chamber/turning/prove.hpp"
#include "chamber/turning/sweep.hpp"

namespace chamber::turning::detail {

/// A tool as the sweep sees it.
struct Silhouette {
  const Tool* tool = nullptr;
  double nose = 0;                       ///< radius; 0 for a drill
  std::vector<sweep::Edge> cutting, bar; ///< upper edges that may touch metal, and that may not
};

struct Stroke {
  const Motion* motion = nullptr;
  std::size_t silhouette = 0;
  sweep::Path path;
  sweep::Box cut; ///< box of what nose and cutting edges cover
};

struct Sweep {
  std::vector<Silhouette> silhouettes;
  std::vector<Stroke> strokes;
};

/// Turns motions into strokes; complains about unknown tools and starts.
Sweep strokes_of(const Program& program, std::span<const Tool> tools, std::vector<Failure>& failures);

/// Highest z that nose and cutting edges of the stroke cover in the column.
double cut_top(const Silhouette& s, const Stroke& k, double r);

/// What must not be cut: the chamber outside the plug hole, rim -> hole, and last the sealing face around it.
std::vector<sweep::Path> protected_faces(const Part& part);

/// Lowest metal of the finished part in a column, large where there is none.
double finished_height(const std::vector<sweep::Path>& faces, double r);

/// Carries the blank through the program in time order on a grid of columns: rapids and bars through metal, metal left
/// beneath a cut, edges beyond the finished part, depth of cut. Returns for every column the stroke that cut it last
/// (or -1).
std::vector<int> carry_stock(const Sweep& sweep, const Part& part, const std::vector<sweep::Path>& faces,
                             double grid_mm, Proof& proof);

/// Sets volume_left_cc and volume_error_cc. `owners`: what carry_stock returned, to know whose corners matter.
void measure_cavity(const Sweep& sweep, const Part& part, const std::vector<int>& owners, Proof& proof);

void add_failure(Proof& proof, Failure failure);

} // namespace chamber::turning::detail
