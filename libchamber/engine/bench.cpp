#include "chamber/engine/bench.hpp"
#include <cmath>

namespace chamber::engine {

GaugeFit fit(const Bench& b) {
  std::vector<Reading> readings;
  readings.reserve(b.readings.size());
  for (const auto& r : b.readings)
    readings.push_back({r.name, r.gauge_kpa, r.ambient_kpa, b.motor.budget.clearance_from_head_cc(r.head_cc)});
  return fit_gauge(cranking(b.motor, false), readings);
}

Motor fitted_motor(const Bench& b, const GaugeFit& f) {
  Motor m = b.motor;
  if (f.kind == FitKind::none) return m;
  m.fitted_n = f.n;
  m.fitted_m = f.m;
  m.model_n = f.n_model;
  double log_sum = 0;
  for (const auto& r : b.readings) log_sum += std::log(r.ambient_kpa);
  m.reference_kpa = std::exp(log_sum / static_cast<double>(b.readings.size()));
  return m;
}

std::vector<Target> targets(const Bench& b) {
  const Motor m = fitted_motor(b, fit(b));
  std::vector<Target> out;
  out.reserve(b.ambient_kpa.size());
  for (const double p : b.ambient_kpa) out.push_back(target(m, b.ask, b.wish, p));
  return out;
}

} // namespace chamber::engine
