// Jaws and mandrel: no tool may touch them.
#include "chamber/turning/prove_detail.hpp"
#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace chamber::turning::detail {

using namespace sweep;

namespace {

constexpr double jaws_out_mm = 40; ///< the jaws' extent outwards from where they grip

/// Something that does not turn away: from an inner to an outer radius, from a depth on.
struct Obstacle {
  std::string_view name;
  double inner, outer, from;
};

struct Contact {
  double r = 0, depth = 0;
};

/// How far the stroke's tool runs into it.
Contact contact(const Stroke& k, const Silhouette& s, const Obstacle& o) {
  double highest = k.cut.z_max;
  const Box box = box_of(k.path);
  for (const auto& e : s.bar) highest = std::max(highest, box.z_max + e.dz);
  if (highest <= o.from) return {};
  Contact deepest;
  constexpr double step = 0.25;
  const int n = static_cast<int>(std::ceil((o.outer - o.inner) / step));
  for (int i = 0; i <= n; ++i) {
    const double r = std::min(o.outer, o.inner + step * i);
    double here = cut_top(s, k, r);
    for (const auto& e : s.bar) here = std::max({here, edge_top(k.path, e, r), edge_top(k.path, e, -r)});
    const bool blade = s.cutter == Cutter::radial_blade && r >= k.cut.r_min;
    const bool point = s.cutter == Cutter::thread_point && r >= k.cut.r_min && r <= k.cut.r_max;
    const bool tap = s.cutter == Cutter::tap && r <= s.tool->diameter_mm / 2;
    if (blade || point || tap) here = std::max(here, k.cut.z_max);
    if (here - o.from > deepest.depth) deepest = {r, here - o.from};
  }
  return deepest;
}

} // namespace

void check_chuck(const Sweep& sweep, double height, Proof& proof) {
  const Clamping& c = sweep.run->clamping;
  const double grip = c.grip_diameter_mm / 2;
  std::vector<Obstacle> obstacles;
  if (c.jaws_mm > 0) obstacles.push_back({"the jaws", grip, grip + jaws_out_mm, c.jaws_mm});
  if (c.mandrel) obstacles.push_back({"the mandrel", 0, c.mandrel_mm / 2, c.mandrel_end_mm});
  int last_line = -1;
  for (const auto& k : sweep.strokes) {
    if (k.motion->line == last_line) continue;
    const Silhouette& s = sweep.of(k);
    for (const auto& o : obstacles) {
      const auto [r, depth] = contact(k, s, o);
      if (depth <= 0) continue;
      last_line = k.motion->line;
      const double z = sweep.top_side() ? height - o.from : o.from;
      add_failure(proof, {FailureKind::chuck_contact, sweep.index, last_line, r, z,
                          fmt::format("line {}: tool {} runs {:.2f} mm into {} at r {:.2f}, z {:.2f} mm.", last_line,
                                      s.tool->number, depth, o.name, r, z),
                          "let the work stand out farther, or stop short of it."});
      break;
    }
  }
}

} // namespace chamber::turning::detail
