#include "chamber/solve/fit.hpp"
#include "chamber/solve/round.hpp"
#include "chamber/solve/shortfall.hpp"
#include <cmath>

namespace chamber::solve {
namespace {

std::vector<std::string> binding_at(const Task& task, const Optimum& o) {
  std::vector<std::string> out;
  for (std::size_t i = 0; i < shapes::dimension_count; ++i) {
    if (!shapes::has_dimension(task.frame.family, i)) continue;
    const auto& p = task.preferences[i];
    const double v = shapes::at(o.at, i), slack = 1e-6 * std::max(1.0, p.high);
    if (p.high <= p.low) continue;
    const std::string name(shapes::dimension_names[i]);
    if (v - p.low < slack) out.push_back(name + " at its least");
    if (p.high - v < slack) out.push_back(name + " at its most");
  }
  const auto e = evaluate(task, o.at, {true, true});
  for (std::size_t i = 0; i < e.count; ++i)
    if (e.limits[i].margin() < 1e-5) {
      const bool wall = e.limits[i].key.ends_with("wall_min");
      out.push_back((wall ? "wall to " : "") + std::string(e.limits[i].name));
    }
  return out;
}

} // namespace

std::optional<Solved> solve_and_round(const Task& task) {
  const auto optimum = optimise_lazily(task, Goal::nearest_preference);
  if (!optimum) return std::nullopt;
  const auto rounded = round_to_grid(task, optimum->at);
  if (!rounded) return std::nullopt;
  return Solved{*optimum, *rounded};
}

std::vector<Check> judge(const Task& task, const shapes::Dimensions<double>& d) {
  const auto e = evaluate(task, d, {true, true});
  std::vector<Check> out;
  const Limit<double>* room = nullptr;
  for (std::size_t i = 0; i < e.count; ++i) {
    const auto& l = e.limits[i];
    if (i < e.chamber.room_count) { // geometry: only the tightest is worth a line
      if (!room || l.value < room->value) room = &l;
      continue;
    }
    if (l.value > 1e8 || (l.minimum && l.bound <= 0 && !l.key.empty()) || (!l.minimum && l.bound >= 1e6)) continue;
    if (l.key == "limits.squish_area_max" && l.bound >= 100) continue;
    const bool wall = l.key.ends_with("wall_min");
    out.push_back({(wall ? "wall to " : "") + std::string(l.name), std::string(l.key), l.margin() >= kept, l.value,
                   l.bound, l.minimum, std::string(l.unit), ""});
  }
  if (room)
    out.push_back({"tightest place of the profile", "", room->margin() >= kept, room->value, 0, true, "mm",
                   std::string(room->name)});
  return out;
}

tl::expected<Fit, Shortfall> fit(const Task& task) {
  const auto solved = solve_and_round(task);
  if (!solved) return tl::unexpected(explain(task));
  Fit f;
  f.exact = solved->optimum.at;
  f.rounded = solved->rounded;
  f.evaluations = solved->optimum.evaluations;
  f.exact_residual_cc = solved->optimum.volume_mm3 / 1000 - task.head_cc;
  f.departure = departure(task, f.rounded);
  f.binding = binding_at(task, solved->optimum);
  const auto e = evaluate(task, f.rounded, {true, true});
  f.chamber = e.chamber;
  f.head_cc = e.volume_mm3 / 1000;
  f.residual_cc = f.head_cc - task.head_cc;
  f.checks = judge(task, f.rounded);
  f.split = e.split;
  if (task.peak_rpm > 0) f.peak = engine::peak_gap_velocity(e.split, task.crank, task.peak_rpm);
  return f;
}

} // namespace chamber::solve
