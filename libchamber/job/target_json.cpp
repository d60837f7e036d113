#include "chamber/job/json_parts.hpp"
#include "chamber/job/target.hpp"

namespace chamber::job {
namespace {

Json figure(const Figure& f, double unit, double step) {
  return {{"value", neat(f.value / unit, step)},
          {"standard_uncertainty", neat(f.standard / unit, step)},
          {"low_95", neat(f.low / unit, step)},
          {"high_95", neat(f.high / unit, step)},
          {"decided_by", f.decided_by}};
}

Json site_of(const TargetReport& r, const SiteTarget& s) {
  using engine::kpa_per_psi;
  const auto& t = s.target;
  Json j;
  j["name"] = s.site.name;
  j["altitude_m"] = neat(s.site.altitude_m, 1e-3);
  j["ambient_kpa"] = neat(s.site.ambient_kpa, 1e-6);
  j["temperature_c"] = neat(s.site.temperature_c, 1e-6);
  j["humidity"] = neat(s.site.humidity, 1e-6);
  j["air_density_kg_m3"] = neat(s.density_kg_m3, 1e-6);
  j["density_altitude_m"] = neat(s.density_altitude_m, 1e-3);
  j["clearance_cc"] = neat(t.clearance_cc, 1e-6);
  j["head_cc"] = neat(t.head_cc, 1e-6);
  j["trapped_ratio"] = neat(t.trapped_ratio, 1e-6);
  j["trapped_ratio_valve_open"] = neat(t.trapped_ratio_open, 1e-6);
  j["full_ratio"] = neat(t.full_ratio, 1e-6);
  j["gauge_psi_model"] = neat(t.gauge_model_kpa / kpa_per_psi, 1e-6);
  j["gauge_psi_fitted"] =
      r.fit.kind == engine::FitKind::none ? Json() : Json(neat(t.gauge_fitted_kpa / kpa_per_psi, 1e-6));
  j["gauge_psi_band"] = {neat(t.gauge_band_low_kpa / kpa_per_psi, 1e-6),
                         neat(t.gauge_band_high_kpa / kpa_per_psi, 1e-6)};
  j["bound_by"] = engine::criterion_names[static_cast<std::size_t>(t.bound_by)];
  // Negative: asked, but not to be reached.
  j["asked_cc"] = {{"gauge", t.by_gauge_cc < 0 ? Json() : Json(neat(t.by_gauge_cc, 1e-6))},
                   {"ratio", neat(t.by_ratio_cc, 1e-6)},
                   {"squish", neat(t.by_squish_cc, 1e-6)}};
  const engine::PlugHole hole{r.spec.sheet.hole.pitch_diameter_mm, shapes::seat_above_roof_mm(r.spec.task.plug),
                              r.spec.sheet.hole.plug_tip_cc};
  const auto filled = [&](engine::Fill f) {
    return neat(engine::convert_fill_cc(t.head_cc, engine::Fill::plug_fitted, f, hole), 1e-6);
  };
  j["filled_cc"] = {{"plug_fitted", filled(engine::Fill::plug_fitted)},
                    {"to_bottom_of_plug_hole", filled(engine::Fill::bottom_of_plug_hole)},
                    {"to_top_of_plug_hole", filled(engine::Fill::top_of_plug_hole)}};
  const auto head = [&](double clearance) {
    return clearance > 0 ? Json(neat(r.motor.budget.head_from_clearance_cc(clearance), 1e-6)) : Json();
  };
  j["asked_head_cc"] = {
      {"gauge", head(t.by_gauge_cc)}, {"ratio", head(t.by_ratio_cc)}, {"squish", head(t.by_squish_cc)}};
  if (!r.spec.sheet.fuel.empty())
    j["guideline"] = {{"clearance_cc", neat(t.by_guideline_cc, 1e-6)},
                      {"head_cc", head(t.by_guideline_cc)},
                      {"difference_cc", neat(t.clearance_cc - t.by_guideline_cc, 1e-6)}};
  j["ratio_in_hand"] = neat(t.ratio_in_hand, 1e-6);
  j["gauge_psi_in_hand"] = neat(t.gauge_in_hand_kpa / kpa_per_psi, 1e-6);
  j["head_change_cc"] = r.today ? Json(neat(t.head_change_cc, 1e-6)) : Json();
  if (r.today) j["head_change_uncertainty_cc"] = figure(s.head_change, 1, 1e-6);
  j["uncertainty"] = {{"clearance_cc", figure(s.clearance, 1, 1e-6)},
                      {"head_cc", figure(s.head, 1, 1e-6)},
                      {"trapped_ratio", figure(s.ratio, 1, 1e-6)},
                      {"trapped_ratio_valve_open", figure(s.ratio_open, 1, 1e-6)},
                      {"full_ratio", figure(s.full_ratio, 1, 1e-6)},
                      {"gauge_psi", figure(s.gauge, kpa_per_psi, 1e-6)},
                      {"gauge_psi_model", figure(s.gauge_model, kpa_per_psi, 1e-6)}};
  return j;
}

} // namespace

std::string to_json(const TargetReport& r) {
  Json j;
  j["schema"] = "chamber.target";
  j["schema_version"] = 1;
  j["status"] = "done";
  j["job"] = {{"name", r.spec.name}, {"revision", r.spec.revision}};
  j["inputs"] = inputs_of(r.spec);
  j["trapped_swept_cc"] = neat(r.spec.trapped_swept_cc(), 1e-6);
  j["swept_cc"] = neat(r.spec.swept_cc(), 1e-6);
  const bool fitted = r.fit.kind != engine::FitKind::none;
  j["trapped_swept_valve_open_cc"] =
      neat(engine::trapped_swept_cc(r.spec.bore_mm, r.spec.crank, r.motor.exhaust_open_deg), 1e-6);
  j["fitted_n"] = fitted ? Json(neat(r.fit.n, 1e-9)) : Json();
  j["fitted_m"] = r.fit.kind == engine::FitKind::exponent_and_altitude ? Json(neat(r.fit.m, 1e-9)) : Json();
  if (fitted)
    j["fitted_uncertainty"] = {{"n", figure(r.exponent, 1, 1e-9)}, {"m", figure(r.altitude_exponent, 1, 1e-9)}};
  if (r.today)
    j["today"] = {{"trapped_ratio", figure(r.today_ratio, 1, 1e-6)},
                  {"full_ratio", figure(r.today_full_ratio, 1, 1e-6)}};
  j["fitted_n_model"] = fitted ? Json(neat(r.fit.n_model, 1e-9)) : Json();
  Json readings = Json::array();
  for (const auto& x : r.fit.readings)
    readings.push_back({{"name", x.name},
                        {"residual", neat(x.residual, 1e-9)},
                        {"contradicts", x.contradicts},
                        {"own_n", neat(x.own_n, 1e-9)},
                        {"air_alone_psi", neat(x.air_alone_kpa / engine::kpa_per_psi, 1e-6)}});
  j["readings"] = std::move(readings);
  j["sites"] = Json::array();
  for (const auto& s : r.sites) j["sites"].push_back(site_of(r, s));
  j["monte_carlo"] = {{"trials", r.trials}, {"seed", r.seed}, {"failed", r.failed_trials}};
  j["notes"] = r.notes;
  return j.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

} // namespace chamber::job
