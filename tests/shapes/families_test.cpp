// Each family's volume against a hand derivation; each with sharp corners, so that elementary solids make it up.
#include "samples.hpp"
#include <catch2/catch.hpp>

using namespace chamber::shapes;
using namespace chamber::shapes::testing;
namespace profile = chamber::profile;

namespace {

/// Spherical zone between circles of radii a and b, height h (Machinery's Handbook, 31st ed., p. 90-93).
double zone(double a, double b, double h) {
  return pi * h / 6 * (3 * a * a + 3 * b * b + h * h);
}
double cylinder(double r, double h) {
  return pi * r * r * h;
}
/// Slab 0 <= y <= t of the body inside r = c + sqrt(R^2 - y^2): integral of pi r^2, elementary.
double ring_slab(double c, double R, double t) {
  const double root = (t * std::sqrt(R * R - t * t) + R * R * std::asin(t / R)) / 2;
  return pi * (c * c * t + 2 * c * root + R * R * t - t * t * t / 3);
}
void check(const Sample& s, double wanted_mm3) {
  const auto c = build(s.frame, s.dimensions);
  INFO(tightest(c).what << ": " << tightest(c).room);
  CHECK(tightest(c).room >= 0);
  CHECK(profile::swept_volume(c.chain) == Approx(wanted_mm3).epsilon(1e-12));
  CHECK(profile::swept_volume_by_quadrature(c.chain) == Approx(wanted_mm3).epsilon(1e-12));
}

} // namespace

TEST_CASE("spherical: a zone and the pocket") {
  Sample s{plain_frame(Family::spherical), {26, 0, 9, 0, 4}}; // mouth radius 24: 24-10-26 is a right triangle
  const double h = std::sqrt(26.0 * 26 - 7.5 * 7.5) - 10;
  check(s, zone(24, 7.5, h) + cylinder(7.5, 4));
  CHECK(build(s.frame, s.dimensions).mouth.r == Approx(24));
  CHECK(build(s.frame, s.dimensions).roof_z == Approx(h + 4));
  CHECK(build(s.frame, s.dimensions).bowl_top_z == Approx(h));
}

TEST_CASE("spherical: hardly a pocket and hardly a band is the handbook's spherical segment") {
  // h = 50, chord 125: 372,247 mm3, R = 64 (Machinery's Handbook, 31st ed., pp. 90-93). The bowl must be over its mouth
  // radius, so the segment is inverted: mouth 62.5, a shallower cap of the same sphere, h' = 2R - 50.
  const double R = (62.5 * 62.5 + 50 * 50) / 100;
  Frame f = plain_frame(Family::spherical);
  f.bore_radius = f.rim_radius = 62.5 + 0.1;
  f.pocket_radius = 0.01;
  const auto c = build(f, Dimensions<double>{R, 0, 0.1, 0, 0.06});
  CHECK(tightest(c).room >= 0);
  const double h = R - std::sqrt(R * R - 62.5 * 62.5);
  CHECK(h == Approx(50));
  CHECK(profile::swept_volume(c.chain) == Approx(372247).margin(0.5));
}

TEST_CASE("the band: a frustum over its edge height") {
  // Edge height 1.2 at the bore, 10 degrees over a width of 9: the mouth lies 1.2 + 9 tan 10 deg up.
  Sample s{plain_frame(Family::spherical), {26, 0, 9, 10, 4}};
  s.frame.edge_height = 1.2;
  const double rise = 9 * std::tan(10 * pi / 180), h = std::sqrt(26.0 * 26 - 7.5 * 7.5) - 10;
  const double frustum = pi * rise / 3 * (33.0 * 33 + 33 * 24 + 24 * 24);
  check(s, cylinder(33, 1.2) + frustum + zone(24, 7.5, h) + cylinder(7.5, 4));
  CHECK(build(s.frame, s.dimensions).mouth.z == Approx(1.2 + rise));
  // A recess wider than the bore: the band runs on to it along the same slope.
  s.frame.rim_radius = 33.5;
  const double lower = 1.2 - 0.5 * std::tan(10 * pi / 180), whole = rise + 0.5 * std::tan(10 * pi / 180);
  check(s, cylinder(33.5, lower) + pi * whole / 3 * (33.5 * 33.5 + 33.5 * 24 + 24 * 24) + zone(24, 7.5, h) +
               cylinder(7.5, 4));
}

