// Properties every volume, area and centroid must have, on random lines and arcs.
#include "chamber/profile/integrals.hpp"
#include "random.hpp"
#include <catch2/catch.hpp>
#include <rapidcheck/catch.h>

using namespace chamber::profile;
using namespace chamber::profile::testing;

namespace {
/// Sum of the segments' absolute volumes: what rounding scales with when parts cancel.
double scale(ChainView chain) {
  double sum = 1;
  for (const auto& s : chain) {
    sum += std::abs(swept_volume(s));
    if (s.is_arc()) sum += 3.2 * s.radius * (s.centre.r + s.radius) * (s.centre.r + s.radius);
  }
  return sum;
}
bool near(double a, double b, double slack) {
  return std::abs(a - b) <= slack;
}
} // namespace

TEST_CASE("closed form and quadrature agree") {
  rc::prop("to 1e-12", [] {
    const auto chain = random_segments();
    RC_ASSERT(near(swept_volume(chain), swept_volume_by_quadrature(chain), 1e-12 * scale(chain)));
  });
  // An integrator written here, with neither Boost nor the closed form: Simpson's rule on z and r of points of the
  // curve.
  rc::prop("and agree with Simpson's rule over the segment's points", [] {
    const auto s = random_segment();
    constexpr int n = 400;
    double sum = 0;
    const double total = s.is_arc() ? sweep(s) : 0.0;
    for (int i = 0; i <= n; ++i) {
      const double weight = i == 0 || i == n ? 1 : i % 2 ? 4 : 2;
      const P p = point_at(s, static_cast<double>(i) / n);
      const double dz = s.is_arc() ? total * (p.r - s.centre.r) : s.end.z - s.start.z;
      sum += weight * p.r * p.r * dz;
    }
    RC_ASSERT(near(swept_volume(s), 3.14159265358979323846 * sum / (3 * n), 1e-6 * scale(Chain{s})));
  });
}

TEST_CASE("properties of swept volumes") {
  rc::prop("scaled by k, k^3", [] {
    const auto chain = random_segments();
    const double k = real(0.1, 8);
    RC_ASSERT(near(swept_volume(transformed(chain, k, 0)), k * k * k * swept_volume(chain),
                   1e-12 * k * k * k * scale(chain)));
  });
  rc::prop("moved along the axis, the same", [] {
    const auto chain = random_segments();
    const double dz = real(-50, 50);
    RC_ASSERT(near(swept_volume(transformed(chain, 1, dz)), swept_volume(chain), 1e-11 * scale(chain)));
  });
  rc::prop("mirrored or reversed, the opposite; both, the same", [] {
    const auto chain = random_segments();
    const double v = swept_volume(chain), slack = 1e-12 * scale(chain);
    RC_ASSERT(near(swept_volume(mirrored(chain)), -v, slack));
    RC_ASSERT(near(swept_volume(reversed(chain)), -v, slack));
    RC_ASSERT(near(swept_volume(mirrored(reversed(chain))), v, slack));
  });
  rc::prop("cut anywhere, the same", [] {
    const auto chain = random_segments();
    Chain pieces;
    for (const auto& s : chain) {
      const auto halves = split(s, real(0.01, 0.99));
      const auto quarters = split(halves[1], real(0.01, 0.99));
      pieces.insert(pieces.end(), {halves[0], quarters[0], quarters[1]});
    }
    const double slack = 1e-11 * scale(chain);
    RC_ASSERT(near(swept_volume(pieces), swept_volume(chain), slack));
    RC_ASSERT(near(swept_area(pieces), swept_area(chain), 1e-11 * (1 + swept_area(chain))));
  });
  rc::prop("a closed outline that keeps its sense has its sign", [] {
    const auto closed = closed_below(random_chain(), -40);
    RC_ASSERT(swept_volume(closed) > 0);
    RC_ASSERT(swept_volume(reversed(closed)) < 0);
  });
}

TEST_CASE("properties of areas and centroids") {
  rc::prop("area: scaled by k, k^2; mirrored, reversed, moved, the same", [] {
    const auto chain = random_chain();
    const double k = real(0.1, 8), a = swept_area(chain);
    RC_ASSERT(a > 0);
    RC_ASSERT(near(swept_area(transformed(chain, k, 3)), k * k * a, 1e-11 * k * k * a));
    RC_ASSERT(near(swept_area(mirrored(chain)), a, 1e-12 * a));
    RC_ASSERT(near(swept_area(reversed(chain)), a, 1e-12 * a));
  });
  rc::prop("centroid: moves with the body, flips with it, scales with it", [] {
    const auto closed = closed_below(random_chain(), -40);
    const double z = centroid_z(closed), dz = real(-50, 50), k = real(0.5, 3);
    RC_ASSERT(near(centroid_z(transformed(closed, 1, dz)), z + dz, 1e-9));
    RC_ASSERT(near(centroid_z(transformed(closed, k, 0)), k * z, 1e-9));
    RC_ASSERT(near(centroid_z(mirrored(closed)), -z, 1e-9));
    RC_ASSERT(near(centroid_z(reversed(closed)), z, 1e-9));
  });
  // Simpson's rule, written here, on the moment pi r^2 z dz of points of the curve.
  rc::prop("centroid: that of the sampled outline", [] {
    const auto closed = closed_below(random_chain(), -40);
    double moment = 0;
    for (const auto& s : closed) {
      constexpr int n = 400;
      const double total = s.is_arc() ? sweep(s) : 0.0;
      for (int i = 0; i <= n; ++i) {
        const double weight = i == 0 || i == n ? 1 : i % 2 ? 4 : 2;
        const P p = point_at(s, static_cast<double>(i) / n);
        const double dz = s.is_arc() ? total * (p.r - s.centre.r) : s.end.z - s.start.z;
        moment += weight * p.r * p.r * p.z * dz / (3 * n);
      }
    }
    const double wanted = 3.14159265358979323846 * moment / swept_volume(closed);
    RC_ASSERT(near(centroid_z(closed), wanted, 1e-6 * (1 + std::abs(wanted))));
  });
  rc::prop("two bodies weigh in proportion", [] {
    const auto lower = closed_below(random_chain(), -40);
    const auto upper = transformed(lower, 1, 100);
    Chain both(lower);
    both.insert(both.end(), upper.begin(), upper.end());
    RC_ASSERT(near(centroid_z(both), centroid_z(lower) + 50, 1e-8));
  });
}
