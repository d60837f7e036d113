#include "chamber/turning/write_arc.hpp"
#include "chamber/units/quantity.hpp"
#include <algorithm>
#include <cmath>

namespace chamber::turning::detail {

GridOf::GridOf(const Machine& machine)
    : unit_(machine.inch ? units::mm_per_inch : 1.0), step_(unit_ * std::pow(10.0, -coordinate_decimals(machine))),
      x_step_(machine.diameter_mode ? step_ / 2 : step_), decimals_(coordinate_decimals(machine)) {}

Grid GridOf::at(double x_radius_mm, double z_mm) const {
  return {std::lround(x_radius_mm / x_step_), std::lround(z_mm / step_)};
}

std::string GridOf::number(long steps) const {
  return units::fixed(static_cast<double>(steps) * std::pow(10.0, -decimals_), decimals_);
}

namespace {

/// Readers stumble over arcs whose radii at start and end differ by more than this.
constexpr double bearable_mismatch_mm = 1.5e-3;

/// Straying into the metal is worse than leaving some.
double cost(double into_metal) {
  return into_metal > 0 ? into_metal : -0.6 * into_metal;
}

struct Place {
  double x, z;
};

class Fitter {
public:
  Fitter(const GridOf& grid, const Grid& from, const Move& move, double right)
      : grid_(grid), m_(move), start_(place(from)), right_(right), step_(grid.step()) {}

  FittedArc run(const Move* next) {
    const Grid to = grid_.at(m_.x_mm, m_.z_mm);
    fit_centre(to, 0);
    if (best_.error_mm < step_ / 2) return best_;
    // A coarse grid: let the end move too, as far as the next move can bear it.
    const Place metal = next ? to_metal(*next) : Place{0, 0};
    for (long x = to.x - 2; x <= to.x + 2; ++x)
      for (long z = to.z - 1; z <= to.z + 1; ++z) {
        const Place p = place({x, z});
        const double off = cost((p.x - m_.x_mm) * metal.x + (p.z - m_.z_mm) * metal.z);
        if (off < best_.error_mm) fit_centre({x, z}, off);
      }
    return best_;
  }

private:
  Place place(const Grid& g) const { return {grid_.x(g), grid_.z(g)}; }

  /// Unit direction into the metal beside the next move's beginning.
  Place to_metal(const Move& next) const {
    if (next.kind != Move::Kind::line && next.kind != Move::Kind::arc_cw && next.kind != Move::Kind::arc_ccw)
      return {0, 0};
    Place d{next.z_mm - m_.z_mm, next.x_mm - m_.x_mm};
    if (next.kind != Move::Kind::line) {
      const double turn = next.kind == Move::Kind::arc_ccw ? 1 : -1;
      d = {(next.centre_x_mm - m_.x_mm) * turn, -(next.centre_z_mm - m_.z_mm) * turn};
    }
    const double length = std::hypot(d.x, d.z);
    if (length <= 0) return {0, 0};
    return {-right_ * d.x / length, right_ * d.z / length};
  }

  /// Tries centres near the planned one; the error is how far the arc strays from the planned arc, the mismatch of its
  /// two radii included, or `floor` if that is more.
  void fit_centre(const Grid& to, double floor) {
    const Place e = place(to);
    const double radius = std::hypot(m_.x_mm - m_.centre_x_mm, m_.z_mm - m_.centre_z_mm);
    // Directions in which the arc may stray: its start, middle and end.
    const Place u{(start_.x - m_.centre_x_mm) / radius, (start_.z - m_.centre_z_mm) / radius};
    const Place v{(e.x - m_.centre_x_mm) / radius, (e.z - m_.centre_z_mm) / radius};
    const double norm = std::max(1e-9, std::hypot(u.x + v.x, u.z + v.z));
    const Place w{(u.x + v.x) / norm, (u.z + v.z) / norm};
    // Turning left with the metal on the right, the metal lies outside the arc: a round; else inside: an edge.
    const double outside = (m_.kind == Move::Kind::arc_ccw ? 1 : -1) * right_;
    const auto judge = [&](long i, long k) {
      const Place c{start_.x + static_cast<double>(i) * step_, start_.z + static_cast<double>(k) * step_};
      const double r0 = std::hypot(start_.x - c.x, start_.z - c.z), r1 = std::hypot(e.x - c.x, e.z - c.z);
      if (r0 < step_ / 2 || r1 < step_ / 2) return;
      const double dx = c.x - m_.centre_x_mm, dz = c.z - m_.centre_z_mm;
      const double mismatch = std::abs(r1 - r0), mean = (r0 + r1) / 2;
      double error = 0;
      for (const auto& d : {u, w, v}) error = std::max(error, cost(outside * (dx * d.x + dz * d.z + mean - radius)));
      error = std::max(error + mismatch / 2, floor);
      if (mismatch > bearable_mismatch_mm) error += mismatch;
      if (error < best_.error_mm) best_ = {to, i, k, error};
    };
    // Radii agree where chord . centre = chord^2 / 2 (from the start): take the grid points beside that line. The
    // flatter the arc, the less its centre matters across the chord, and the farther along it may be sought.
    const Place d{e.x - start_.x, e.z - start_.z};
    const double chord = std::hypot(d.x, d.z);
    if (chord < step_ / 4) return;
    const bool along_z = std::abs(d.x) > std::abs(d.z);
    const long far = std::clamp(std::lround(4 * radius / std::max(chord, step_)), 4L, 60L);
    const long middle = std::lround((along_z ? m_.centre_z_mm - start_.z : m_.centre_x_mm - start_.x) / step_);
    for (long t = middle - far; t <= middle + far; ++t) {
      const double given = static_cast<double>(t) * step_;
      const double other = along_z ? (chord * chord / 2 - d.z * given) / d.x : (chord * chord / 2 - d.x * given) / d.z;
      const long below = static_cast<long>(std::floor(other / step_));
      for (const long n : {below, below + 1}) along_z ? judge(n, t) : judge(t, n);
    }
  }

  const GridOf& grid_;
  const Move& m_;
  Place start_;
  double right_;
  double step_;
  FittedArc best_;
};

} // namespace

FittedArc fit_arc(const GridOf& grid, const Grid& from, const Move& move, const Move* next, bool metal_on_the_right) {
  return Fitter(grid, from, move, metal_on_the_right ? 1 : -1).run(next);
}

bool flat(const GridOf& grid, const Grid& from, const Grid& to, const Move& move) {
  const double chord = std::hypot(grid.x(to) - grid.x(from), grid.z(to) - grid.z(from));
  const double radius = std::hypot(move.centre_x_mm - move.x_mm, move.centre_z_mm - move.z_mm);
  // Only in a round hardly larger than the nose is the path so tight; its chord leaves a step of metal there at most.
  constexpr double tightest_steps = 3;
  return radius < tightest_steps * grid.step() ||
         (chord < 8 * grid.step() && chord * chord / (8 * radius) < grid.step() / 10);
}

} // namespace chamber::turning::detail
