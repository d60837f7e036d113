#include "chamber/profile/segment.hpp"
#include <limits>

namespace chamber::profile {

S reversed(const S& s) {
  S t = s;
  std::swap(t.start, t.end);
  if (s.kind == Kind::ccw) t.kind = Kind::cw;
  if (s.kind == Kind::cw) t.kind = Kind::ccw;
  return t;
}

Chain reversed(ChainView chain) {
  Chain out;
  out.reserve(chain.size());
  for (std::size_t i = chain.size(); i-- > 0;) out.push_back(reversed(chain[i]));
  return out;
}

Chain transformed(ChainView chain, double k, double dz) {
  Chain out(chain.begin(), chain.end());
  const auto move = [&](P& p) { p = {p.r * k, p.z * k + dz}; };
  for (auto& s : out) {
    move(s.start);
    move(s.end);
    if (s.is_arc()) move(s.centre);
    s.radius *= k;
  }
  return out;
}

Chain mirrored(ChainView chain) {
  Chain out(chain.begin(), chain.end());
  for (auto& s : out) {
    s.start.z = -s.start.z;
    s.end.z = -s.end.z;
    s.centre.z = -s.centre.z;
    if (s.is_arc()) s.kind = s.kind == Kind::ccw ? Kind::cw : Kind::ccw;
  }
  return out;
}

P point_at(const S& s, double u) {
  if (u <= 0) return s.start;
  if (u >= 1) return s.end;
  if (!s.is_arc()) return s.start + (s.end - s.start) * u;
  const double phi = std::atan2(s.start.z - s.centre.z, s.start.r - s.centre.r) + sweep(s) * u;
  return {s.centre.r + s.radius * std::cos(phi), s.centre.z + s.radius * std::sin(phi)};
}

P direction_at(const S& s, double u) {
  if (!s.is_arc()) return unit(s.end - s.start);
  const auto radial = unit(point_at(s, u) - s.centre);
  return s.kind == Kind::ccw ? left_of(radial) : left_of(radial) * -1.0;
}

std::array<S, 2> split(const S& s, double u) {
  S a = s, b = s;
  a.end = b.start = point_at(s, u);
  return {a, b};
}

double arc_length(const S& s) {
  return s.is_arc() ? s.radius * std::abs(sweep(s)) : length(s.end - s.start);
}

Box bounding_box(ChainView chain) {
  constexpr double inf = std::numeric_limits<double>::infinity();
  Box b{inf, -inf, inf, -inf};
  const auto add = [&](const P& p) {
    b = {std::min(b.r_min, p.r), std::max(b.r_max, p.r), std::min(b.z_min, p.z), std::max(b.z_max, p.z)};
  };
  for (const auto& s : chain) {
    add(s.start);
    add(s.end);
    if (!s.is_arc()) continue;
    const P from = s.start - s.centre;
    const double total = sweep(s);
    constexpr double turn = 6.283185307179586;
    for (const P axis : {P{1, 0}, P{0, 1}, P{-1, 0}, P{0, -1}}) {
      double angle = std::atan2(cross(from, axis), dot(from, axis));
      if (total > 0 && angle < 0) angle += turn;
      if (total < 0 && angle > 0) angle -= turn;
      if (std::abs(angle) <= std::abs(total)) add(s.centre + axis * s.radius);
    }
  }
  return b;
}

} // namespace chamber::profile
