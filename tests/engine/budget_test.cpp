#include "chamber/engine/budget.hpp"
#include <boost/math/quadrature/gauss_kronrod.hpp>
#include <catch2/catch.hpp>
#include <numbers>
#include <rapidcheck/catch.h>

using namespace chamber::engine;
using std::numbers::pi;

TEST_CASE("crown: spherical segment of the handbook", "[budget]") {
  // Source: Machinery's Handbook, 31st ed. pp. 90-93, spherical segment: height 50, chord 125 -> volume 372,247 mm3,
  // sphere radius 64 (64.06 unrounded).
  const auto c = crown_from_height(Crown::Form::domed, 125, 50);
  CHECK(c.volume_cc * 1000 == Approx(372247).margin(0.6));
  CHECK(c.sphere_radius_mm == Approx(64).margin(0.1));
  CHECK(crown_from_radius(Crown::Form::domed, 125, c.sphere_radius_mm).volume_cc == Approx(c.volume_cc).epsilon(1e-12));
}

TEST_CASE("crown: radius, height and volume tell the same cap", "[budget]") {
  rc::prop("round trips", [] {
    const double bore = *rc::gen::inRange(400, 1000) / 10.0, h = bore * *rc::gen::inRange(5, 150) / 1000.0;
    const auto form = *rc::gen::element(Crown::Form::domed, Crown::Form::dished);
    const auto a = crown_from_height(form, bore, h);
    const auto b = crown_from_radius(form, bore, a.sphere_radius_mm);
    const auto c = crown_from_volume(form, bore, a.volume_cc);
    RC_ASSERT(std::abs(b.height_mm - h) < 1e-9 * bore);
    RC_ASSERT(std::abs(c.height_mm - h) < 1e-9 * bore);
    RC_ASSERT((a.volume_cc > 0) == (form == Crown::Form::domed));
  });
}

TEST_CASE("crown: volume outside a radius, by quadrature of its height", "[budget]") {
  using boost::math::quadrature::gauss_kronrod;
  for (const auto form : {Crown::Form::domed, Crown::Form::dished}) {
    const auto c = crown_from_radius(form, 66.4, 180);
    for (const double from : {0.0, 10.0, 24.3, 33.0}) {
      const auto ring = [&](double r) { return 2 * pi * r * crown_height_at_mm(c, 66.4, r); };
      const double wanted = gauss_kronrod<double, 31>::integrate(ring, from, 33.2, 8, 1e-12);
      CHECK(crown_volume_outside_mm3(c, 66.4, from) == Approx(wanted).epsilon(1e-9).margin(1e-9));
    }
    CHECK(crown_volume_outside_mm3(c, 66.4, 0.0) / 1000 == Approx(c.volume_cc).epsilon(1e-9));
  }
}

TEST_CASE("budget: by hand", "[budget]") {
  // Bore and gasket bore such that the areas are 1000 and 1100 mm2: deck 1.2 mm below -> 1.2 cc, gasket 0.5 mm -> 0.55
  // cc.
  Budget b;
  b.bore_mm = std::sqrt(4000 / pi);
  b.gasket_bore_mm = std::sqrt(4400 / pi);
  b.deck_mm = 1.2;
  b.gasket_thickness_mm = 0.5;
  CHECK(b.clearance_from_head_cc(20) == Approx(21.75));
  CHECK(b.head_from_clearance_cc(21.75) == Approx(20));
  CHECK(b.edge_below_face_mm() == Approx(1.7));
  b.deck_mm = -0.25; // piston above the cylinder
  b.crown = crown_from_volume(Crown::Form::domed, b.bore_mm, 3);
  CHECK(b.clearance_from_head_cc(20) == Approx(20 + 0.55 - 0.25 - 3));
  b.crown = crown_from_volume(Crown::Form::dished, b.bore_mm, -2);
  CHECK(b.clearance_from_head_cc(20) == Approx(20 + 0.55 - 0.25 + 2));
}
