#pragma once
// Places on the written grid, and arcs whose ends and centres lie on it.
#include "chamber/turning/plan.hpp"

namespace chamber::turning::detail {

/// A place on the written grid, in grid steps: X as the word stands (diameter or radius), Z.
struct Grid {
  long x = 0, z = 0;
  bool operator==(const Grid&) const = default;
};

/// The coordinates a machine writes: mm to grid steps and back.
class GridOf {
public:
  explicit GridOf(const Machine& machine);
  Grid at(double x_radius_mm, double z_mm) const;
  double step() const { return step_; }                                        ///< mm of Z, I and K
  double x(const Grid& g) const { return static_cast<double>(g.x) * x_step_; } ///< radius, mm
  double z(const Grid& g) const { return static_cast<double>(g.z) * step_; }
  /// A count of steps as a number word.
  std::string number(long steps) const;

private:
  double unit_, step_, x_step_;
  int decimals_;
};

/// An arc on the grid: its end, and I and K in steps (I along the radius, whatever the X words mean).
struct FittedArc {
  Grid to;
  long i = 0, k = 0;
  double error_mm = 1e9;
};

/// Fits a planned arc that begins at `from`. `next`: the move after it, or null; `metal_on_the_right` of the travel,
/// else on the left: straying into it is worse than leaving some.
FittedArc fit_arc(const GridOf& grid, const Grid& from, const Move& move, const Move* next, bool metal_on_the_right);

/// So short that the grid no longer tells the arc from its chord (and a rounded end could turn it into a circle).
bool flat(const GridOf& grid, const Grid& from, const Grid& to, const Move& move);

} // namespace chamber::turning::detail
