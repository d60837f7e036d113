#include "chamber/solve/shortfall.hpp"
#include "chamber/units/quantity.hpp"
#include <algorithm>
#include <charconv>
#include <cmath>
#include <fmt/format.h>
#include <functional>

namespace chamber::solve {
namespace {

/// Something the user could give way on.
struct Give {
  std::string name, key, unit;
  std::function<double&(Task&)> value;
  double direction; ///< +1: raising it relaxes
  double far;       ///< the most it could sensibly give
  double step;      ///< what is said is rounded outwards to this
  double shown = 1; ///< factor from internal to shown value
};

std::vector<Give> all_gives(const Task& task) {
  std::vector<Give> out;
  for (std::size_t i = 0; i < shapes::dimension_count; ++i) {
    if (!shapes::has_dimension(task.frame.family, i)) continue;
    const auto& p = task.preferences[i];
    const std::string name(shapes::dimension_names[i]);
    const std::string unit = name == "squish_angle" ? "deg" : "mm";
    const bool angle = unit == "deg"; // a band may have to open far to clear a dome
    const double room = angle ? 20 : std::max(3 * (p.high - p.low), 0.5 * std::abs(p.high)) + p.grid;
    const double highest = std::min(p.high + room, sensible[i].high);
    const double lowest = std::max({p.low - room, sensible[i].low, angle ? 0.0 : p.grid});
    if (highest > p.high)
      out.push_back({name + ", most", "shape." + name + ".max", unit,
                     [i](Task& t) -> double& { return t.preferences[i].high; }, 1, highest, p.grid});
    if (lowest < p.low)
      out.push_back({name + ", least", "shape." + name + ".min", unit,
                     [i](Task& t) -> double& { return t.preferences[i].low; }, -1, lowest, p.grid});
  }
  const auto& l = task.limits;
  if (l.squish_area_min > 0)
    out.push_back({"squish area ratio, least", "limits.squish_area_min", "%",
                   [](Task& t) -> double& { return t.limits.squish_area_min; }, -1, 0, 0.005, 100});
  if (l.squish_area_max < 1)
    out.push_back({"squish area ratio, most", "limits.squish_area_max", "%",
                   [](Task& t) -> double& { return t.limits.squish_area_max; }, 1, 1, 0.005, 100});
  if (l.gap_min_mm > 0)
    out.push_back({"smallest squish gap", "limits.gap_min", "mm",
                   [](Task& t) -> double& { return t.limits.gap_min_mm; }, -1, 0.05, 0.05});
  if (l.gap_velocity_max_m_s < 1e6)
    out.push_back({"peak gap velocity", "limits.gap_velocity_max", "m/s",
                   [](Task& t) -> double& { return t.limits.gap_velocity_max_m_s; }, 1, 200, 0.5});
  if (l.wall_min_mm > 0)
    out.push_back(
        {"wall", "limits.wall_min", "mm", [](Task& t) -> double& { return t.limits.wall_min_mm; }, -1, 0.5, 0.1});
  if (l.groove_wall_min_mm > 0)
    out.push_back({"wall to a groove", "limits.groove_wall_min", "mm",
                   [](Task& t) -> double& { return t.limits.groove_wall_min_mm; }, -1, 0.3, 0.1});
  if (l.plug_to_crown_min_mm > 0)
    out.push_back({"plug end to crown", "limits.plug_to_crown_min", "mm",
                   [](Task& t) -> double& { return t.limits.plug_to_crown_min_mm; }, -1, 0.5, 0.1});
  if (!task.body.steps.empty())
    out.push_back({"height of the body (the plug seat must lie below the top face)",
                   fmt::format("body.step {} length", task.body.steps.size()), "mm",
                   [](Task& t) -> double& { return t.body.steps.back().length_mm; }, 1,
                   task.body.steps.back().length_mm + 40, 0.1});
  return out;
}

/// True when the limit behind a give presses at this optimum.
bool presses(const Task& task, const Give& g, const Optimum& o) {
  Task probe = task;
  const double value = g.value(probe);
  for (std::size_t i = 0; i < shapes::dimension_count; ++i)
    if (g.key.starts_with("shape." + std::string(shapes::dimension_names[i])))
      return std::abs(shapes::at(o.at, i) - value) < 1e-6 * std::max(1.0, std::abs(value));
  const auto e = evaluate(task, o.at, {true, true});
  for (std::size_t i = 0; i < e.count; ++i) {
    const bool same = e.limits[i].key == g.key ||
                      (g.key.starts_with("body.step") && e.limits[i].name == "plug seat below the top face");
    if (same && e.limits[i].margin() < 1e-5) return true;
  }
  return false;
}

/// The value as it is said, rounded outwards, or (`inwards`) back from what it may not pass; to the last bit as it will
/// be read, for on the grid a hair decides.
double as_said(const Stop& stop, const Give& g, double value, bool inwards) {
  const double step = std::pow(10.0, -stop.decimals()) / g.shown, up = inwards ? -g.direction : g.direction;
  const double n = value / step;
  const double rounded = (up > 0 ? std::ceil(n - 1e-6) : std::floor(n + 1e-6)) * step;
  const auto text = units::fixed(rounded * g.shown, stop.decimals());
  double read = 0;
  std::from_chars(text.data(), text.data() + text.size(), read);
  return read * (1 / g.shown);
}

Stop relax(const Task& task, const Give& g) {
  Task probe = task;
  const double from = g.value(probe);
  Stop stop{g.name, g.key, g.unit, from * g.shown, from * g.shown, false};
  const auto solved_at = [&](double v) {
    g.value(probe) = v;
    for (auto& p : probe.preferences) p.scale_to_freedom(); // as the spec will be read with it
    return solve_and_round(probe).has_value();
  };
  if (!solved_at(g.far)) return stop;
  double no = from, yes = g.far;
  for (int i = 0; i < 40 && std::abs(yes - no) > g.step / 4; ++i) {
    const double mid = (no + yes) / 2;
    (solved_at(mid) ? yes : no) = mid;
  }
  // Outwards to a number that can be typed; verified, since it is a promise.
  double told = g.direction > 0 ? std::ceil(yes / g.step - 1e-9) * g.step : std::floor(yes / g.step + 1e-9) * g.step;
  const auto promise = [&](double v) {
    stop.suffices = solved_at(v);
    if (stop.suffices) stop.to = v * g.shown;
    return stop.suffices;
  };
  for (int i = 0; i < 8; ++i, told += g.direction * g.step) {
    const double said = as_said(stop, g, told, false);
    if ((g.far - said) * g.direction < 0) break;
    if (promise(said)) return stop;
  }
  promise(as_said(stop, g, g.far, true));
  return stop;
}

/// The least or most volume. A single climb can stop on a ridge, so its answer is pushed outwards by asking for a
/// little more, again and again, until no chamber answers.
std::optional<Optimum> extreme_of(const Task& task, Goal goal) {
  auto best = optimise_lazily(task, goal);
  if (!best) return best;
  const double sign = goal == Goal::most_volume ? 1 : -1;
  Task probe = task;
  for (double step_cc = 1; step_cc > 0.005;) {
    probe.head_cc = best->volume_mm3 / 1000 + sign * step_cc;
    if (const auto further = optimise_lazily(probe, Goal::nearest_preference))
      best = further;
    else
      step_cc /= 4;
  }
  return best;
}

} // namespace

Shortfall explain(const Task& task) {
  Shortfall s;
  s.wanted_cc = task.head_cc;
  const auto least = extreme_of(task, Goal::least_volume);
  const auto most = extreme_of(task, Goal::most_volume);
  s.any_reachable = least && most;
  if (s.any_reachable) {
    s.low_cc = least->volume_mm3 / 1000;
    s.high_cc = most->volume_mm3 / 1000;
    const bool within = task.head_cc > s.low_cc && task.head_cc < s.high_cc;
    if (within)
      s.note = "the volume lies within reach, but no point of the grid near the best fit holds it within every limit: "
               "take a finer grid, another closing dimension, or give a limit a little room.";
  } else {
    s.note = "the limits contradict each other: no chamber of this family keeps them all as they stand.";
  }
  const auto& extreme = !s.any_reachable ? least : task.head_cc > s.high_cc ? most : least;
  for (const auto& g : all_gives(task))
    if (!extreme || presses(task, g, *extreme)) {
      const auto stop = relax(task, g);
      // Where nothing is reachable every limit was tried: name only those that help.
      if (extreme || stop.suffices) s.stops.push_back(stop);
    }
  if (extreme && std::none_of(s.stops.begin(), s.stops.end(), [](const Stop& x) { return x.suffices; }))
    for (const auto& g : all_gives(task))
      if (!presses(task, g, *extreme))
        if (const auto stop = relax(task, g); stop.suffices) s.stops.push_back(stop);
  return s;
}

} // namespace chamber::solve
