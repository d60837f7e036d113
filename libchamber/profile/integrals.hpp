#pragma once
// Volume, area and centroid of the body a meridian sweeps about the axis, in closed form.
#include "chamber/profile/segment.hpp"

namespace chamber::profile {

/// Integral of pi r^2 dz along one segment, mm3. Line: frustum of a cone. Arc, with u = r - r_c, v = z - z_c:
/// pi [ r_c^2 v + r_c (R^2 phi + u v) + R^2 v - v^3/3 ] between its ends (phi the angle turned).
template <class T>
T swept_volume(const Segment<T>& s) {
  constexpr double pi = 3.14159265358979323846;
  if (!s.is_arc()) {
    const T& a = s.start.r;
    const T& b = s.end.r;
    return T((s.end.z - s.start.z) * (a * a + a * b + b * b) * (pi / 3.0));
  }
  const T u0 = s.start.r - s.centre.r, v0 = s.start.z - s.centre.z;
  const T u1 = s.end.r - s.centre.r, v1 = s.end.z - s.centre.z;
  const T dv = v1 - v0;
  const T rr = s.radius * s.radius;
  // v1^3 - v0^3 with dv taken out: far from its centre a shallow arc would lose all its figures otherwise.
  T sum = dv * (s.centre.r * s.centre.r + rr - (v0 * v0 + v0 * v1 + v1 * v1) * (1.0 / 3.0));
  // An arc centred on the axis (sphere) has no angle term: spare the arctangent.
  if (plain(s.centre.r) != 0.0) sum = sum + s.centre.r * (rr * sweep(s) + u1 * v1 - u0 * v0);
  return T(sum * pi);
}

/// Integral of pi r^2 dz along a chain, mm3. An open chain from the rim at z = 0 to the axis: the volume above z = 0.
/// A closed chain: the volume inside, positive when the chain runs counter-clockwise (r right, z up).
template <class T>
T swept_volume(std::span<const Segment<T>> chain) {
  T sum{0};
  for (const auto& s : chain) sum = sum + swept_volume(s);
  return sum;
}

inline double swept_volume(ChainView chain) {
  return swept_volume<double>(chain);
}

/// Area of the surface swept by the chain, mm2 (never negative).
double swept_area(ChainView chain);

/// Height of the centroid of the swept volume, mm. The chain as for swept_volume; its volume must not be 0.
double centroid_z(ChainView chain);

/// The same volume by adaptive Gauss-Kronrod quadrature over each segment's parameter: shares nothing with
/// swept_volume but the segment type. mm3.
double swept_volume_by_quadrature(ChainView chain);

} // namespace chamber::profile
