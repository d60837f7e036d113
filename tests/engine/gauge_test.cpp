#include "chamber/engine/air.hpp"
#include "chamber/engine/gauge.hpp"
#include <catch2/catch.hpp>
#include <cmath>
#include <rapidcheck/catch.h>

using namespace chamber::engine;

namespace {
const Cranking motor{130, 0, default_exponent, 1};
double psi(double kpa) {
  return kpa / kpa_per_psi;
}
} // namespace

TEST_CASE("gauge: by hand", "[gauge]") {
  // Ratio 8, n 1: a gauge reads seven atmospheres.
  CHECK(gauge_kpa({140, 0, 1, 1}, 101.325, 20) == Approx(7 * 101.325));
  // A hose of 2 cc makes it (140 + 22)/22.
  CHECK(gauge_kpa({140, 2, 1, 1}, 101.325, 20) == Approx((162.0 / 22 - 1) * 101.325));
}

TEST_CASE("gauge: the published letter, 120 psi at sea level and about 100 at 5000 ft", "[gauge]") {
  // Source: a reader's letter in a snowmobile magazine. The model is proportional to ambient pressure: 5000 ft is
  // 0.832.
  const double there = standard_pressure_at_kpa(geopotential_m(1524));
  const double clearance = clearance_for_gauge_cc(motor, 101.325, 120 * kpa_per_psi);
  CHECK(psi(gauge_kpa(motor, there, clearance)) == Approx(100).margin(0.5));
}

TEST_CASE("gauge: one reading fits the exponent and is given back", "[gauge]") {
  rc::prop("round trip", [] {
    const double n = *rc::gen::inRange(106, 144) / 100.0, cc = *rc::gen::inRange(120, 300) / 10.0;
    const double ambient = *rc::gen::inRange(70, 104), extra = *rc::gen::inRange(0, 30) / 10.0;
    const Cranking m{130, extra, n, 1};
    const double reading = gauge_kpa(m, ambient, cc);
    const auto fit = fit_gauge({130, extra, default_exponent, 1}, {{"today", reading, ambient, cc}});
    RC_ASSERT(fit.kind == FitKind::exponent);
    RC_ASSERT(std::abs(fit.n - n) < 1e-9);
    RC_ASSERT(std::abs(gauge_kpa({130, extra, fit.n, fit.m}, ambient, cc) / reading - 1) < 1e-9);
    RC_ASSERT(fit.plausible);
  });
}

TEST_CASE("gauge: a motor that drops more than the air explains", "[gauge]") {
  // Common practice, no source: a motor that reads 200 psi at the coast has been reported to read 175 at about 430 m
  // and 145 at a 1200 m desert site. The pressure ratio alone gives about 190 and 173.
  const auto at = [](double h) { return standard_pressure_at_kpa(h); };
  CHECK(200 * at(430) / at(0) == Approx(190).margin(0.6));
  CHECK(200 * at(1200) / at(0) == Approx(173).margin(0.6));
  const auto fit = fit_gauge(motor, {{"coast", 200 * kpa_per_psi, at(0), 18},
                                     {"inland", 175 * kpa_per_psi, at(430), 18},
                                     {"desert", 145 * kpa_per_psi, at(1200), 18}});
  CHECK(fit.kind == FitKind::exponent_and_altitude);
  CHECK(fit.m > 2.2);
  CHECK(fit.m < 2.5);
  for (const auto& r : fit.readings) CHECK(std::abs(r.residual) < 0.03);
  // Independent: with one clearance ln p_g is a straight line in ln p_a; its slope by the two-point form of the ends.
  CHECK(fit.m == Approx(std::log(200.0 / 145) / std::log(at(0) / at(1200))).margin(0.15));
}

