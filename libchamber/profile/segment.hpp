#pragma once
// The exact meridian: straight lines and circular arcs in the half plane (r, z), r the radius from the turning
// axis. Templated on the number type, so that the same code gives volumes and, with an autodiff scalar, gradients.
#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <span>
#include <stdexcept>
#include <vector>

namespace chamber::profile {

/// A point of the meridian plane, mm.
template <class T>
struct Point {
  T r, z;
};

template <class T>
Point<T> operator+(const Point<T>& a, const Point<T>& b) {
  return {a.r + b.r, a.z + b.z};
}
template <class T>
Point<T> operator-(const Point<T>& a, const Point<T>& b) {
  return {a.r - b.r, a.z - b.z};
}
template <class T>
Point<T> operator*(const Point<T>& a, const T& s) {
  return {a.r * s, a.z * s};
}
template <class T>
T dot(const Point<T>& a, const Point<T>& b) {
  return a.r * b.r + a.z * b.z;
}
/// Positive when b lies counter-clockwise of a (r to the right, z up).
template <class T>
T cross(const Point<T>& a, const Point<T>& b) {
  return a.r * b.z - a.z * b.r;
}
template <class T>
T length(const Point<T>& a) {
  using std::sqrt;
  return sqrt(dot(a, a));
}
template <class T>
Point<T> unit(const Point<T>& a) {
  return a * T(T(1) / length(a));
}
/// Turned a quarter left (counter-clockwise).
template <class T>
Point<T> left_of(const Point<T>& a) {
  return {T(-a.z), a.r};
}

/// line: straight. ccw, cw: an arc of less than a full turn about `centre`, r to the right and z up.
enum class Kind { line, ccw, cw };

template <class T>
struct Segment {
  Kind kind;
  Point<T> start, end;
  Point<T> centre; ///< arcs only, zero otherwise
  T radius;        ///< arcs only, > 0

  bool is_arc() const { return kind != Kind::line; }
};

template <class T>
Segment<T> line(const Point<T>& a, const Point<T>& b) {
  return {Kind::line, a, b, {T(0), T(0)}, T(0)};
}
template <class T>
Segment<T> arc(Kind kind, const Point<T>& a, const Point<T>& b, const Point<T>& centre, const T& radius) {
  return {kind, a, b, centre, radius};
}

template <class T>
double plain(const T& value) {
  if constexpr (std::is_arithmetic_v<T>)
    return static_cast<double>(value);
  else
    return static_cast<double>(value.value());
}

/// Angle from a to b, radians in (-pi, pi]. For autodiff scalars the slope is written out linearly:
/// d atan2(y, x) = (x dy - y dx) / (x^2 + y^2), which spares their library's allocating atan2.
template <class T>
T angle_between(const Point<T>& a, const Point<T>& b) {
  const T y = cross(a, b), x = dot(a, b);
  const double y0 = plain(y), x0 = plain(x);
  if constexpr (std::is_arithmetic_v<T>)
    return std::atan2(y, x);
  else
    return T((y * x0 - x * y0) * (1 / (x0 * x0 + y0 * y0)) + std::atan2(y0, x0));
}

/// Angle turned along an arc from start to end, radians: positive for ccw, in (0, 2 pi); negative for cw.
template <class T>
T sweep(const Segment<T>& s) {
  T angle = angle_between(s.start - s.centre, s.end - s.centre);
  constexpr double turn = 6.283185307179586476925;
  if (s.kind == Kind::ccw && plain(angle) < 0) angle = angle + turn;
  if (s.kind == Kind::cw && plain(angle) > 0) angle = angle - turn;
  return angle;
}

/// Chain of segments with room inside itself: the families build hundreds of thousands a second.
template <class T, std::size_t capacity = 16>
class FixedChain {
public:
  void push(const Segment<T>& s) {
    if (count_ == capacity) throw std::logic_error("FixedChain: capacity exceeded");
    items_[count_++] = s;
  }
  std::size_t size() const { return count_; }
  Segment<T>& operator[](std::size_t i) { return items_[i]; }
  const Segment<T>& operator[](std::size_t i) const { return items_[i]; }
  const Segment<T>* begin() const { return items_.data(); }
  const Segment<T>* end() const { return items_.data() + count_; }
  const Segment<T>& back() const { return items_[count_ - 1]; }
  operator std::span<const Segment<T>>() const { return {items_.data(), count_}; }

private:
  std::array<Segment<T>, capacity> items_; // left raw: clearing it would cost more than the construction
  std::size_t count_ = 0;
};

using P = Point<double>;
using S = Segment<double>;
/// A chain of any length; an open one runs rim -> axis, a closed one returns to its start.
using Chain = std::vector<S>;
using ChainView = std::span<const S>;

/// The same curve walked the other way.
S reversed(const S& s);
Chain reversed(ChainView chain);
/// Moved and scaled: p -> (p.r * k, p.z * k + dz). k > 0.
Chain transformed(ChainView chain, double k, double dz);
/// z -> -z; the sense of arcs flips with it.
Chain mirrored(ChainView chain);
/// The segment cut at parameter 0 < u < 1 of its length.
std::array<S, 2> split(const S& s, double u);
/// Point at parameter 0..1 of the segment's length.
P point_at(const S& s, double u);
/// Unit direction of travel there.
P direction_at(const S& s, double u);
double arc_length(const S& s);

/// Box over the chain, arcs' bulges included.
struct Box {
  double r_min, r_max, z_min, z_max;
};
Box bounding_box(ChainView chain);

} // namespace chamber::profile
