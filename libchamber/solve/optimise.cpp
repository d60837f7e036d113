#include "chamber/solve/optimise.hpp"
#include <cmath>
#include <nlopt.hpp>

namespace chamber::solve {
namespace {

using shapes::Dimensions;

/// Work between NLopt's callbacks: variables are departures from the preference in units of scale.
struct Session {
  const Task& task;
  Goal goal;
  Watch watch;
  std::vector<std::size_t> free{};
  std::vector<double> last_x{};
  Evaluation<Dual> last{};
  int evaluations = 0;

  Dimensions<double> dimensions(const std::vector<double>& x) const {
    Dimensions<double> d;
    for (std::size_t i = 0; i < shapes::dimension_count; ++i) {
      const auto& p = task.preferences[i];
      shapes::at(d, i) = std::clamp(p.prefer, p.low, p.high);
    }
    for (std::size_t k = 0; k < free.size(); ++k) {
      const auto& p = task.preferences[free[k]];
      shapes::at(d, free[k]) = p.prefer + x[k] * p.scale;
    }
    return d;
  }
  const Evaluation<Dual>& at(const std::vector<double>& x) {
    if (x != last_x) {
      last = evaluate(task, seeded(dimensions(x)), watch);
      last_x = x;
      ++evaluations;
    }
    return last;
  }
  void slope(const Dual& v, double factor, double* out) const {
    for (std::size_t k = 0; k < free.size(); ++k) {
      const double g = v.derivatives().size() ? v.derivatives()[static_cast<Eigen::Index>(free[k])] : 0.0;
      out[k] = std::isfinite(g) ? g * task.preferences[free[k]].scale * factor : 0.0;
    }
  }
};

constexpr double volume_scale = 1000; // 1 cc

double objective(const std::vector<double>& x, std::vector<double>& g, void* data) {
  auto& s = *static_cast<Session*>(data);
  if (s.goal != Goal::nearest_preference) {
    const auto& e = s.at(x);
    const double sign = s.goal == Goal::least_volume ? 1 : -1;
    if (!g.empty()) s.slope(e.volume_mm3, sign / volume_scale, g.data());
    return sign * e.volume_mm3.value() / volume_scale;
  }
  double sum = 0;
  for (std::size_t k = 0; k < x.size(); ++k) {
    const double w = s.task.preferences[s.free[k]].weight;
    sum += w * x[k] * x[k];
    if (!g.empty()) g[k] = 2 * w * x[k];
  }
  return sum;
}

double volume_miss(const std::vector<double>& x, std::vector<double>& g, void* data) {
  auto& s = *static_cast<Session*>(data);
  const auto& e = s.at(x);
  if (!g.empty()) s.slope(e.volume_mm3, 1 / volume_scale, g.data());
  return (e.volume_mm3.value() - s.task.head_cc * 1000) / volume_scale;
}

void limits(unsigned m, double* result, unsigned n, const double* x, double* grad, void* data) {
  auto& s = *static_cast<Session*>(data);
  const auto& e = s.at({x, x + n});
  for (unsigned i = 0; i < m; ++i) {
    const Dual margin = e.limits[i].margin();
    result[i] = -margin.value();
    if (grad) s.slope(margin, -1, grad + i * n);
  }
}

/// Deterministic starts: the preference, then points spread between the bounds.
std::vector<std::vector<double>> starts(const Session& s) {
  std::vector<std::vector<double>> out;
  for (const double t : {-1.0, 0.5, 0.2, 0.8, 0.05, 0.95}) {
    std::vector<double> x;
    for (const auto i : s.free) {
      const auto& p = s.task.preferences[i];
      const double v = t < 0 ? std::clamp(p.prefer, p.low, p.high) : p.low + t * (p.high - p.low);
      x.push_back((v - p.prefer) / p.scale);
    }
    out.push_back(std::move(x));
  }
  return out;
}

bool keeps_all(Session& s, const std::vector<double>& x) {
  const auto& e = s.at(x);
  for (std::size_t i = 0; i < e.count; ++i)
    if (e.limits[i].margin().value() < kept) return false;
  return s.goal != Goal::nearest_preference || std::abs(e.volume_mm3.value() / 1000 - s.task.head_cc) < 1e-6;
}

Optimum optimum_at(Session& s, const std::vector<double>& x) {
  const auto d = s.dimensions(x);
  return {d, s.at(x).volume_mm3.value(), departure(s.task, d), s.evaluations};
}

} // namespace

double departure(const Task& task, const Dimensions<double>& d) {
  double sum = 0;
  for (std::size_t i = 0; i < shapes::dimension_count; ++i) {
    if (!shapes::has_dimension(task.frame.family, i)) continue;
    const auto& p = task.preferences[i];
    const double x = (shapes::at(d, i) - p.prefer) / p.scale;
    sum += p.weight * x * x;
  }
  return sum;
}

std::optional<Optimum> optimise(const Task& task, Goal goal, Watch watch) {
  Session s{task, goal, watch};
  for (std::size_t i = 0; i < shapes::dimension_count; ++i)
    if (shapes::has_dimension(task.frame.family, i) && task.preferences[i].high > task.preferences[i].low)
      s.free.push_back(i);
  if (s.free.empty()) {
    const std::vector<double> nothing;
    return keeps_all(s, nothing) ? std::optional(optimum_at(s, nothing)) : std::nullopt;
  }
  std::vector<double> low, high;
  for (const auto i : s.free) {
    const auto& p = task.preferences[i];
    low.push_back((p.low - p.prefer) / p.scale);
    high.push_back((p.high - p.prefer) / p.scale);
  }
  std::optional<Optimum> best;
  for (auto x : starts(s)) {
    nlopt::opt opt(nlopt::LD_SLSQP, static_cast<unsigned>(s.free.size()));
    opt.set_lower_bounds(low);
    opt.set_upper_bounds(high);
    opt.set_min_objective(objective, &s);
    const auto count = s.at(x).count;
    opt.add_inequality_mconstraint(limits, &s, std::vector<double>(count, 1e-9));
    if (goal == Goal::nearest_preference) opt.add_equality_constraint(volume_miss, &s, 1e-9);
    opt.set_xtol_rel(1e-10);
    opt.set_ftol_rel(1e-12);
    opt.set_maxeval(200);
    double value = 0;
    try {
      opt.optimize(x, value);
    } catch (const std::exception&) {
      // Rounding stopped it, or the limits contradict each other from this start: x holds the best point; judge that.
    }
    if (!keeps_all(s, x)) continue;
    const auto found = optimum_at(s, x);
    // A solution from the preference itself is taken; extremes compare all starts.
    if (goal == Goal::nearest_preference) return found;
    const bool better = !best || (goal == Goal::least_volume ? found.volume_mm3 < best->volume_mm3
                                                             : found.volume_mm3 > best->volume_mm3);
    if (better) best = found;
  }
  return best;
}

std::optional<Optimum> optimise_lazily(const Task& task, Goal goal) {
  const auto free = optimise(task, goal, {true, false});
  if (!free) return std::nullopt; // fewer limits only make it easier
  const auto full = evaluate(task, free->at, {true, true});
  for (std::size_t i = 0; i < full.count; ++i)
    if (full.limits[i].margin() < kept) return optimise(task, goal, {true, true});
  return free;
}

} // namespace chamber::solve
