#pragma once
// An edge round between two neighbouring segments, exact, for lines and arcs in any pairing.
#include "chamber/profile/segment.hpp"

namespace chamber::profile {

/// Two segments with a round between them, and how much of each is left (mm, negative: the round does not fit).
template <class T>
struct Filleted {
  Segment<T> before, round, after;
  T before_left{}, after_left{};
};

namespace detail {

/// The carrier of a segment moved sideways: a line through `point` along `direction`, or a circle.
template <class T>
struct Carrier {
  bool circle;
  Point<T> point, direction; ///< line
  Point<T> centre;           ///< circle
  T radius;
};

/// Direction of a line, worked out once; of an arc nothing.
template <class T>
Point<T> heading(const Segment<T>& s) {
  return s.is_arc() ? Point<T>{T(0), T(0)} : unit(s.end - s.start);
}

template <class T>
Carrier<T> beside(const Segment<T>& s, const Point<T>& direction, const T& left) {
  if (!s.is_arc()) return {false, s.start + left_of(direction) * left, direction, {T(0), T(0)}, T(0)};
  const T radius = s.kind == Kind::ccw ? T(s.radius - left) : T(s.radius + left);
  return {true, {T(0), T(0)}, {T(0), T(0)}, s.centre, radius};
}

/// sqrt that stays finite, with a usable slope, where the curves no longer meet.
template <class T>
T safe_sqrt(const T& x, bool& met) {
  using std::sqrt;
  if (plain(x) > 1e-12) return sqrt(x);
  met = met && plain(x) > -1e-9;
  return T(1e-6);
}

template <class T>
Point<T> meet(const Carrier<T>& a, const Carrier<T>& b, const Point<T>& near, bool& met) {
  const auto pick = [&](const Point<T>& p, const Point<T>& q) {
    const double dp = std::hypot(plain(p.r) - plain(near.r), plain(p.z) - plain(near.z));
    const double dq = std::hypot(plain(q.r) - plain(near.r), plain(q.z) - plain(near.z));
    return dp <= dq ? p : q;
  };
  if (!a.circle && !b.circle) {
    const T den = cross(a.direction, b.direction);
    if (std::abs(plain(den)) < 1e-9) {
      met = false;
      return near;
    }
    return a.point + a.direction * T(cross(b.point - a.point, b.direction) / den);
  }
  if (a.circle && b.circle) {
    const auto d = b.centre - a.centre;
    const T gap = length(d);
    if (plain(gap) < 1e-9) {
      met = false;
      return near;
    }
    const T along = (gap * gap + a.radius * a.radius - b.radius * b.radius) / (gap * 2.0);
    const T h = safe_sqrt(T(a.radius * a.radius - along * along), met);
    const auto u = d * T(1.0 / gap);
    const auto mid = a.centre + u * along;
    return pick(mid + left_of(u) * h, mid - left_of(u) * h);
  }
  const auto& l = a.circle ? b : a;
  const auto& c = a.circle ? a : b;
  const auto mid = l.point + l.direction * T(dot(c.centre - l.point, l.direction));
  const auto off = mid - c.centre;
  const T h = safe_sqrt(T(c.radius * c.radius - dot(off, off)), met);
  return pick(mid + l.direction * h, mid - l.direction * h);
}

/// Where a circle about `centre`, which lies on the moved carrier, touches the segment's own.
template <class T>
Point<T> touch(const Segment<T>& s, const Point<T>& direction, const Carrier<T>& moved, const Point<T>& centre) {
  if (!s.is_arc()) return s.start + direction * T(dot(centre - s.start, direction));
  return s.centre + (centre - s.centre) * T(s.radius / moved.radius);
}

/// Signed length along the segment's carrier from `a` to `b` (arcs: less than half a turn).
template <class T>
T along(const Segment<T>& s, const Point<T>& a, const Point<T>& b) {
  if (!s.is_arc()) return T(dot(b - a, unit(s.end - s.start)));
  const T angle = angle_between(a - s.centre, b - s.centre);
  return s.kind == Kind::ccw ? T(angle * s.radius) : T(-angle * s.radius);
}

template <class T>
Point<T> tangent(const Segment<T>& s, const Point<T>& at) {
  if (!s.is_arc()) return unit(s.end - s.start);
  const auto d = left_of(unit(at - s.centre));
  return s.kind == Kind::ccw ? d : d * T(-1.0);
}

/// True when the way turns left at the corner; a sign needs no gradient.
template <class T>
bool turns_left(const Segment<T>& before, const Segment<T>& after) {
  const auto p = [](const Point<T>& q) { return Point<double>{plain(q.r), plain(q.z)}; };
  const auto q = [&](const Segment<T>& s) {
    return Segment<double>{s.kind, p(s.start), p(s.end), p(s.centre), plain(s.radius)};
  };
  const auto corner = p(before.end);
  return cross(tangent(q(before), corner), tangent(q(after), corner)) > 0;
}

} // namespace detail

/// Rounds the corner where `before` ends and `after` starts with radius > 0. Always returns finite geometry; where a
/// round does not fit, before_left or after_left is negative and the geometry must not be used. `rooms` false leaves
/// those two out (zero), for callers that only want the curve.
template <class T>
Filleted<T> fillet(const Segment<T>& before, const Segment<T>& after, const T& radius, bool rooms = true) {
  using namespace detail;
  const bool left = turns_left(before, after);
  const T side = left ? radius : T(-radius);
  const auto d0 = heading(before), d1 = heading(after);
  const auto c0 = beside(before, d0, side), c1 = beside(after, d1, side);
  bool met = true;
  const auto centre = meet(c0, c1, before.end, met);
  Filleted<T> f{before, {}, after, T(0), T(0)};
  f.before.end = touch(before, d0, c0, centre);
  f.after.start = touch(after, d1, c1, centre);
  f.round = arc(left ? Kind::ccw : Kind::cw, f.before.end, f.after.start, centre, radius);
  if (!rooms) return f;
  f.before_left = along(before, before.start, f.before.end);
  f.after_left = along(after, f.after.start, after.end);
  if (!met) f.before_left = T(plain(f.before_left) > 0 ? -1.0 : plain(f.before_left) - 1.0);
  return f;
}

} // namespace chamber::profile
