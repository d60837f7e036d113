// One profile over another, against heights worked out by hand.
#include "chamber/profile/distance.hpp"
#include "chamber/profile/rise.hpp"
#include <catch2/catch.hpp>

using namespace chamber::profile;

TEST_CASE("rise: by hand", "[rise]") {
  const Chain flat{line(P{10, 0}, P{10, 5}), line(P{10, 5}, P{0, 5})};
  const Chain deeper{line(P{10, 0}, P{10, 5.2}), line(P{10, 5.2}, P{0, 5.2})};
  CHECK(rise_over(deeper, flat).least == Approx(0.2));
  CHECK(rise_over(deeper, flat).most == Approx(0.2));
  CHECK(rise_over(flat, deeper).least == Approx(-0.2));
  // Two spheres through the same rim (r = 6): radii 10 and 7.5, centres 8 and 4.5 below it. On the axis 2 and 3 high.
  const Chain large{arc(Kind::ccw, P{6, 0}, P{0, 2}, P{0, -8}, 10.0)};
  const Chain small{arc(Kind::ccw, P{6, 0}, P{0, 3}, P{0, -4.5}, 7.5)};
  const auto r = rise_over(small, large);
  CHECK(r.least == Approx(0).margin(1e-12));
  CHECK(r.most == Approx(1));
  CHECK(r.most_r == Approx(0).margin(1e-12));
}

TEST_CASE("rise: extreme between breakpoints, where both run parallel", "[rise]") {
  // A dome of radius 10 about (5, 0) over a line that rises by 1 in 10 towards the axis: parallel where the dome's
  // slope is -0.1: u = 0.1/sqrt(1.01), at r = 5 + 10 u; the rise there is 10 sqrt(1 - u^2) - line.
  const double z5 = std::sqrt(75.0);
  const Chain dome{arc(Kind::ccw, P{10, z5}, P{0, z5}, P{5, 0}, 10.0)};
  const Chain slope{line(P{10, 5}, P{0, 6})};
  const double u = 0.1 / std::sqrt(1.01), r = 5 + 10 * u;
  const auto rise = rise_over(dome, slope);
  CHECK(rise.most_r == Approx(r));
  CHECK(rise.most == Approx(10 * std::sqrt(1 - u * u) - (5 + (10 - r) / 10)));
  // Two domes of unlike radii and centres: no sampled radius has more or less than the exact extremes.
  const Chain other{arc(Kind::ccw, P{10, std::sqrt(64.0 - 16) + 4}, P{0, std::sqrt(64.0 - 36) + 4}, P{6, 4}, 8.0)};
  const auto two = rise_over(dome, other);
  double least = 1e9, most = -1e9;
  for (int i = 0; i <= 20000; ++i) {
    const double at = 10.0 * i / 20000;
    const double d = std::sqrt(100 - (at - 5) * (at - 5)) - (4 + std::sqrt(64 - (at - 6) * (at - 6)));
    least = std::min(least, d);
    most = std::max(most, d);
  }
  CHECK(two.least == Approx(least).margin(1e-6));
  CHECK(two.most == Approx(most).margin(1e-6));
  // What lies beside the other chain does not count.
  CHECK(rise_over(slope, Chain{line(P{4, 5.6}, P{2, 5.8})}).most == Approx(0).margin(1e-12));
}