TEST_CASE("gauge: contradictory and implausible readings are named", "[gauge]") {
  const auto fit =
      fit_gauge(motor, {{"first", 180 * kpa_per_psi, 101.325, 18}, {"second", 140 * kpa_per_psi, 101.0, 18}});
  CHECK(fit.kind == FitKind::exponent);
  CHECK((fit.readings[0].contradicts && fit.readings[1].contradicts));
  // A hose gauge taken for one without a hose reads low.
  CHECK_FALSE(fit_gauge(motor, {{"hose", 60 * kpa_per_psi, 101.325, 18}}).plausible);
  CHECK_FALSE(fit_gauge(motor, {{"wild", 5000 * kpa_per_psi, 101.325, 18}}).plausible);
}

TEST_CASE("gauge: the one reading that does not belong is named alone", "[gauge]") {
  // By hand: three of four agree within 2 %; the fourth stands 20 % off.
  const auto fit = fit_gauge(motor, {{"a", 200 * kpa_per_psi, 101.3, 18},
                                     {"b", 198 * kpa_per_psi, 101.2, 18},
                                     {"bad", 160 * kpa_per_psi, 101.3, 18},
                                     {"c", 201 * kpa_per_psi, 101.4, 18}});
  REQUIRE(fit.culprit);
  CHECK(*fit.culprit == 2);
  for (const auto& r : fit.readings) CHECK(r.contradicts == (r.name == "bad"));
  // Mean of ln(200, 198, 160, 201) is ln 188.98: residuals 5.8, 4.8, -15.3, 6.4 %; root of their squares over 3 is 10.4
  // %.
  CHECK(fit.scatter == Approx(0.104).margin(0.002));
  // With two, nobody can tell which.
  const auto two = fit_gauge(motor, {{"a", 200 * kpa_per_psi, 101.3, 18}, {"b", 181 * kpa_per_psi, 101.3, 18}});
  CHECK_FALSE(two.culprit);
  CHECK(two.readings[0].contradicts == two.readings[1].contradicts);
}

TEST_CASE("gauge: a fit that does not exist is no number", "[gauge]") {
  // A head smaller than the crown: the clearance is negative and no exponent gives the reading.
  const auto p = fit_exponents(motor, {{"a", 1300, 101.3, -3}, {"b", 1200, 100, 18}}, FitKind::exponent, {1.3, 1});
  CHECK(std::isnan(p.n));
}

TEST_CASE("gauge: readings that no altitude explains", "[gauge]") {
  // More pressure where the air is thinner: m would be negative.
  const auto rising =
      fit_gauge(motor, {{"coast", 160 * kpa_per_psi, 101.325, 18}, {"hill", 200 * kpa_per_psi, 88, 18}});
  CHECK_FALSE(rising.altitude_plausible);
  CHECK(std::abs(rising.readings[0].residual) >
        contradiction); // said against pressure alone, not against the absurd fit
  // Too near together to tell: no altitude exponent is read into them.
  const auto near =
      fit_gauge(motor, {{"coast", 200 * kpa_per_psi, 101.325, 18}, {"near", 185 * kpa_per_psi, 99.5, 18}});
  CHECK(near.kind == FitKind::exponent);
  CHECK(near.m == 1);
}

TEST_CASE("gauge: directions", "[gauge]") {
  rc::prop("more cc never raises the gauge; more altitude never asks for more cc", [] {
    const Cranking m{double(*rc::gen::inRange(50, 400)), *rc::gen::inRange(0, 30) / 10.0,
                     *rc::gen::inRange(110, 140) / 100.0, *rc::gen::inRange(100, 250) / 100.0};
    const double cc = *rc::gen::inRange(80, 600) / 10.0, p = *rc::gen::inRange(650, 1050) / 10.0;
    RC_ASSERT(gauge_kpa(m, p, cc + 0.1) < gauge_kpa(m, p, cc));
    const double wanted = gauge_kpa(m, p, cc);
    RC_ASSERT(clearance_for_gauge_cc(m, p - 0.5, wanted) <= clearance_for_gauge_cc(m, p, wanted));
    RC_ASSERT(std::abs(clearance_for_gauge_cc(m, p, wanted) - cc) < 1e-7);
  });
}
