// Handbook volumes and areas through the profile's own integrals.
// Source, unless another stands beside the check: Machinery's Handbook, 31st ed., pp. 90-93.
#include "chamber/profile/integrals.hpp"
#include <catch2/catch.hpp>

using namespace chamber::profile;

namespace {
constexpr double pi = 3.14159265358979323846;

/// Arc about `centre` from one angle to another, degrees.
S arc_between(P centre, double radius, double from_deg, double to_deg) {
  const auto at = [&](double deg) {
    return P{centre.r + radius * std::cos(deg * pi / 180), centre.z + radius * std::sin(deg * pi / 180)};
  };
  return arc(to_deg > from_deg ? Kind::ccw : Kind::cw, at(from_deg), at(to_deg), centre, radius);
}

/// Both ways of knowing a volume, the second sharing no formula with the first.
void check_volume(ChainView chain, double wanted, double margin) {
  CHECK(swept_volume(chain) == Approx(wanted).margin(margin));
  CHECK(swept_volume_by_quadrature(chain) == Approx(wanted).margin(margin));
}
} // namespace

TEST_CASE("handbook: spherical segment") {
  // "Height 50 mm, chord 125 mm": volume 372,247 mm3 printed, r = 64 printed (rounded).
  const double h = 50, half_chord = 62.5;
  const double radius = (half_chord * half_chord + h * h) / (2 * h);
  CHECK(radius == Approx(64).margin(0.1));
  const Chain cap{arc(Kind::ccw, P{half_chord, 0}, P{0, h}, P{0, h - radius}, radius)};
  check_volume(cap, 372247, 0.5);
  // Its curved surface, handbook formula 2 pi r h.
  CHECK(swept_area(cap) == Approx(2 * pi * radius * h).epsilon(1e-14));
}

TEST_CASE("handbook: spherical zone") {
  // "Diameters 3 and 4 in, height 1.5 in": 16.493 in3 printed.
  const double r1 = 1.5, r2 = 2, h = 1.5;
  // The centre lies on the axis, equally far from both edges.
  const double zc = (r1 * r1 + h * h - r2 * r2) / (2 * h);
  const double radius = std::hypot(r2, zc);
  const Chain zone{line(P{0, 0}, P{r2, 0}), arc(Kind::ccw, P{r2, 0}, P{r1, h}, P{0, zc}, radius),
                   line(P{r1, h}, P{0, h})};
  check_volume(zone, 16.493, 0.0005);
}

TEST_CASE("handbook: torus") {
  // "D = 5 in to the centre of the section, d = 1.5 in": 27.76 in3 and 74.022 in2 printed.
  const P centre{2.5, 3};
  const Chain ring{arc_between(centre, 0.75, 0, 180), arc_between(centre, 0.75, 180, 360)};
  check_volume(ring, 27.76, 0.005);
  CHECK(swept_area(ring) == Approx(74.022).margin(0.0005));
  CHECK(centroid_z(ring) == Approx(3).epsilon(1e-14));
  // Pappus: volume 2 pi^2 R r^2, area 4 pi^2 R r.
  check_volume(ring, 2 * pi * pi * 2.5 * 0.75 * 0.75, 1e-12);
  CHECK(swept_area(ring) == Approx(4 * pi * pi * 2.5 * 0.75).epsilon(1e-14));
}

TEST_CASE("handbook: frustum of a cone") {
  // Diameters 9 and 16, height 14: 14 pi / 12 (81 + 144 + 256) = 1762.957.
  const Chain frustum{line(P{0, 0}, P{8, 0}), line(P{8, 0}, P{4.5, 14}), line(P{4.5, 14}, P{0, 14})};
  check_volume(frustum, 1762.957, 0.0005);
  // Lateral area pi s (R + r), s the slant height, and the two discs.
  const double slant = std::hypot(14, 3.5);
  CHECK(swept_area(frustum) == Approx(pi * slant * 12.5 + pi * (64 + 4.5 * 4.5)).epsilon(1e-14));
}

TEST_CASE("handbook: cylinder, cone, sphere and their centroids") {
  // Elementary: pi r^2 h; pi r^2 h / 3 with its centroid at h/4 above the base; 4/3 pi r^3.
  check_volume(Chain{line(P{3, 0}, P{3, 7})}, pi * 63, 1e-12);
  const Chain cone{line(P{6, 1}, P{0, 9})};
  check_volume(cone, pi * 36 * 8 / 3, 1e-12);
  CHECK(centroid_z(cone) == Approx(1 + 2).epsilon(1e-14));
  const Chain ball{arc_between({0, 5}, 2, -90, 90)};
  check_volume(ball, 4 * pi * 8 / 3, 1e-12);
  CHECK(swept_area(ball) == Approx(4 * pi * 4).epsilon(1e-14));
  CHECK(centroid_z(ball) == Approx(5).epsilon(1e-14));
  // Half a ball: centroid 3/8 r above its flat face.
  const Chain dome{arc_between({0, 5}, 2, 0, 90)};
  CHECK(centroid_z(dome) == Approx(5 + 0.75).epsilon(1e-14));
  // Frustum: centroid h (R^2 + 2 R r + 3 r^2) / (4 (R^2 + R r + r^2)) above the larger base; R 8, r 4.5, h 14.
  const Chain frustum{line(P{8, 0}, P{4.5, 14})};
  CHECK(centroid_z(frustum) == Approx(14 * (64 + 72 + 60.75) / (4 * (64 + 36 + 20.25))).epsilon(1e-14));
}

TEST_CASE("handbook: a hollow torus section by Pappus") {
  // The outer half of a ring's section: half disc, area pi r^2 / 2, its centroid 4 r / (3 pi) outside the centre
  // circle. Pappus: V = 2 pi (R + 4 r / (3 pi)) pi r^2 / 2. The chord back at r = R closes the half disc.
  const double R = 20, r = 6;
  const Chain outer{arc_between({R, 0}, r, -90, 90), line(P{R, r}, P{R, -r})};
  check_volume(outer, pi * pi * r * r * (R + 4 * r / (3 * pi)), 1e-8);
  const Chain inner{arc_between({R, 0}, r, 90, 270), line(P{R, -r}, P{R, r})};
  check_volume(inner, pi * pi * r * r * (R - 4 * r / (3 * pi)), 1e-8);
}
