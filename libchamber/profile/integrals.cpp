#include "chamber/profile/integrals.hpp"
#include <boost/math/quadrature/gauss_kronrod.hpp>

namespace chamber::profile {
namespace {
constexpr double pi = 3.14159265358979323846;

/// Integral of r^2 z dz along a segment.
double moment(const S& s) {
  if (!s.is_arc()) {
    // r and z linear in t: integral of (a + (b-a)t)^2 (z0 + dz t) dz dt, expanded.
    const double a = s.start.r, k = s.end.r - s.start.r, z0 = s.start.z, dz = s.end.z - s.start.z;
    return dz * (z0 * (a * a + a * k + k * k / 3) + dz * (a * a / 2 + 2 * a * k / 3 + k * k / 4));
  }
  const double rc = s.centre.r, zc = s.centre.z, R = s.radius;
  const double c0 = (s.start.r - rc) / R, s0 = (s.start.z - zc) / R;
  const double c1 = (s.end.r - rc) / R, s1 = (s.end.z - zc) / R;
  const auto cube = [](double x) { return x * x * x; };
  const double about_centre = R * R *
                              (rc * rc * (s1 * s1 - s0 * s0) / 2 - 2 * rc * R * (cube(c1) - cube(c0)) / 3 -
                               R * R * (c1 * cube(c1) - c0 * cube(c0)) / 4);
  return zc * swept_volume(s) / pi + about_centre;
}
} // namespace

double swept_area(ChainView chain) {
  double sum = 0;
  for (const auto& s : chain) {
    if (!s.is_arc())
      sum += pi * (s.start.r + s.end.r) * length(s.end - s.start);
    else
      sum += 2 * pi * s.radius * std::abs(s.centre.r * sweep(s) + (s.end.z - s.start.z));
  }
  return sum;
}

double centroid_z(ChainView chain) {
  double sum = 0;
  for (const auto& s : chain) sum += moment(s);
  return pi * sum / swept_volume(chain);
}

double swept_volume_by_quadrature(ChainView chain) {
  using boost::math::quadrature::gauss_kronrod;
  double sum = 0;
  for (const auto& s : chain) {
    if (!s.is_arc()) {
      const auto f = [&](double t) {
        const double r = s.start.r + (s.end.r - s.start.r) * t;
        return r * r * (s.end.z - s.start.z);
      };
      sum += gauss_kronrod<double, 15>::integrate(f, 0.0, 1.0, 6, 1e-13);
      continue;
    }
    const double phi0 = std::atan2(s.start.z - s.centre.z, s.start.r - s.centre.r);
    const double phi1 = phi0 + sweep(s);
    const auto f = [&](double phi) {
      const double r = s.centre.r + s.radius * std::cos(phi);
      return r * r * s.radius * std::cos(phi);
    };
    sum += gauss_kronrod<double, 31>::integrate(f, phi0, phi1, 8, 1e-13);
  }
  return pi * sum;
}

} // namespace chamber::profile
