#include "chamber/engine/gauge.hpp"
#include "chamber/engine/air.hpp"
#include <algorithm>
#include <cmath>

namespace chamber::engine {
namespace {

double volume_ratio(const Cranking& c, double clearance_cc) {
  const double v = clearance_cc + c.gauge_extra_cc;
  return (c.trapped_swept_cc + v) / v;
}

struct Pair {
  double n, m;
};

/// One reading gives n outright, with m = 1.
Pair from_one(const Cranking& motor, const Reading& r) {
  return {std::log(r.gauge_kpa / r.ambient_kpa + 1) / std::log(volume_ratio(motor, r.clearance_cc)), 1};
}

/// Gauss-Newton on ln p_g; n alone where fit_m is false. The problem is smooth and nearly linear: a few steps do.
Pair least_squares(const Cranking& motor, const std::vector<Reading>& readings, bool fit_m) {
  if (readings.size() == 1) return from_one(motor, readings[0]);
  Pair p{default_exponent, 1};
  for (int step = 0; step < 60; ++step) {
    double nn = 0, nm = 0, mm = 0, bn = 0, bm = 0;
    for (const auto& r : readings) {
      const double ratio = volume_ratio(motor, r.clearance_cc), power = std::pow(ratio, p.n);
      const double along = std::log(r.ambient_kpa / standard_pressure_kpa);
      const double predicted = std::log(standard_pressure_kpa) + p.m * along + std::log(power - 1);
      const double miss = std::log(r.gauge_kpa) - predicted;
      const double dn = power * std::log(ratio) / (power - 1), dm = fit_m ? along : 0;
      nn += dn * dn;
      nm += dn * dm;
      mm += dm * dm;
      bn += dn * miss;
      bm += dm * miss;
    }
    const double det = nn * mm - nm * nm;
    const double dn = fit_m ? (mm * bn - nm * bm) / det : bn / nn, dm = fit_m ? (nn * bm - nm * bn) / det : 0;
    if (!std::isfinite(dn) || !std::isfinite(dm)) break;
    // Compression cannot have n <= 0; a wild reading is walked to the edge and judged implausible there.
    p.n = std::clamp(p.n + dn, 0.05, 5.0);
    p.m += dm;
    if (std::abs(dn) + std::abs(dm) < 1e-12) break;
  }
  return p;
}

} // namespace

double gauge_kpa(const Cranking& c, double ambient, double clearance_cc) {
  return standard_pressure_kpa * std::pow(ambient / standard_pressure_kpa, c.altitude_exponent) *
         (std::pow(volume_ratio(c, clearance_cc), c.exponent) - 1);
}

double clearance_for_gauge_cc(const Cranking& c, double ambient, double gauge) {
  const double base = standard_pressure_kpa * std::pow(ambient / standard_pressure_kpa, c.altitude_exponent);
  return c.trapped_swept_cc / (std::pow(gauge / base + 1, 1 / c.exponent) - 1) - c.gauge_extra_cc;
}

GaugeFit fit_gauge(const Cranking& motor, const std::vector<Reading>& readings) {
  GaugeFit fit;
  if (readings.empty()) return fit;
  const auto [low, high] =
      std::minmax_element(readings.begin(), readings.end(),
                          [](const Reading& a, const Reading& b) { return a.ambient_kpa < b.ambient_kpa; });
  const bool spread = high->ambient_kpa / low->ambient_kpa > 1 + altitude_spread;
  fit.kind = spread ? FitKind::exponent_and_altitude : FitKind::exponent;
  fit.n_model = least_squares(motor, readings, false).n;
  const auto best = spread ? least_squares(motor, readings, true) : Pair{fit.n_model, 1};
  fit.n = best.n;
  fit.m = best.m;
  const auto sound = [](double n) { return n >= plausible_exponent_low && n <= plausible_exponent_high; };
  fit.altitude_plausible = fit.m >= plausible_altitude_low && fit.m <= plausible_altitude_high;
  fit.plausible = sound(fit.n_model) && (sound(fit.n) || !fit.altitude_plausible);
  Cranking fitted = motor;
  fitted.exponent = fit.altitude_plausible ? fit.n : fit.n_model;
  fitted.altitude_exponent = fit.altitude_plausible ? fit.m : 1;
  for (const auto& r : readings) {
    const double residual = r.gauge_kpa / gauge_kpa(fitted, r.ambient_kpa, r.clearance_cc) - 1;
    fit.readings.push_back({r.name, residual, std::abs(residual) > contradiction});
  }
  return fit;
}

} // namespace chamber::engine
