#include "chamber/engine/air.hpp"
#include <cmath>

namespace chamber::engine {
namespace {

constexpr double t0_k = 288.15, lapse_k_per_m = 0.0065, exponent = 5.255876, r0_m = 6356766;
constexpr double standard_density = 1.225; // kg/m3 at sea level, US Standard Atmosphere 1976

} // namespace

double geopotential_m(double z) {
  return r0_m * z / (r0_m + z);
}

double standard_pressure_at_kpa(double h) {
  return standard_pressure_kpa * std::pow(1 - lapse_k_per_m * h / t0_k, exponent);
}

double standard_temperature_at_c(double h) {
  return t0_k - lapse_k_per_m * h - 273.15;
}

double pressure_altitude_m(double p) {
  return t0_k / lapse_k_per_m * (1 - std::pow(p / standard_pressure_kpa, 1 / exponent));
}

double air_density_kg_m3(double pressure_kpa, double t, double humidity) {
  const double p = 1000 * pressure_kpa, T = t + 273.15;
  const double saturation = std::exp(1.2378847e-5 * T * T - 1.9121316e-2 * T + 33.93711047 - 6.3431645e3 / T);
  const double enhancement = 1.00062 + 3.14e-8 * p + 5.6e-7 * t * t;
  const double x = humidity * enhancement * saturation / p;
  const double Z = 1 -
                   p / T *
                       (1.58123e-6 - 2.9331e-8 * t + 1.1043e-10 * t * t + (5.707e-6 - 2.051e-8 * t) * x +
                        (1.9898e-4 - 2.376e-6 * t) * x * x) +
                   p * p / (T * T) * (1.83e-11 - 0.765e-8 * x * x);
  constexpr double dry_molar = 28.96546e-3, water_molar = 18.01528e-3, gas_constant = 8.314472;
  return p * dry_molar / (Z * gas_constant * T) * (1 - x * (1 - water_molar / dry_molar));
}

double density_altitude_m(double density) {
  return t0_k / lapse_k_per_m * (1 - std::pow(density / standard_density, 1 / (exponent - 1)));
}

double station_pressure_kpa(double sea_level, double h) {
  return standard_pressure_at_kpa(h + pressure_altitude_m(sea_level));
}

bool high_for_station_pressure(double p, double h) {
  return p > 1.025 * standard_pressure_at_kpa(h);
}

bool looks_like_station(double p, double h) {
  const double here = standard_pressure_at_kpa(h);
  return p < 96 && std::abs(p - here) < std::abs(p - standard_pressure_kpa);
}

bool looks_reduced_to_sea_level(double p, double h) {
  return p > 1.05 * standard_pressure_at_kpa(h) && p > 95 && p < 107;
}

} // namespace chamber::engine
