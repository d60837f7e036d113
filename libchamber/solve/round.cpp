#include "chamber/solve/round.hpp"
#include "chamber/units/tolerance.hpp"
#include <algorithm>
#include <cmath>
#include <limits>

namespace chamber::solve {
namespace {

using shapes::Dimensions;

constexpr int most_fixed = 400; ///< dimensions put on a grid point in one search, each an optimisation of the rest

/// n * grid, free of the dust of binary fractions (0.1 + 0.2): grids are decimal.
double on_grid(double n, double grid) {
  return std::round(n * grid * 1e6) / 1e6;
}

/// The `reach` grid points below a value (or on it) and as many above that its bounds allow.
std::vector<double> neighbours(const Preference& p, double exact, int reach) {
  if (p.high <= p.low) return {p.low};
  std::vector<double> out;
  const double below = std::floor(exact / p.grid + 1e-9);
  for (int n = 1 - reach; n <= reach; ++n) {
    const double v = on_grid(below + n, p.grid);
    if (v >= p.low - 1e-9 && v <= p.high + 1e-9) out.push_back(v);
  }
  // Bounds may leave no grid point between them.
  if (out.empty()) out.push_back(exact);
  return out;
}

/// The closing dimension that gives the wanted volume, others given; empty if the iteration leaves its bounds.
std::optional<double> close(const Task& task, Dimensions<double> d) {
  const auto& p = task.preferences[task.closing];
  auto& x = shapes::at(d, task.closing);
  const auto miss = [&] { return head_cc(task, d) - task.head_cc; };
  double x0 = x, f0 = miss();
  x = x0 + 0.01;
  double f1 = miss();
  for (int i = 0; i < 12 && std::abs(f1) > 1e-7; ++i) {
    if (f1 == f0) return std::nullopt;
    const double next = x - f1 * (x - x0) / (f1 - f0);
    if (!std::isfinite(next)) return std::nullopt;
    x0 = x;
    f0 = f1;
    x = std::clamp(next, p.low - 1, p.high + 1);
    f1 = miss();
  }
  const double closed = on_grid(std::round(x / tolerance::coordinate_mm), tolerance::coordinate_mm);
  if (closed < p.low - 1e-9 || closed > p.high + 1e-9) return std::nullopt;
  x = closed;
  return std::abs(miss()) < tolerance::volume_cc ? std::optional(closed) : std::nullopt;
}

bool keeps_limits(const Task& task, const Dimensions<double>& d) {
  // Cheap ones first: most grid points that fail, fail here.
  for (const Watch watch : {Watch{false, false}, Watch{true, true}}) {
    const auto e = evaluate(task, d, watch);
    for (std::size_t i = 0; i < e.count; ++i)
      if (e.limits[i].margin() < kept) return false;
  }
  return true;
}

std::optional<Dimensions<double>> search(const Task& task, const Dimensions<double>& exact) {
  std::array<std::vector<double>, shapes::dimension_count> choices;
  for (std::size_t i = 0; i < shapes::dimension_count; ++i)
    choices[i] = i == task.closing || !shapes::has_dimension(task.frame.family, i)
                     ? std::vector{shapes::at(exact, i)}
                     : neighbours(task.preferences[i], shapes::at(exact, i), 1);
  std::array<std::size_t, shapes::dimension_count> pick{};
  std::optional<Dimensions<double>> best;
  double best_departure = std::numeric_limits<double>::infinity();
  for (bool more = true; more;) {
    Dimensions<double> d = exact;
    for (std::size_t i = 0; i < shapes::dimension_count; ++i) shapes::at(d, i) = choices[i][pick[i]];
    if (const auto closed = close(task, d)) {
      shapes::at(d, task.closing) = *closed;
      const double cost = departure(task, d);
      if (cost < best_departure && keeps_limits(task, d)) {
        best = d;
        best_departure = cost;
      }
    }
    more = false;
    for (std::size_t i = 0; i < shapes::dimension_count && !more; ++i) {
      more = ++pick[i] < choices[i].size();
      if (!more) pick[i] = 0;
    }
  }
  return best;
}

/// Fixes one dimension after the other on the grid, nearest value first, and lets the optimiser move the rest: slower
/// than the plain search, but it follows the limits where they leave only a sliver. Near the ends of what the limits
/// allow they can slant across several grid points, so `reach` of them are tried on either side.
std::optional<Dimensions<double>> dive(const Task& task, const Dimensions<double>& exact, std::size_t from, int reach,
                                       int& budget) {
  if (from == shapes::dimension_count) {
    auto d = exact;
    const auto closed = close(task, d);
    if (!closed) return std::nullopt;
    shapes::at(d, task.closing) = *closed;
    return keeps_limits(task, d) ? std::optional(d) : std::nullopt;
  }
  const auto& p = task.preferences[from];
  if (from == task.closing || !shapes::has_dimension(task.frame.family, from) || p.high <= p.low)
    return dive(task, exact, from + 1, reach, budget);
  auto values = neighbours(p, shapes::at(exact, from), reach);
  std::sort(values.begin(), values.end(), [&](double a, double b) {
    return std::abs(a - shapes::at(exact, from)) < std::abs(b - shapes::at(exact, from));
  });
  for (const double v : values) {
    if (--budget < 0) return std::nullopt;
    Task fixed = task;
    fixed.preferences[from].low = fixed.preferences[from].high = v;
    if (const auto rest = optimise_lazily(fixed, Goal::nearest_preference))
      if (const auto d = dive(fixed, rest->at, from + 1, reach, budget)) return d;
  }
  return std::nullopt;
}

} // namespace

std::optional<Dimensions<double>> round_to_grid(const Task& task, const Dimensions<double>& exact) {
  if (auto d = search(task, exact)) return d;
  for (const int reach : {1, 4}) {
    int budget = most_fixed;
    if (auto d = dive(task, exact, 0, reach, budget)) return d;
  }
  return std::nullopt;
}

} // namespace chamber::solve
