#include "chamber/engine/air.hpp"
#include <catch2/catch.hpp>

using namespace chamber::engine;

TEST_CASE("standard atmosphere against ASHRAE's table", "[air]") {
  // Source: ASHRAE Handbook of Fundamentals 2017, ch. 1, table 1: 95461, 89875 and 61640 Pa at 500, 1000 and 4000 m.
  CHECK(1000 * standard_pressure_at_kpa(500) == Approx(95461).margin(1));
  CHECK(1000 * standard_pressure_at_kpa(1000) == Approx(89875).margin(1));
  CHECK(1000 * standard_pressure_at_kpa(4000) == Approx(61640).margin(1));
  CHECK(standard_pressure_at_kpa(0) == 101.325);
}

TEST_CASE("pressure altitude is the inverse", "[air]") {
  for (double h = -500; h <= 4000; h += 250)
    CHECK(pressure_altitude_m(standard_pressure_at_kpa(h)) == Approx(h).margin(1e-8));
}

TEST_CASE("moist air: CIPM-2007", "[air]") {
  // Source: Picard et al., Metrologia 45 (2008) 149: 20 deg C, 101325 Pa, 50 % -> 1.19931 kg/m3 (worked from its
  // constants).
  CHECK(air_density_kg_m3(101.325, 20, 0.5) == Approx(1.19931).margin(0.000005));
  // Dry air at 15 deg C and standard pressure: 1.2250 in the US Standard Atmosphere 1976 (an ideal gas there,
  // compressible here: 4e-4).
  CHECK(air_density_kg_m3(101.325, 15, 0) == Approx(1.225).epsilon(5e-4));
  // Humid air is lighter than dry air.
  CHECK(air_density_kg_m3(101.325, 35, 0.9) < air_density_kg_m3(101.325, 35, 0.1));
}

TEST_CASE("density altitude", "[air]") {
  // A standard day at 1000 m has the density of 1000 m: 1.1117 kg/m3 (US Standard Atmosphere 1976, table; from memory).
  CHECK(density_altitude_m(1.1117) == Approx(1000).margin(2));
  CHECK(density_altitude_m(1.225) == Approx(0).margin(1e-9));
}

TEST_CASE("a barometer reduced to sea level", "[air]") {
  // 29.92 inHg is the standard pressure: the station then has the standard pressure of its height.
  CHECK(station_pressure_kpa(101.325, 1450) == Approx(standard_pressure_at_kpa(1450)).epsilon(1e-12));
  // At sea level the two are one.
  CHECK(station_pressure_kpa(99.2, 0) == Approx(99.2).epsilon(1e-12));
  // ICAO altimeter formula (WMO-No. 8, from memory): p = (QNH^0.190263 - 8.417286e-5 h)^(1/0.190263), hPa and m.
  const double by_icao = std::pow(std::pow(1020.0, 0.190263) - 8.417286e-5 * 1200, 1 / 0.190263) / 10;
  CHECK(station_pressure_kpa(102.0, 1200) == Approx(by_icao).epsilon(2e-5));
  CHECK(looks_reduced_to_sea_level(101.3, 1450));
  CHECK_FALSE(looks_reduced_to_sea_level(85.0, 1450));
  CHECK_FALSE(looks_reduced_to_sea_level(102.5, 20));
}

TEST_CASE("geopotential height", "[air]") {
  // 4000 m geometric is 3997.5 m geopotential (US Standard Atmosphere 1976, table I; from memory).
  CHECK(geopotential_m(4000) == Approx(3997.5).margin(0.05));
}