TEST_CASE("the band that follows a crown with no opening is parallel to it") {
  // Crown radius 125; a band of the same radius, its edge 2 mm up at r = 35 (35-120-125 is a right triangle), mouth at
  // r = 24.
  Sample s{plain_frame(Family::spherical), {26, 0, 11, 0, 4}};
  s.frame.bore_radius = s.frame.rim_radius = 35;
  s.frame.edge_height = 2;
  s.frame.follow_crown = true;
  s.frame.crown_radius = 125;
  const auto c = build(s.frame, s.dimensions);
  CHECK(c.band.radius == Approx(125));
  CHECK(c.band.centre.z == Approx(2 - 120));
  const double rise = std::sqrt(125.0 * 125 - 24 * 24) - 120, h = std::sqrt(26.0 * 26 - 7.5 * 7.5) - 10;
  check(s, cylinder(35, 2) + zone(35, 24, rise) + zone(24, 7.5, h) + cylinder(7.5, 4));
  // Opened by 2 degrees: the tangent at mid-band (r = 29.5) leans 2 degrees more than the crown's asin(29.5/125).
  s.dimensions.squish_angle_deg = 2;
  const auto opened = build(s.frame, s.dimensions);
  CHECK(std::asin(29.5 / opened.band.radius) == Approx(std::asin(29.5 / 125) + 2 * pi / 180).epsilon(1e-12));
  CHECK(std::hypot(35, 2 - opened.band.centre.z) == Approx(opened.band.radius)); // still through the bore's edge
}

TEST_CASE("flat roof without draft: a cylinder less its rounded corner") {
  // Corner ring by Pappus: a square of side R less a quarter disc (centroid 4R/(3 pi) from its centre).
  const double m = 24, R = 5, D = 11, p = 3;
  const double square = 2 * pi * (m - R / 2) * R * R;
  const double quarter = 2 * pi * (m - R + 4 * R / (3 * pi)) * pi * R * R / 4;
  check({plain_frame(Family::flat_roof), {R, D, 33 - m, 0, p}}, cylinder(m, D) - (square - quarter) + cylinder(7.5, p));
}

TEST_CASE("flat roof with draft: a frustum under the round") {
  // 3-4-5 draft, sin = 0.28, cos = 0.96 (7-24-25): the wall ends D - R (1 - 0.28) up and the round spans asin(0.28) ..
  // 90 deg.
  Sample s{plain_frame(Family::flat_roof), {5, 11, 9, 0, 3}};
  s.frame.draft_deg = std::asin(0.28) * 180 / pi;
  const double wall = 11 - 5 * 0.72, top = 24 - wall * 0.28 / 0.96, c = top - 5 * 0.96;
  const double frustum = pi * wall / 3 * (24.0 * 24 + 24 * top + top * top);
  check(s, frustum + ring_slab(c, 5, 5) - ring_slab(c, 5, 5 * 0.28) + cylinder(7.5, 3));
}

TEST_CASE("toroidal without draft: slab by slab") {
  // Trough section R = 5 about r = 19, z = 6; boss face 2 under the trough's top, at z = 9: rise 3, half chord 4
  // (3-4-5).
  const double segment = 25 * std::acos(0.6) - 3 * 4; // section area above the boss face
  const double wanted = cylinder(24, 6) + ring_slab(19, 5, 3) + 2 * pi * 19 * segment + cylinder(7.5, 4);
  Sample s{plain_frame(Family::toroidal), {5, 11, 9, 0, 4}};
  s.frame.boss_drop = 2;
  check(s, wanted);
  CHECK(build(s.frame, s.dimensions).roof_z == Approx(13));
  CHECK(build(s.frame, s.dimensions).bowl_top_z == Approx(11));
}

TEST_CASE("two-radius without draft: a ring slab and a zone") {
  // Wall radius 5 about r = 6; the roof's centre 8 below (6-8-10, so R = 10 + 5): they touch at r = 9, 4 above the
  // mouth.
  Frame f = plain_frame(Family::two_radius);
  f.bore_radius = f.rim_radius = 20;
  f.wall_radius = 5;
  const double top = std::sqrt(15.0 * 15 - 7.5 * 7.5);
  check({f, {15, 0, 9, 0, 2}}, ring_slab(6, 5, 4) + zone(9, 7.5, top - 12) + cylinder(7.5, 2));
}

TEST_CASE("two-radius with draft: the wall leans inwards from the mouth on") {
  // As above, but the wall starts asin(0.28) up its circle (7-24-25): mouth at r = 6 + 5 * 0.96, 5 * 0.28 above its
  // centre.
  Frame f = plain_frame(Family::two_radius);
  f.bore_radius = f.rim_radius = 20;
  f.wall_radius = 5;
  f.draft_deg = std::asin(0.28) * 180 / pi;
  const double top = std::sqrt(15.0 * 15 - 7.5 * 7.5);
  check({f, {15, 0, 20 - 10.8, 0, 2}},
        ring_slab(6, 5, 4) - ring_slab(6, 5, 1.4) + zone(9, 7.5, top - 12) + cylinder(7.5, 2));
}

TEST_CASE("two-radius: a wall that shrinks to nothing leaves the spherical family") {
  // Limit: as the wall radius goes to 0 the roof arc starts at the mouth itself.
  Frame two = plain_frame(Family::two_radius);
  const Dimensions<double> d{28, 0, 9, 4, 3};
  const double spherical = volume({plain_frame(Family::spherical), d});
  double last = 1e9;
  for (const double w : {1.0, 0.1, 0.01, 0.001}) {
    two.wall_radius = w;
    const double off = std::abs(volume({two, d}) - spherical);
    CHECK(off < last / 5);
    last = off;
  }
  CHECK(last < 1e-3 * spherical);
}
