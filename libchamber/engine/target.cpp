#include "chamber/engine/target.hpp"
#include "chamber/engine/air.hpp"
#include <algorithm>
#include <cmath>

namespace chamber::engine {

Cranking cranking(const Motor& m, bool fitted) {
  Cranking c;
  c.trapped_swept_cc = trapped_swept_cc(m.bore_mm, m.crank, m.exhaust_shut_deg);
  c.gauge_extra_cc = m.gauge_extra_cc + m.plug_tip_cc;
  c.exponent = m.model_n.value_or(default_exponent);
  if (fitted && m.fitted_n) {
    c.exponent = *m.fitted_n;
    c.altitude_exponent = m.fitted_m.value_or(1.0);
  }
  return c;
}

double least_clearance_for_squish_cc(const Motor& m) {
  return std::max(0.0, circle_area_mm2(m.bore_mm) * m.squish_clearance_mm / 1000);
}

Target forecast(const Motor& m, const Ask& ask, double clearance, double ambient) {
  Target t;
  t.ambient_kpa = ambient;
  t.clearance_cc = clearance;
  t.head_cc = m.budget.head_from_clearance_cc(clearance);
  t.trapped_ratio = compression_ratio(trapped_swept_cc(m.bore_mm, m.crank, m.exhaust_shut_deg), clearance);
  t.trapped_ratio_open = compression_ratio(trapped_swept_cc(m.bore_mm, m.crank, m.exhaust_open_deg), clearance);
  t.full_ratio = compression_ratio(swept_cc(m.bore_mm, m.crank), clearance);
  const auto model = cranking(m, false);
  t.gauge_model_kpa = gauge_kpa(model, ambient, clearance);
  t.gauge_fitted_kpa = gauge_kpa(cranking(m, true), ambient, clearance);
  // Steeper or not, the forecast passes through the place where the readings were taken.
  const double far = t.gauge_model_kpa * std::pow(ambient / m.reference_kpa, reported_altitude_exponent - 1);
  t.gauge_band_low_kpa = std::min({far, t.gauge_model_kpa, t.gauge_fitted_kpa});
  t.gauge_band_high_kpa = std::max({far, t.gauge_model_kpa, t.gauge_fitted_kpa});
  if (ask.ratio_ceiling > 0) t.ratio_in_hand = ask.ratio_ceiling - t.trapped_ratio;
  if (ask.gauge_high_kpa > 0) t.gauge_in_hand_kpa = ask.gauge_high_kpa - t.gauge_fitted_kpa;
  if (m.today_head_cc) t.head_change_cc = t.head_cc - *m.today_head_cc;
  return t;
}

Target target(const Motor& m, const Ask& ask, const Wish& wish, double ambient) {
  const auto gauge = cranking(m, true);
  const auto by_ratio = [&](double ratio) { return clearance_for_ratio_cc(gauge.trapped_swept_cc, ratio); };
  const auto by_gauge = [&](double aim) { return clearance_for_gauge_cc(gauge, ambient, aim); };
  const double window = (ask.gauge_low_kpa + ask.gauge_high_kpa) / 2;
  struct {
    Criterion criterion;
    double clearance_cc;
  } const asked[] = {{Criterion::gauge, window > 0 ? by_gauge(window) : 0},
                     {Criterion::ratio, ask.ratio_ceiling > 0 ? by_ratio(ask.ratio_ceiling) : 0},
                     {Criterion::squish, least_clearance_for_squish_cc(m)}};
  auto bound = asked[0];
  for (const auto& a : asked)
    if (a.clearance_cc > bound.clearance_cc) bound = a;
  const double guideline = bound.clearance_cc;

  if (wish.gauge_kpa)
    bound = {Criterion::wish_gauge, by_gauge(*wish.gauge_kpa)};
  else if (wish.trapped_ratio)
    bound = {Criterion::wish_ratio, by_ratio(*wish.trapped_ratio)};
  else if (wish.head_cc)
    bound = {Criterion::wish_volume, m.budget.clearance_from_head_cc(*wish.head_cc)};
  else if (wish.clearance_cc)
    bound = {Criterion::wish_volume, *wish.clearance_cc};
  auto t = forecast(m, ask, bound.clearance_cc, ambient);
  t.by_gauge_cc = asked[0].clearance_cc;
  t.by_ratio_cc = asked[1].clearance_cc;
  t.by_squish_cc = asked[2].clearance_cc;
  t.by_guideline_cc = guideline;
  t.bound_by = bound.criterion;
  return t;
}

} // namespace chamber::engine
