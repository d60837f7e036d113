#include "chamber/profile/distance.hpp"
#include "chamber/units/tolerance.hpp"
#include <limits>

namespace chamber::profile {
namespace {

using tolerance::point_mm;
constexpr double turn = 6.283185307179586;

void keep(Nearest& best, const P& a, const P& b) {
  if (const double d = length(a - b); d < best.distance) best = {d, a, b};
}

Nearest flipped(const Nearest& n) {
  return {n.distance, n.b, n.a};
}

/// Parameter 0..1 along a line's carrier of the foot of the perpendicular from p.
double foot(const P& p, const S& s) {
  const P d = s.end - s.start;
  const double dd = dot(d, d);
  return dd > 0 ? dot(p - s.start, d) / dd : 0.0;
}

void meet_lines(const S& a, const S& b, std::vector<P>& out) {
  const P d = a.end - a.start, e = b.end - b.start;
  const double denominator = cross(d, e);
  if (std::abs(denominator) < 1e-14 * length(d) * length(e)) return;
  out.push_back(a.start + d * (cross(b.start - a.start, e) / denominator));
}

void meet_line_circle(const S& l, const S& c, std::vector<P>& out) {
  const P d = unit(l.end - l.start);
  const P mid = l.start + d * dot(c.centre - l.start, d);
  const double h2 = c.radius * c.radius - dot(mid - c.centre, mid - c.centre);
  if (h2 < -2 * c.radius * point_mm) return;
  const double h = std::sqrt(std::max(0.0, h2));
  out.push_back(mid + d * h);
  if (h > 0) out.push_back(mid - d * h);
}

void meet_circles(const S& a, const S& b, std::vector<P>& out) {
  const P d = b.centre - a.centre;
  const double gap = length(d);
  if (gap < 1e-12) return;
  const double along = (gap * gap + a.radius * a.radius - b.radius * b.radius) / (2 * gap);
  const double h2 = a.radius * a.radius - along * along;
  if (h2 < -2 * a.radius * point_mm) return;
  const double h = std::sqrt(std::max(0.0, h2));
  const P u = d * (1 / gap);
  const P mid = a.centre + u * along;
  out.push_back(mid + left_of(u) * h);
  if (h > 0) out.push_back(mid - left_of(u) * h);
}

bool on(const P& p, const S& s) {
  if (s.is_arc()) return arc_covers(s, p - s.centre);
  const double slack = point_mm / std::max(point_mm, length(s.end - s.start));
  const double t = foot(p, s);
  return t >= -slack && t <= 1 + slack;
}

} // namespace

bool arc_covers(const S& s, const P& direction) {
  const P from = s.start - s.centre;
  const double total = sweep(s);
  double angle = std::atan2(cross(from, direction), dot(from, direction));
  const double slack = point_mm / s.radius;
  if (total > 0 && angle < -slack) angle += turn;
  if (total < 0 && angle > slack) angle -= turn;
  return total > 0 ? angle <= total + slack : angle >= total - slack;
}

Nearest nearest(const P& p, const S& s) {
  if (!s.is_arc()) {
    const P q = point_at(s, std::clamp(foot(p, s), 0.0, 1.0));
    return {length(p - q), p, q};
  }
  const P out = p - s.centre;
  const double away = length(out);
  if (away > 0 && arc_covers(s, out)) {
    const P q = s.centre + out * (s.radius / away);
    return {std::abs(away - s.radius), p, q};
  }
  Nearest best{length(p - s.start), p, s.start};
  keep(best, p, s.end);
  return best;
}

Nearest nearest(const S& a, const S& b) {
  if (const auto shared = crossings(a, b); !shared.empty()) return {0.0, shared[0], shared[0]};
  Nearest best = nearest(a.start, b);
  for (const auto& n : {nearest(a.end, b), flipped(nearest(b.start, a)), flipped(nearest(b.end, a))})
    if (n.distance < best.distance) best = n;
  // Inner pairs: the common normal runs through the centre of every arc involved.
  const auto try_normal = [&](const S& arc, const P& direction, const S& other, bool swap) {
    if (length(direction) == 0 || !arc_covers(arc, direction)) return;
    const P q = arc.centre + unit(direction) * arc.radius;
    const auto n = nearest(q, other);
    if (n.distance < best.distance) best = swap ? flipped(n) : n;
  };
  if (a.is_arc() && b.is_arc()) {
    const P d = b.centre - a.centre;
    for (const double sign : {1.0, -1.0}) {
      try_normal(a, d * sign, b, false);
      try_normal(b, d * sign, a, true);
    }
  } else if (a.is_arc() != b.is_arc()) {
    const S& curve = a.is_arc() ? a : b;
    const S& straight = a.is_arc() ? b : a;
    const P normal = left_of(unit(straight.end - straight.start));
    for (const double sign : {1.0, -1.0}) try_normal(curve, normal * sign, straight, !a.is_arc());
  }
  return best;
}

Nearest nearest(const P& p, ChainView chain) {
  Nearest best{std::numeric_limits<double>::infinity(), p, p};
  for (const auto& s : chain)
    if (const auto n = nearest(p, s); n.distance < best.distance) best = n;
  return best;
}

Nearest nearest(ChainView a, ChainView b) {
  Nearest best{std::numeric_limits<double>::infinity(), {}, {}};
  for (const auto& s : a)
    for (const auto& t : b)
      if (const auto n = nearest(s, t); n.distance < best.distance) best = n;
  return best;
}

std::vector<P> crossings(const S& a, const S& b) {
  std::vector<P> candidates, out;
  if (!a.is_arc() && !b.is_arc())
    meet_lines(a, b, candidates);
  else if (a.is_arc() && b.is_arc())
    meet_circles(a, b, candidates);
  else
    a.is_arc() ? meet_line_circle(b, a, candidates) : meet_line_circle(a, b, candidates);
  for (const auto& p : candidates)
    if (on(p, a) && on(p, b)) out.push_back(p);
  return out;
}

std::optional<Heights> heights_at(ChainView chain, double r) {
  constexpr double inf = std::numeric_limits<double>::infinity();
  Heights h{inf, -inf};
  const auto add = [&](double z) { h = {std::min(h.low, z), std::max(h.high, z)}; };
  for (const auto& s : chain) {
    if (s.is_arc()) {
      const double x = r - s.centre.r, yy = s.radius * s.radius - x * x;
      if (yy < 0) continue;
      for (const double y : {std::sqrt(yy), -std::sqrt(yy)})
        if (arc_covers(s, {x, y})) add(s.centre.z + y);
      continue;
    }
    const auto [low, high] = std::minmax(s.start.r, s.end.r);
    if (r < low || r > high) continue;
    if (high - low < 1e-12) {
      add(s.start.z);
      add(s.end.z);
    } else {
      add(s.start.z + (s.end.z - s.start.z) * (r - s.start.r) / (s.end.r - s.start.r));
    }
  }
  if (h.low > h.high) return std::nullopt;
  return h;
}

bool inside(const P& p, ChainView closed) {
  // Winding by the angle each segment turns about p; exact for arcs through their chord plus the bulge's own turn.
  double total = 0;
  for (const auto& s : closed) {
    constexpr int pieces = 8; // an eighth of an arc never hides half a turn unless p touches it
    const int n = s.is_arc() ? pieces : 1;
    P from = s.start - p;
    for (int i = 1; i <= n; ++i) {
      const P to = point_at(s, static_cast<double>(i) / n) - p;
      total += std::atan2(cross(from, to), dot(from, to));
      from = to;
    }
    if (!s.is_arc()) continue;
    // p between a chord piece and its arc: the chord walk went the wrong way round it.
    for (int i = 0; i < n; ++i) {
      const P a = point_at(s, static_cast<double>(i) / n), b = point_at(s, static_cast<double>(i + 1) / n);
      if (length(p - s.centre) >= s.radius) continue;
      const double side_p = cross(b - a, p - a), side_c = cross(b - a, s.centre - a);
      if (side_p * side_c < 0) total += s.kind == Kind::ccw ? turn : -turn;
    }
  }
  return std::abs(total) > turn / 2;
}

std::optional<Clash> self_crossing(ChainView chain) {
  const std::size_t n = chain.size();
  const bool closed = n > 1 && length(chain.back().end - chain.front().start) < point_mm;
  for (std::size_t i = 0; i < n; ++i)
    for (std::size_t j = i + 1; j < n; ++j)
      for (const auto& p : crossings(chain[i], chain[j])) {
        const bool next = j == i + 1 && length(p - chain[i].end) < 10 * point_mm;
        const bool last = closed && i == 0 && j == n - 1 && length(p - chain[0].start) < 10 * point_mm;
        if (!next && !last) return Clash{i, j, p};
      }
  return std::nullopt;
}

std::optional<std::size_t> broken_at(ChainView chain) {
  for (std::size_t i = 0; i + 1 < chain.size(); ++i)
    if (length(chain[i].end - chain[i + 1].start) > point_mm) return i;
  return std::nullopt;
}

} // namespace chamber::profile
