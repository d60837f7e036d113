#include "chamber/engine/bench.hpp"
#include <cmath>

namespace chamber::engine {

namespace {

std::vector<Reading> readings_of(const Bench& b) {
  std::vector<Reading> readings;
  readings.reserve(b.readings.size());
  for (const auto& r : b.readings)
    readings.push_back({r.name, r.gauge_kpa, r.ambient_kpa, b.motor.budget.clearance_from_head_cc(r.head_cc)});
  return readings;
}

Motor motor_with(const Bench& b, double n, double m_altitude, double n_model) {
  Motor m = b.motor;
  m.fitted_n = n;
  m.fitted_m = m_altitude;
  m.model_n = n_model;
  double log_sum = 0;
  for (const auto& r : b.readings) log_sum += std::log(r.ambient_kpa);
  m.reference_kpa = std::exp(log_sum / static_cast<double>(b.readings.size()));
  return m;
}

} // namespace

GaugeFit fit(const Bench& b) {
  return fit_gauge(cranking(b.motor, false), readings_of(b));
}

Motor fitted_motor(const Bench& b, const GaugeFit& f) {
  return f.kind == FitKind::none ? b.motor : motor_with(b, f.n, f.m, f.n_model);
}

Motor refitted_motor(const Bench& b, const GaugeFit& as) {
  if (as.kind == FitKind::none) return b.motor;
  const auto cranked = cranking(b.motor, false);
  const auto readings = readings_of(b);
  const auto model = fit_exponents(cranked, readings, FitKind::exponent, {as.n_model, 1});
  const auto both = as.kind == FitKind::exponent ? model : fit_exponents(cranked, readings, as.kind, {as.n, as.m});
  return motor_with(b, both.n, both.m, model.n);
}

std::vector<Target> targets(const Bench& b) {
  const Motor m = fitted_motor(b, fit(b));
  std::vector<Target> out;
  out.reserve(b.ambient_kpa.size());
  for (const double p : b.ambient_kpa) out.push_back(target(m, b.ask, b.wish, p));
  return out;
}

} // namespace chamber::engine
