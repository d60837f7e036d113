#include "chamber/engine/squish.hpp"
#include <catch2/catch.hpp>
#include <numbers>
#include <rapidcheck/catch.h>

using namespace chamber::engine;
using std::numbers::pi;

namespace {

/// A flat band over a flat crown: gap z above the crown, bowl volume above the band's plane.
Split flat(double bore, double mouth_diameter, double gap, double above_band_cc) {
  const double inner = pi / 4 * mouth_diameter * mouth_diameter, all = pi / 4 * bore * bore;
  return {bore, mouth_diameter / 2, (all - inner) * gap, above_band_cc * 1000 + inner * gap, gap};
}

} // namespace

TEST_CASE("gap velocity: Heywood's flat form", "[squish]") {
  // v/S_p = (D_b/4z) [(B/D_b)^2 - 1] V_B/(A_c z + V_B). Source: Heywood, Internal Combustion Engine Fundamentals,
  // eq. 8.34 (from memory). B 80, D_b 50, z 1.5, V_B 40 cc: 10.938 (worked out by hand from that form).
  const double B = 80, Db = 50, z = 1.5, VB = 40e3, Ac = pi / 4 * B * B;
  const double by_hand = Db / (4 * z) * (B * B / (Db * Db) - 1) * VB / (Ac * z + VB);
  CHECK(by_hand == Approx(10.938).margin(0.0005));
  CHECK(gap_velocity_m_s(flat(B, Db, z, 40), 0, 1.0) == Approx(by_hand).epsilon(1e-12));
}

TEST_CASE("gap velocity: masses by finite difference", "[squish]") {
  // Uniform density: what leaves the band's space in a small step of the piston must cross the gap. Source: continuity.
  rc::prop("any split", [] {
    const double bore = *rc::gen::inRange(400, 1000) / 10.0, mouth = bore * *rc::gen::inRange(50, 90) / 100.0;
    auto s = flat(bore, mouth, *rc::gen::inRange(8, 20) / 10.0, *rc::gen::inRange(8, 60));
    const double x = *rc::gen::inRange(0, 100) / 10.0, h = 1e-5;
    const double inner = pi / 4 * mouth * mouth, outer = pi / 4 * bore * bore - inner;
    const auto band_mass = [&](double at) {
      const double band = s.band_volume_mm3 + outer * at, bowl = s.bowl_volume_mm3 + inner * at;
      return band / (band + bowl); // of a total mass of 1
    };
    const double total = s.band_volume_mm3 + s.bowl_volume_mm3 + (outer + inner) * x; // density is 1/total
    const double flow = (band_mass(x + h) - band_mass(x - h)) / (2 * h);              // per mm the piston rises
    const double gap_area = pi * mouth * (s.mouth_gap_mm + x);
    RC_ASSERT(std::abs(gap_velocity_m_s(s, x, 1.0) - flow * total / gap_area) < 1e-5);
  });
}

TEST_CASE("gap velocity: worked peak", "[squish]") {
  // 66.4 x 72, rod 130, 9000 rpm, mouth radius 23, flat gap 1.1 mm, 18 cc above the band's plane: 38.65 m/s at 10.1
  // degrees before top dead centre (derived from the continuity form by an independent table).
  const auto peak = peak_gap_velocity(flat(66.4, 46, 1.1, 18), {72, 130}, 9000);
  CHECK(peak.velocity_m_s == Approx(38.65).margin(0.005));
  CHECK(peak.before_tdc_deg == Approx(10.1).margin(0.05));
}

TEST_CASE("gap velocity: the peak is the largest of a fine table", "[squish]") {
  const auto s = flat(54, 38, 0.9, 8);
  const Crank c{54.5, 110};
  double largest = 0;
  for (double deg = 0; deg <= 60; deg += 0.01)
    largest = std::max(largest, gap_velocity_m_s(s, piston_travel_mm(c, deg), piston_speed_m_s(c, deg, 11500)));
  CHECK(peak_gap_velocity(s, c, 11500).velocity_m_s == Approx(largest).epsilon(1e-6));
}

TEST_CASE("squish area ratio", "[squish]") {
  CHECK(squish_area_ratio(100, 25) == Approx(0.75)); // half the diameter is a quarter of the area
  CHECK(squish_area_ratio(66.4, 33.2) == Approx(0).margin(1e-12));
}
