#include "chamber/turning/plan_fit.hpp"
#include "chamber/turning/plan_outside.hpp"
#include "chamber/turning/plan_path.hpp"
#include "chamber/units/tolerance.hpp"
#include <fmt/format.h>

namespace chamber::turning::detail {

using tolerance::point_mm;

namespace {

constexpr double air_mm = 0.2; ///< between the holder and the step that the groove is cut into

/// A groove in clamping coordinates, seen along its blade: `at` runs across the groove (w, or r for a face groove),
/// `depth` along the plunge.
struct Slot {
  double low = 0, high = 0;  ///< its walls, across
  double top = 0, floor = 0; ///< radius of the step and of the floor; or face and floor depth
};

Slot slot_of(const Job& job, const Task& task, const Groove& g) {
  if (g.in_face) return {g.r_inner_mm, g.r_outer_mm, 0, g.z_high_mm};
  const bool top = task.clamping.side == Side::top;
  return {top ? job.height_mm - g.z_high_mm : g.z_low_mm, top ? job.height_mm - g.z_low_mm : g.z_high_mm, g.r_outer_mm,
          g.r_inner_mm};
}

std::optional<Problem> blade_unfit(const Job& job, const Tool& t, const Groove& g, const Slot& s) {
  const auto problem = [](std::string m, std::string c) { return Problem{{}, std::move(m), std::move(c)}; };
  if (auto why = unusable(t, job.machine)) return why;
  const double wide = s.high - s.low, deep = std::abs(s.floor - s.top);
  if (t.width_mm > wide + 1e-4)
    return problem(fmt::format("{} is {} wide, the {} {}.", label(t), in_words(job.machine, t.width_mm), g.name,
                               most_in_words(job.machine.inch, wide)),
                   fmt::format("take a blade of at most {}.", most_in_words(job.machine.inch, wide)));
  if (t.max_depth_mm < deep + air_mm - point_mm)
    return problem(fmt::format("{} cuts {} deep; for the {} {} are needed.", label(t),
                               in_words(job.machine, t.max_depth_mm), g.name,
                               least_in_words(job.machine.inch, deep + air_mm)),
                   "take a longer blade.");
  if (t.nose_radius_mm > job.inner_corner_mm + point_mm)
    return problem(fmt::format("{} has corners of {}, {} are allowed.", label(t),
                               in_words(job.machine, t.nose_radius_mm),
                               most_in_words(job.machine.inch, job.inner_corner_mm)),
                   "take a sharper blade, or allow a larger body.inner_corner.");
  if (g.in_face &&
      ((t.face_min_mm > 0 && 2 * s.high < t.face_min_mm) || (t.face_max_mm > 0 && 2 * s.high > t.face_max_mm)))
    return problem(fmt::format("{} plunges at diameters of {} to {}, the {} at {}.", label(t),
                               in_words(job.machine, t.face_min_mm, 0), in_words(job.machine, t.face_max_mm, 0), g.name,
                               in_words(job.machine, 2 * s.high, 1)),
                   "take a face blade curved for that diameter.");
  return std::nullopt;
}

/// The control point when the blade's cutting edge spans [across - width, across] at the given depth.
class Blade {
public:
  Blade(Operation& op, bool in_face, double feed) : op_(op), in_face_(in_face), feed_(feed) {
    // The corner that carries the control point: that with the larger coordinate across, or the other.
    larger_ = in_face ? op.tool.orientation == 3 : op.tool.orientation == 2;
  }
  void go(bool rapid, double across, double depth) {
    const double c = larger_ ? across : across - op_.tool.width_mm;
    Move m{rapid ? Move::Kind::rapid : Move::Kind::line,
           in_face_ ? c : depth,
           in_face_ ? -depth : -c,
           0,
           0,
           rapid ? 0 : feed_};
    op_.moves.push_back(m);
  }

private:
  Operation& op_;
  bool in_face_, larger_ = true;
  double feed_;
};

Operation cut_groove(const Task& task, const Tool& t, const Groove& g, const Slot& s) {
  auto op = start(t, Cut::groove, "cut the " + g.name, t.feed_mm_per_rev);
  Blade blade(op, g.in_face, t.feed_mm_per_rev);
  const double b = t.width_mm, spare = s.high - s.low - b;
  const double rest = std::min(0.1, spare / 2);      // for the finishing plunges
  const double off_wall = std::min(0.02, spare / 2); // where the floor pass leaves the first wall alone
  const double sense = s.top > s.floor ? 1 : -1;     // which way out of the groove
  const double stock = task.clamping.diameter_mm / 2;
  const double clear = g.in_face ? s.top + sense * clear_mm : stock + clear_mm, off = s.top + sense * 0.5;
  const double first = s.low + b + rest, last = s.high - rest;
  const int n = last - first < point_mm ? 1 : 2 + static_cast<int>((last - first) / (0.8 * b));
  if (!g.in_face) op.moves.push_back({Move::Kind::rapid, clear, task.clamping.front_mm + clear_mm, 0, 0, 0});
  blade.go(true, first, clear);
  const double bottom = s.floor + sense * (spare > point_mm ? rest : 0);
  for (int k = 0; k < n; ++k) {
    const double at = n == 1 ? first : first + (last - first) * k / (n - 1);
    blade.go(true, at, off);
    blade.go(false, at, bottom);
    blade.go(true, at, off);
  }
  op.passes = n;
  if (spare > point_mm) {
    // Walls first, then along the floor away from the second one.
    blade.go(true, s.low + b, off);
    blade.go(false, s.low + b, s.floor);
    blade.go(true, s.low + b, off);
    blade.go(true, s.high, off);
    blade.go(false, s.high, s.floor);
    blade.go(false, s.low + b + off_wall, s.floor);
    blade.go(false, s.low + b + off_wall, off);
    op.passes += 2;
  }
  const double end = spare > point_mm ? s.low + b + off_wall : first;
  blade.go(true, end, clear);
  if (!g.in_face) op.moves.push_back({Move::Kind::rapid, clear, task.clamping.front_mm + clear_mm, 0, 0, 0});
  return op;
}

} // namespace

Result<std::vector<Operation>> grooves(const Job& job, const Task& task) {
  std::vector<Operation> ops;
  for (const auto& g : task.grooves) {
    const auto s = slot_of(job, task, g);
    const auto kind = g.in_face ? ToolKind::face_grooving : ToolKind::grooving;
    const Tool* best = nullptr;
    std::optional<Problem> first;
    for (const auto& t : job.tools) {
      if (t.kind != kind) continue;
      if (auto why = blade_unfit(job, t, g, s)) {
        if (!first) first = why;
      } else if (!best || t.width_mm > best->width_mm) {
        best = &t;
      }
    }
    if (!best) {
      if (first) return tl::unexpected(*first);
      return fail(fmt::format("no {} tool is among the tools, and the {} has to be cut.", name(kind), g.name),
                  fmt::format("add a blade of at most {} width that cuts {} deep.",
                              most_in_words(job.machine.inch, s.high - s.low),
                              least_in_words(job.machine.inch, std::abs(s.floor - s.top) + air_mm)));
    }
    auto op = cut_groove(task, *best, g, s);
    op.reason = fmt::format("the widest blade that goes into {}", in_words(job.machine, s.high - s.low));
    ops.push_back(std::move(op));
  }
  return ops;
}

} // namespace chamber::turning::detail
