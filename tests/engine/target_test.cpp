#include "chamber/engine/air.hpp"
#include "chamber/engine/bench.hpp"
#include "chamber/engine/fill.hpp"
#include "chamber/engine/target.hpp"
#include <catch2/catch.hpp>
#include <numbers>
#include <rapidcheck/catch.h>

using namespace chamber::engine;

namespace {

Motor motor() {
  Motor m;
  m.bore_mm = m.budget.bore_mm = 66.4;
  m.crank = {72, 130};
  m.exhaust_shut_deg = 182;
  m.exhaust_open_deg = 194;
  m.budget.deck_mm = 0.35;
  m.squish_clearance_mm = 1.1;
  return m;
}
constexpr double psi = kpa_per_psi;

} // namespace

TEST_CASE("fill: three conventions by hand", "[fill]") {
  // A hole of 100 mm2 and 17 mm holds 1.7 cc; a tip of 0.2 cc is what the fitted plug takes away.
  const PlugHole hole{std::sqrt(400 / std::numbers::pi), 17, 0.2};
  CHECK(hole_cc(hole) == Approx(1.7));
  CHECK(convert_fill_cc(21.7, Fill::top_of_plug_hole, Fill::bottom_of_plug_hole, hole) == Approx(20.0));
  CHECK(convert_fill_cc(20.0, Fill::bottom_of_plug_hole, Fill::plug_fitted, hole) == Approx(19.8));
  CHECK(convert_fill_cc(19.8, Fill::plug_fitted, Fill::top_of_plug_hole, hole) == Approx(21.7));
  for (const auto a : {Fill::plug_fitted, Fill::bottom_of_plug_hole, Fill::top_of_plug_hole})
    for (const auto b : {Fill::plug_fitted, Fill::bottom_of_plug_hole, Fill::top_of_plug_hole})
      CHECK(convert_fill_cc(convert_fill_cc(20, a, b, hole), b, a, hole) == Approx(20));
}

TEST_CASE("fill: density of water", "[fill]") {
  // Source: water density tables: 999.10, 998.21, 997.05 kg/m3 at 15, 20, 25 deg C.
  CHECK(water_density_g_cc(15) == Approx(0.99910).margin(0.00001));
  CHECK(water_density_g_cc(20) == Approx(0.99821).margin(0.00001));
  CHECK(water_density_g_cc(25) == Approx(0.99705).margin(0.00001));
}

TEST_CASE("target: the larger clearance volume binds", "[target]") {
  const auto m = motor();
  const double trapped = trapped_swept_cc(66.4, m.crank, 182);
  // Ceiling 8: V_c = V_ts / 7, by hand. A window far above it leaves the ratio to bind, one far below the gauge.
  const auto ratio = target(m, {8, 300 * psi, 320 * psi}, {}, 101.325);
  CHECK(ratio.bound_by == Criterion::ratio);
  CHECK(ratio.clearance_cc == Approx(trapped / 7));
  CHECK(ratio.trapped_ratio == Approx(8));
  CHECK(ratio.ratio_in_hand == Approx(0).margin(1e-9));
  const auto gauge = target(m, {12, 150 * psi, 172 * psi}, {}, 101.325);
  CHECK(gauge.bound_by == Criterion::gauge);
  CHECK(gauge.gauge_fitted_kpa / psi == Approx(161));
  CHECK(gauge.gauge_in_hand_kpa / psi == Approx(11));
  CHECK(gauge.ratio_in_hand > 0);
  CHECK(gauge.head_cc == Approx(gauge.clearance_cc - m.budget.deck_cc()));
  CHECK(gauge.trapped_ratio_open < gauge.trapped_ratio);
}

TEST_CASE("target: a wish overrides", "[target]") {
  const auto m = motor();
  const Ask ask{8, 150 * psi, 172 * psi};
  const auto t = target(m, ask, {200 * psi, {}, {}, {}}, 95);
  CHECK(t.bound_by == Criterion::wish_gauge);
  CHECK(t.gauge_fitted_kpa / psi == Approx(200));
  CHECK(t.gauge_in_hand_kpa / psi == Approx(-28)); // he is told how far over he stands
  CHECK(target(m, ask, {{}, 9.0, {}, {}}, 95).trapped_ratio == Approx(9));
  CHECK(target(m, ask, {{}, {}, 17.0, {}}, 95).clearance_cc == Approx(17));
}

TEST_CASE("target: the band passes through the place of the readings", "[target]") {
  // 150 psi read at 84.56 kPa: exponent 2.4 from there gives 150 (101.325/84.56)^2.4 = 231.5 psi at sea level, by hand.
  auto m = motor();
  Bench b{m, {{"hill", 150 * psi, 84.56, 20}}, {8, 150 * psi, 172 * psi}, {}, {101.325}};
  const auto fitted = fitted_motor(b, fit(b));
  const auto here = forecast(fitted, b.ask, m.budget.clearance_from_head_cc(20), 84.56);
  CHECK(here.gauge_band_low_kpa / psi == Approx(150));
  CHECK(here.gauge_band_high_kpa / psi == Approx(150));
  const auto coast = forecast(fitted, b.ask, m.budget.clearance_from_head_cc(20), 101.325);
  CHECK(coast.gauge_model_kpa / psi == Approx(150 * 101.325 / 84.56));
  CHECK(coast.gauge_band_high_kpa / psi == Approx(231.5).margin(0.3));
}

TEST_CASE("target: a wanted head volume stays what was asked, whatever the deck", "[target]") {
  auto m = motor();
  CHECK(target(m, {8, 150 * psi, 172 * psi}, {{}, {}, {}, 21.5}, 95).head_cc == Approx(21.5));
  m.budget.deck_mm += 0.1;
  CHECK(target(m, {8, 150 * psi, 172 * psi}, {{}, {}, {}, 21.5}, 95).head_cc == Approx(21.5));
}

TEST_CASE("target: the guideline's own answer stands beside a wish", "[target]") {
  const auto m = motor();
  const Ask ask{8, 150 * psi, 172 * psi};
  const auto plain = target(m, ask, {}, 95);
  CHECK(plain.by_guideline_cc == plain.clearance_cc);
  CHECK(plain.by_guideline_cc == std::max({plain.by_gauge_cc, plain.by_ratio_cc, plain.by_squish_cc}));
  const auto wish = target(m, ask, {200 * psi, {}, {}, {}}, 95);
  CHECK(wish.by_guideline_cc == plain.by_guideline_cc);
  CHECK(wish.by_gauge_cc == plain.by_gauge_cc);
  CHECK(wish.clearance_cc < plain.clearance_cc);
  CHECK(wish.gauge_fitted_kpa / psi == Approx(200));
}

TEST_CASE("target: directions", "[target]") {
  rc::prop("more altitude never asks for more cc", [] {
    auto m = motor();
    m.fitted_n = *rc::gen::inRange(110, 140) / 100.0;
    m.fitted_m = *rc::gen::inRange(100, 250) / 100.0;
    const Ask ask{*rc::gen::inRange(65, 100) / 10.0, 150 * psi, 172 * psi};
    const double h = *rc::gen::inRange(0, 3000);
    RC_ASSERT(target(m, ask, {}, standard_pressure_at_kpa(h + 100)).clearance_cc <=
              target(m, ask, {}, standard_pressure_at_kpa(h)).clearance_cc + 1e-12);
  });
}
