#include "chamber/engine/crank.hpp"
#include <boost/math/tools/roots.hpp>
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <rapidcheck/catch.h>

using namespace chamber::engine;

namespace {

/// The linkage solved as one: the piston pin lies on the axis at rod length from the crank pin. Bracketed root of the
/// loop closure, no square root of ours involved.
double travel_by_loop_closure(const Crank& c, double deg) {
  const double a = c.stroke_mm / 2, t = deg * std::numbers::pi / 180;
  const double pin_x = a * std::cos(t), pin_y = a * std::sin(t);
  const auto closure = [&](double y) { return (y - pin_x) * (y - pin_x) + pin_y * pin_y - c.rod_mm * c.rod_mm; };
  std::uintmax_t steps = 200;
  const auto [low, high] = boost::math::tools::toms748_solve(closure, pin_x, a + c.rod_mm + 1,
                                                             boost::math::tools::eps_tolerance<double>(50), steps);
  return a + c.rod_mm - (low + high) / 2;
}

} // namespace

TEST_CASE("piston travel: worked value", "[crank]") {
  // Stroke 0.4 m, rod 0.8 m, 60 degrees: exact 0.118975 m (derived from the geometry); the textbook series
  // x = a (1 - cos t) + (a^2 / 2 l) sin^2 t gives 0.11875 m.
  const Crank c{400, 800};
  CHECK(piston_travel_mm(c, 60) == Approx(118.975).margin(0.0005));
  const double a = 200, s = std::sin(std::numbers::pi / 3);
  CHECK(a * 0.5 + a * a / 1600 * s * s == Approx(118.75));
}

TEST_CASE("piston travel: ends of the stroke", "[crank]") {
  // A wrong sign of the root term, seen in print, fails here.
  const Crank c{72, 130};
  CHECK(piston_travel_mm(c, 0) == Approx(0).margin(1e-15));
  CHECK(piston_travel_mm(c, 180) == Approx(72).epsilon(1e-14));
}

TEST_CASE("piston travel against the linkage solved numerically", "[crank]") {
  // Source: geometry; the root of the loop closure found by Boost.Math's TOMS 748.
  rc::prop("any crank, any angle", [] {
    const double stroke = *rc::gen::inRange(200, 2000) / 10.0;
    const Crank c{stroke, stroke * *rc::gen::inRange(120, 300) / 100.0};
    const double deg = *rc::gen::inRange(1, 1800) / 10.0;
    RC_ASSERT(std::abs(piston_travel_mm(c, deg) - travel_by_loop_closure(c, deg)) < 1e-9 * stroke);
  });
}

TEST_CASE("piston speed is the slope of travel", "[crank]") {
  const Crank c{72, 130};
  for (const double deg : {5.0, 33.3, 90.0, 141.0}) {
    const double h = 1e-3, slope = (piston_travel_mm(c, deg + h) - piston_travel_mm(c, deg - h)) / (2 * h);
    CHECK(piston_travel_rate_mm_per_rad(c, deg) == Approx(slope * 180 / std::numbers::pi).epsilon(1e-8));
  }
  // 9000 rpm is 150 turns a second: mean piston speed 2 * 0.072 * 150 = 21.6 m/s; the peak exceeds pi/2 of it.
  CHECK(piston_speed_m_s(c, 75, 9000) > std::numbers::pi / 2 * 21.6);
  CHECK(piston_speed_m_s(c, 75, 9000) < 1.7 * 21.6);
}

TEST_CASE("swept and trapped volume", "[crank]") {
  // A bore and stroke of 100 mm sweep pi/4 litres: 785.398 cc.
  CHECK(swept_cc(100, {100, 200}) == Approx(250 * std::numbers::pi).epsilon(1e-12));
  // Exhaust open all the way round would leave nothing; never open would leave all.
  const Crank c{72, 130};
  CHECK(exhaust_opening_deg(190) == Approx(85));
  CHECK(trapped_swept_cc(66.4, c, 360) == Approx(0).margin(1e-12));
  CHECK(trapped_swept_cc(66.4, c, 0) == Approx(swept_cc(66.4, c)).epsilon(1e-12));
  // The port's edge by the loop closure, times the bore's area.
  CHECK(trapped_swept_cc(66.4, c, 190) ==
        Approx(66.4 * 66.4 * std::numbers::pi / 4 * travel_by_loop_closure(c, 85) / 1000).epsilon(1e-10));
}

TEST_CASE("ratio and clearance are each other's inverse", "[crank]") {
  rc::prop("round trip", [] {
    const double swept = *rc::gen::inRange(20, 800), ratio = 1 + *rc::gen::inRange(10, 200) / 10.0;
    RC_ASSERT(std::abs(compression_ratio(swept, clearance_for_ratio_cc(swept, ratio)) - ratio) < 1e-10);
  });
  // By hand: 140 cc over 20 cc is 8:1.
  CHECK(compression_ratio(140, 20) == Approx(8));
}
