#include "chamber/engine/gauge.hpp"
#include "chamber/engine/air.hpp"
#include <algorithm>
#include <cmath>
#include <optional>

namespace chamber::engine {
namespace {

double volume_ratio(const Cranking& c, double clearance_cc) {
  const double v = clearance_cc + c.gauge_extra_cc;
  return (c.trapped_swept_cc + v) / v;
}

/// A reading as the fit sees it: logarithms taken once.
struct Known {
  double ratio = 0, along = 0, gauge = 0; ///< ln of volume ratio, of ambient and of gauge over standard pressure
};

std::vector<Known> known(const Cranking& motor, const std::vector<Reading>& readings) {
  std::vector<Known> out;
  out.reserve(readings.size());
  for (const auto& r : readings)
    out.push_back({std::log(volume_ratio(motor, r.clearance_cc)), std::log(r.ambient_kpa / standard_pressure_kpa),
                   std::log(r.gauge_kpa / standard_pressure_kpa)});
  return out;
}

/// One reading gives n outright, with m = 1.
double own_exponent(const Known& k) {
  return std::log(std::exp(k.gauge - k.along) + 1) / k.ratio;
}

/// Gauss-Newton on ln p_g; n alone where fit_m is false. The problem is smooth and nearly linear: a few steps do.
Exponents least_squares(const std::vector<Known>& readings, bool fit_m, Exponents p) {
  if (readings.size() == 1) return {own_exponent(readings[0]), 1};
  if (!fit_m) p.m = 1;
  for (int step = 0; step < 60; ++step) {
    double nn = 0, nm = 0, mm = 0, bn = 0, bm = 0;
    for (const auto& r : readings) {
      const double power = std::exp(p.n * r.ratio);
      const double miss = r.gauge - p.m * r.along - std::log(power - 1);
      const double dn = power * r.ratio / (power - 1), dm = fit_m ? r.along : 0;
      nn += dn * dn;
      nm += dn * dm;
      mm += dm * dm;
      bn += dn * miss;
      bm += dm * miss;
    }
    const double det = nn * mm - nm * nm;
    const double dn = fit_m ? (mm * bn - nm * bm) / det : bn / nn, dm = fit_m ? (nn * bm - nm * bn) / det : 0;
    if (!std::isfinite(dn) || !std::isfinite(dm)) return {std::nan(""), std::nan("")}; // no such motor
    // Compression cannot have n <= 0; a wild reading is walked to the edge and judged implausible there.
    p.n = std::clamp(p.n + dn, 0.05, 5.0);
    p.m += dm;
    if (std::abs(dn) + std::abs(dm) < 1e-12) break;
  }
  return p;
}

bool spreads(const std::vector<Reading>& readings) {
  const auto [low, high] =
      std::minmax_element(readings.begin(), readings.end(),
                          [](const Reading& a, const Reading& b) { return a.ambient_kpa < b.ambient_kpa; });
  return high->ambient_kpa / low->ambient_kpa > 1 + altitude_spread;
}

double residual_of(const Cranking& fitted, const Reading& r) {
  return r.gauge_kpa / gauge_kpa(fitted, r.ambient_kpa, r.clearance_cc) - 1;
}

Cranking fitted_to(const Cranking& motor, const std::vector<Reading>& readings) {
  const auto p = least_squares(known(motor, readings), spreads(readings), {});
  Cranking out = motor;
  out.exponent = p.n;
  out.altitude_exponent = p.m;
  return out;
}

/// As far off upwards as downwards, the way the fit sees it.
bool contradicts(double residual) {
  return std::abs(std::log1p(residual)) > contradiction;
}

/// The one reading without which all others agree; nothing if there is none, or more than one.
std::optional<std::size_t> culprit(const Cranking& motor, const std::vector<Reading>& readings) {
  if (readings.size() < 3) return std::nullopt;
  std::optional<std::size_t> found;
  for (std::size_t i = 0; i < readings.size(); ++i) {
    auto others = readings;
    others.erase(others.begin() + static_cast<std::ptrdiff_t>(i));
    // Two readings fit two exponents whatever they say: then only agreement at one pressure counts.
    if (others.size() == 2 && spreads(others)) return std::nullopt;
    const auto fitted = fitted_to(motor, others);
    const bool agree = std::all_of(others.begin(), others.end(),
                                   [&](const Reading& r) { return !contradicts(residual_of(fitted, r)); });
    if (!agree) continue;
    if (found) return std::nullopt;
    found = i;
  }
  return found;
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

Exponents fit_exponents(const Cranking& motor, const std::vector<Reading>& readings, FitKind kind, Exponents start) {
  return least_squares(known(motor, readings), kind == FitKind::exponent_and_altitude, start);
}

GaugeFit fit_gauge(const Cranking& motor, const std::vector<Reading>& readings) {
  GaugeFit fit;
  if (readings.empty()) return fit;
  const auto logs = known(motor, readings);
  const bool spread = spreads(readings);
  fit.kind = spread ? FitKind::exponent_and_altitude : FitKind::exponent;
  fit.n_model = least_squares(logs, false, {}).n;
  const auto best = spread ? least_squares(logs, true, {}) : Exponents{fit.n_model, 1};
  fit.n = best.n;
  fit.m = best.m;
  const auto sound = [](double n) { return n >= plausible_exponent_low && n <= plausible_exponent_high; };
  fit.altitude_plausible = fit.m >= plausible_altitude_low && fit.m <= plausible_altitude_high;
  fit.plausible = sound(fit.n_model) && (sound(fit.n) || !fit.altitude_plausible);
  Cranking fitted = motor, first = motor;
  fitted.exponent = fit.altitude_plausible ? fit.n : fit.n_model;
  fitted.altitude_exponent = fit.altitude_plausible ? fit.m : 1;
  first.exponent = own_exponent(logs[0]);
  double sum = 0;
  for (std::size_t i = 0; i < readings.size(); ++i) {
    const auto& r = readings[i];
    const double residual = residual_of(fitted, r);
    sum += residual * residual;
    fit.readings.push_back({r.name, residual, contradicts(residual), own_exponent(logs[i]),
                            gauge_kpa(first, r.ambient_kpa, r.clearance_cc)});
  }
  const auto beyond = static_cast<double>(readings.size()) - (spread ? 2 : 1);
  if (beyond > 0) fit.scatter = std::sqrt(sum / beyond);
  const bool contradict =
      std::any_of(fit.readings.begin(), fit.readings.end(), [](const auto& r) { return r.contradicts; });
  if (contradict) fit.culprit = culprit(motor, readings);
  if (fit.culprit)
    for (std::size_t i = 0; i < readings.size(); ++i) fit.readings[i].contradicts = i == *fit.culprit;
  return fit;
}

} // namespace chamber::engine
