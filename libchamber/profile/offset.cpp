#include "chamber/profile/offset.hpp"
#include "chamber/profile/distance.hpp"
#include "chamber/units/tolerance.hpp"
#include <algorithm>
#include <fmt/format.h>

namespace chamber::profile {
namespace {

using tolerance::point_mm;

/// One segment moved left by d; empty when an arc vanishes.
Chain moved(const S& s, double d) {
  if (!s.is_arc()) {
    const P n = left_of(unit(s.end - s.start)) * d;
    return {line(s.start + n, s.end + n)};
  }
  const double radius = s.kind == Kind::ccw ? s.radius - d : s.radius + d;
  if (radius < point_mm) {
    // The arc has turned inside out: what is left joins its neighbours' ends and is cut away below.
    const P from = s.centre + (s.start - s.centre) * (radius / s.radius);
    const P to = s.centre + (s.end - s.centre) * (radius / s.radius);
    return length(to - from) > point_mm ? Chain{line(from, to)} : Chain{};
  }
  const auto at = [&](const P& p) { return s.centre + (p - s.centre) * (radius / s.radius); };
  return {arc(s.kind, at(s.start), at(s.end), s.centre, radius)};
}

Chain raw_offset(ChainView chain, double d) {
  Chain out;
  for (std::size_t i = 0; i < chain.size(); ++i) {
    for (const auto& m : moved(chain[i], d)) {
      if (!out.empty() && length(out.back().end - m.start) > point_mm) {
        const P corner = chain[i].start;
        const bool convex = cross(direction_at(chain[i - 1], 1), direction_at(chain[i], 0)) < 0;
        // A convex corner of the metal gets an arc about it; a concave one a link that is cut away below.
        if (convex && std::abs(length(out.back().end - corner) - d) < point_mm)
          out.push_back(arc(Kind::cw, out.back().end, m.start, corner, d));
        else
          out.push_back(line(out.back().end, m.start));
      }
      out.push_back(m);
    }
  }
  return out;
}

double parameter_of(const S& s, const P& p) {
  if (!s.is_arc()) {
    const P d = s.end - s.start;
    return dot(p - s.start, d) / dot(d, d);
  }
  S part = s;
  part.end = p;
  double turned = sweep(part);
  // At the very start rounding can turn nothing into a whole turn.
  if (std::abs(turned) > 6.2831) turned = 0;
  return turned / sweep(s);
}

/// All segments cut at every place where the curve meets itself or comes within reach of the chain's two ends, beside
/// which it has nothing to meet.
Chain cut_at_crossings(const Chain& raw, ChainView chain, double d) {
  Chain ends;
  for (const P& c : {chain.front().start, chain.back().end})
    for (const double side : {1.0, -1.0})
      ends.push_back(arc(Kind::ccw, P{c.r + side * d, c.z}, P{c.r - side * d, c.z}, c, d));
  Chain out;
  for (std::size_t i = 0; i < raw.size(); ++i) {
    std::vector<double> cuts;
    for (std::size_t j = 0; j < raw.size(); ++j)
      if (i != j)
        for (const auto& p : crossings(raw[i], raw[j])) cuts.push_back(parameter_of(raw[i], p));
    for (const auto& end : ends)
      for (const auto& p : crossings(raw[i], end)) cuts.push_back(parameter_of(raw[i], p));
    std::sort(cuts.begin(), cuts.end());
    S rest = raw[i];
    const double whole = arc_length(raw[i]);
    double from = 0;
    for (const double u : cuts) {
      if (u - from < point_mm / whole || u > 1 - point_mm / whole) continue;
      const P at = point_at(raw[i], u);
      S piece = rest;
      piece.end = at;
      rest.start = at;
      out.push_back(piece);
      from = u;
    }
    out.push_back(rest);
  }
  return out;
}

} // namespace

Result<Chain> offset_left(ChainView chain, double distance) {
  const auto slices = cut_at_crossings(raw_offset(chain, distance), chain, distance);
  Chain kept;
  for (const auto& s : slices) {
    // At a nearly straight concave corner the curve overshoots by e into a loop that is too near by only 2
    // e^2/distance: the slack must be finer than that, and what it can't tell is shorter than a joint's tolerance.
    if (arc_length(s) < 10 * point_mm) continue;
    const auto near = [&](double u) { return nearest(point_at(s, u), chain).distance < distance - 1e-4 * point_mm; };
    const bool clear = !near(0.5) && !near(0.25) && !near(0.75);
    if (!clear) continue;
    // Slices come in order of travel, so what is clear hangs together end to start.
    if (!kept.empty() && length(kept.back().end - s.start) > 10 * point_mm)
      return fail(fmt::format("the parallel curve {:.3f} mm from the profile falls apart near r {:.3f}, z {:.3f} mm.",
                              distance, s.start.r, s.start.z),
                  "use a smaller nose radius or allowance, or a wider passage there.");
    kept.push_back(s);
    if (kept.size() > 1) kept.back().start = kept[kept.size() - 2].end;
  }
  if (kept.empty())
    return fail(fmt::format("nothing of the profile can be reached at {:.3f} mm from it.", distance),
                "use a smaller nose radius or allowance.");
  return kept;
}

std::vector<TightSpot> too_tight_for(ChainView chain, double radius) {
  std::vector<TightSpot> out;
  for (std::size_t i = 0; i < chain.size(); ++i) {
    const S& s = chain[i];
    if (s.kind == Kind::ccw && s.radius < radius - point_mm) out.push_back({i, point_at(s, 0.5), s.radius});
    if (i + 1 < chain.size() && cross(direction_at(s, 1), direction_at(chain[i + 1], 0)) > 1e-6)
      out.push_back({i, s.end, 0.0});
  }
  return out;
}

} // namespace chamber::profile
