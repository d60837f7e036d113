#include "chamber/turning/plan_bore.hpp"
#include "chamber/turning/plan_path.hpp"
#include "chamber/units/quantity.hpp"
#include "chamber/units/tolerance.hpp"
#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace chamber::turning::detail {

namespace {

constexpr double drill_past_mm = 1.0; ///< how far the drill's full diameter runs past the blank

std::optional<Problem> refuse(std::string message, std::string cure) {
  return Problem{{}, std::move(message), std::move(cure)};
}

void add_drill_moves(Operation& op, double thickness, const Machine& machine) {
  const Tool& t = op.tool;
  const double point = t.diameter_mm / 2 / std::tan(units::radians(t.point_angle_deg / 2));
  const double bottom = -(thickness + point + drill_past_mm);
  const double peck = t.max_depth_mm > 0 ? t.max_depth_mm : t.diameter_mm;
  constexpr double short_of_mm = 0.5;
  const int n = static_cast<int>(std::ceil(-bottom / peck));
  op.passes = n;
  op.moves.push_back({Move::Kind::rapid, 0, clear_mm, 0, 0, 0});
  for (int k = 1; k <= n; ++k) {
    if (k > 1) op.moves.push_back({Move::Kind::rapid, 0, bottom * (k - 1) / n + short_of_mm, 0, 0, 0});
    op.moves.push_back({Move::Kind::line, 0, bottom * k / n, 0, 0, t.feed_mm_per_rev});
    op.moves.push_back({Move::Kind::rapid, 0, clear_mm, 0, 0, 0});
  }
  op.notes.push_back(
      fmt::format("the drill's point comes out {} behind Z0: leave room there", in_words(machine, -bottom)));
}

} // namespace

double rpm_at(double speed_m_per_min, double diameter_mm, double clamp) {
  return std::min(clamp, std::floor(speed_m_per_min * 1000 / (units::pi * diameter_mm)));
}

Result<Operation> drill(const Job& job, double depth_mm) {
  const bool tapped = !job.thread.name.empty();
  const double least = tapped ? job.thread.minor_low_mm : 0;
  const double most = tapped ? job.thread.minor_high_mm : 2 * job.plug_hole_radius_mm;
  std::optional<Problem> first;
  const Tool* best = nullptr;
  for (const auto& t : job.tools) {
    if (t.kind != ToolKind::drill || t.purpose == Purpose::centring) continue;
    auto why = unusable(t, job.machine);
    const double need = depth_mm + t.diameter_mm + drill_past_mm + clear_mm;
    if (!why && t.diameter_mm > most + tolerance::point_mm)
      why = refuse(fmt::format("{} is {} in diameter, the plug hole at most {}.", label(t),
                               in_words(job.machine, t.diameter_mm, 3), most_in_words(job.machine.inch, most, 3)),
                   tapped ? fmt::format("take a drill of {} to {}.", least_in_words(job.machine.inch, least, 3),
                                        most_in_words(job.machine.inch, most, 3))
                          : std::string("take a drill no larger than the plug hole."));
    if (!why && t.diameter_mm < least - tolerance::point_mm)
      why = refuse(fmt::format("{} is {} in diameter; {} asks for a hole of {} to {}.", label(t),
                               in_words(job.machine, t.diameter_mm, 3), job.thread.name,
                               least_in_words(job.machine.inch, least, 3), most_in_words(job.machine.inch, most, 3)),
                   fmt::format("add a drill of {} to {}.", least_in_words(job.machine.inch, least, 3),
                               most_in_words(job.machine.inch, most, 3)));
    if (!why && t.reach_mm < need)
      why = refuse(fmt::format("{} reaches {}, {} are needed through the blank.", label(t),
                               in_words(job.machine, t.reach_mm, 1), least_in_words(job.machine.inch, need, 1)),
                   "take a longer drill.");
    if (why) {
      if (!first) first = why;
    } else if (!best || t.diameter_mm > best->diameter_mm) {
      best = &t;
    }
  }
  if (!best) {
    if (first) return tl::unexpected(*first);
    return fail("no drill is among the tools, and the pilot has to be drilled.",
                tapped ? fmt::format("add a drill of {} to {}.", least_in_words(job.machine.inch, least, 3),
                                     most_in_words(job.machine.inch, most, 3))
                       : fmt::format("add a drill of at most {}, or give the blank's bore.",
                                     most_in_words(job.machine.inch, most)));
  }
  Operation op;
  op.cut = Cut::drill;
  op.title = tapped ? "drill through, to the size for the thread" : "drill the pilot through";
  op.tool = *best;
  op.reason = tapped
                  ? fmt::format("the largest that the thread's {} to {} allow",
                                least_in_words(job.machine.inch, least, 3), most_in_words(job.machine.inch, most, 3))
                  : fmt::format("the largest that the plug hole of {} allows", most_in_words(job.machine.inch, most));
  op.speed = rpm_at(best->cutting_speed_m_per_min, best->diameter_mm, job.machine.clamp_rpm);
  op.feed_mm_per_rev = best->feed_mm_per_rev;
  add_drill_moves(op, depth_mm, job.machine);
  return op;
}

std::optional<Operation> centre(const Job& job, double hole_diameter_mm) {
  for (const auto& t : job.tools) {
    if (t.kind != ToolKind::drill || t.purpose != Purpose::centring || unusable(t, job.machine)) continue;
    // Deep enough to hold the drill's point, no deeper: its lips must not meet the mark's edge first.
    constexpr double deepest_mm = 2.5;
    const double half = std::tan(units::radians(t.point_angle_deg) / 2);
    const double depth = std::min(deepest_mm, std::min(t.diameter_mm, 0.8 * hole_diameter_mm) / 2 / half);
    const double wide = 2 * depth * half;
    Operation op;
    op.cut = Cut::drill;
    op.title = "mark the centre";
    op.tool = t;
    op.reason = "a drill starts true in it";
    op.speed = rpm_at(t.cutting_speed_m_per_min, wide, job.machine.clamp_rpm);
    op.feed_mm_per_rev = t.feed_mm_per_rev;
    op.passes = 1;
    op.moves = {{Move::Kind::rapid, 0, clear_mm, 0, 0, 0},
                {Move::Kind::line, 0, -depth, 0, 0, t.feed_mm_per_rev},
                {Move::Kind::rapid, 0, clear_mm, 0, 0, 0}};
    return op;
  }
  return std::nullopt;
}

} // namespace chamber::turning::detail
