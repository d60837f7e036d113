#include "chamber/turning/plan_thread.hpp"
#include "chamber/turning/plan_bore.hpp"
#include "chamber/turning/plan_path.hpp"
#include "chamber/units/quantity.hpp"
#include "chamber/units/tolerance.hpp"
#include <fmt/format.h>

namespace chamber::turning::detail {

namespace {

constexpr double bar_air_mm = 0.1;
constexpr double root_mm = 0.01; ///< past the basic major diameter, on the radius: a plug must not bear on its crests

/// Depths (w) between which the thread runs, and the air before and behind it.
struct Run {
  double seat = 0, roof = 0;
};

Run run_of(const Job& job) {
  // The seat: the highest point of the outside inside the top face's edge is where the hole begins.
  return {job.height_mm - job.outside.back().end.z, job.height_mm - job.chamber.back().end.z};
}

Result<Operation> tap(const Job& job, const Task& task, const Tool& t, const Run& run) {
  if (const auto why = unusable(t, job.machine)) return tl::unexpected(*why);
  const double p = job.thread.pitch_mm;
  if (std::abs(t.diameter_mm - job.thread.major_mm) > 1e-6 || std::abs(t.pitch_mm - p) > 1e-6)
    return fail(
        fmt::format("{} cuts M{:g}x{:g}, the plug hole is {}.", label(t), t.diameter_mm, t.pitch_mm, job.thread.name),
        "take a tap of that size.");
  const double end = run.roof + t.chamfer_mm + p;
  if (end + clear_mm > t.reach_mm)
    return fail(fmt::format("{} reaches {}, {} are needed.", label(t), in_words(job.machine, t.reach_mm, 1),
                            least_in_words(job.machine.inch, end + clear_mm, 1)),
                "take a longer tap.");
  if (task.clamping.jaws_mm > 0 && end > task.clamping.length_mm - task.clamping.front_mm - 0.5)
    return fail(fmt::format("{} would run out {} below the top, where the insert ends.", label(t),
                            in_words(job.machine, end, 1)),
                "take a tap with a shorter chamfer.");
  Operation op;
  op.cut = Cut::tap;
  op.title = "tap " + job.thread.name;
  op.tool = t;
  op.reason = "a tap of the thread's size";
  op.speed = rpm_at(t.cutting_speed_m_per_min, t.diameter_mm, job.machine.clamp_rpm);
  op.feed_mm_per_rev = p;
  op.passes = 1;
  const double from = std::max(3 * p, clear_mm);
  op.moves = {{Move::Kind::rapid, 0, from, 0, 0, 0},
              {Move::Kind::thread, 0, -end, 0, 0, p},
              {Move::Kind::reverse, 0, 0, 0, 0, 0},
              {Move::Kind::thread, 0, from, 0, 0, p}};
  op.notes.push_back("right-hand thread, use thread oil, and clear the chips from the chamber");
  return op;
}

Result<Operation> single_point(const Job& job, const Tool& t, const Run& run, double hole) {
  if (const auto why = unusable(t, job.machine)) return tl::unexpected(*why);
  const double p = job.thread.pitch_mm;
  if (t.pitch_mm > 0 && p > t.pitch_mm + 1e-9)
    return fail(fmt::format("{} cuts pitches up to {:g} mm, {} has {:g} mm.", label(t), t.pitch_mm, job.thread.name, p),
                "take a coarser threading tool.");
  const double bar = t.min_bore_mm > 0 ? t.min_bore_mm : t.shank_mm, away = hole - 0.4;
  if (bar - away > hole - bar_air_mm)
    return fail(fmt::format("{} needs a hole of {}, the tapped hole has {}.", label(t),
                            least_in_words(job.machine.inch, bar + 0.4 + bar_air_mm),
                            most_in_words(job.machine.inch, 2 * hole)),
                "take a slimmer threading bar, or a tap.");
  const double end = run.roof + p, from = run.seat - std::max(3 * p, clear_mm);
  if (end + clear_mm > t.reach_mm)
    return fail(fmt::format("{} reaches {}, {} are needed.", label(t), in_words(job.machine, t.reach_mm, 1),
                            least_in_words(job.machine.inch, end + clear_mm, 1)),
                "take a longer threading bar.");
  const double root = job.thread.major_mm / 2 + root_mm, depth = root - hole;
  // Equal sections: every pass takes the square root's share.
  const int n = std::max(2, static_cast<int>(std::ceil(std::pow(depth / t.max_depth_mm, 2) - 1e-9)));
  Operation op;
  op.cut = Cut::thread;
  op.title = fmt::format("cut {} in {} passes and a spring pass", job.thread.name, n);
  op.tool = t;
  op.reason = "single point: no tap of the size is among the tools";
  op.speed = rpm_at(t.cutting_speed_m_per_min, job.thread.major_mm, job.machine.clamp_rpm);
  op.feed_mm_per_rev = p;
  op.passes = n + 1;
  op.moves.push_back({Move::Kind::rapid, away, std::max(clear_mm, -from), 0, 0, 0});
  op.moves.push_back({Move::Kind::rapid, away, -from, 0, 0, 0});
  for (int k = 1; k <= n + 1; ++k) {
    const double r = k > n ? root : hole + depth * std::sqrt(static_cast<double>(k) / n);
    op.moves.push_back({Move::Kind::rapid, r, -from, 0, 0, 0});
    op.moves.push_back({Move::Kind::thread, r, -end, 0, 0, p});
    op.moves.push_back({Move::Kind::rapid, away, -end, 0, 0, 0});
    op.moves.push_back({Move::Kind::rapid, away, -from, 0, 0, 0});
  }
  op.moves.push_back({Move::Kind::rapid, away, clear_mm, 0, 0, 0});
  op.notes.push_back("right-hand thread, cut towards the chuck; try it with the plug before unclamping");
  return op;
}

} // namespace

Result<Operation> cut_thread(const Job& job, const Task& task, double hole) {
  const auto run = run_of(job);
  std::optional<Problem> first;
  for (const auto kind : {ToolKind::tap, ToolKind::threading})
    for (const auto& t : job.tools) {
      if (t.kind != kind) continue;
      auto op = kind == ToolKind::tap ? tap(job, task, t, run) : single_point(job, t, run, hole);
      if (op) return op;
      if (!first || kind == ToolKind::threading) first = op.error();
    }
  if (first) return tl::unexpected(*first);
  return fail(fmt::format("neither a tap {} nor a threading tool is among the tools.", job.thread.name), "add one.");
}

} // namespace chamber::turning::detail
