#include "chamber/job/json_parts.hpp"
#include <cmath>

namespace chamber::job {

double neat(double v, double step) {
  const double r = std::round(v / step) * step;
  return std::isfinite(r) ? std::round(r * 1e12) / 1e12 : r;
}

Json inputs_of(const Spec& s) {
  static constexpr std::string_view crowns[] = {"flat", "domed", "dished"};
  Json j;
  j["bore_mm"] = neat(s.bore_mm, 1e-6);
  j["stroke_mm"] = neat(s.crank.stroke_mm, 1e-6);
  j["rod_mm"] = neat(s.crank.rod_mm, 1e-6);
  j["rod_assumed"] = s.rod_assumed;
  j["exhaust_duration_deg"] = neat(s.exhaust_duration_deg, 1e-6);
  j["exhaust_valve_open_deg"] = neat(s.sheet.bench.motor.exhaust_open_deg, 1e-6);
  j["peak_power_rpm"] = neat(s.peak_rpm, 1e-6);
  j["deck_below_mm"] = neat(s.budget.deck_mm, 1e-6);
  j["crown"] = {{"form", crowns[static_cast<std::size_t>(s.budget.crown.form)]},
                {"radius_mm", neat(s.budget.crown.sphere_radius_mm, 1e-6)},
                {"height_mm", neat(s.budget.crown.height_mm, 1e-6)},
                {"volume_cc", neat(s.budget.crown.volume_cc, 1e-6)}};
  j["gasket"] = {{"bore_mm", neat(s.budget.gasket_bore_mm, 1e-6)},
                 {"thickness_mm", neat(s.budget.gasket_thickness_mm, 1e-6)}};
  j["gasket_cc"] = neat(s.budget.gasket_cc(), 1e-6);
  j["deck_cc"] = neat(s.budget.deck_cc(), 1e-6);
  j["wanted"] = {{"what", wanted_names[static_cast<std::size_t>(s.wanted)]}, {"value", neat(s.wanted_value, 1e-9)}};
  j["squish_clearance_mm"] = neat(s.squish_clearance_mm, 1e-6);
  j["plug"] = {{"thread", s.task.plug.thread}, {"reach_mm", neat(s.task.plug.reach_mm, 1e-6)}};
  if (!s.material.empty()) j["material"] = s.material;
  j["gauge_extra_cc"] = neat(s.sheet.bench.motor.gauge_extra_cc, 1e-6);
  const auto& today = s.sheet.bench.motor.today_head_cc;
  j["today_head_cc"] = today ? Json(neat(*today, 1e-6)) : Json();
  if (today) {
    using engine::Fill;
    const auto as = [&](Fill f) {
      return neat(engine::convert_fill_cc(*today, Fill::plug_fitted, f, s.sheet.hole), 1e-6);
    };
    j["today"] = {{"filled", engine::fill_names[static_cast<std::size_t>(s.sheet.filled)]},
                  {"weighed", s.sheet.weighed},
                  {"plug_hole_length_mm", neat(s.sheet.hole.length_mm, 1e-6)},
                  {"plug_hole_pitch_diameter_mm", neat(s.sheet.hole.pitch_diameter_mm, 1e-6)},
                  {"plug_tip_cc", neat(s.sheet.hole.plug_tip_cc, 1e-6)},
                  {"head_cc",
                   {{"plug_fitted", as(Fill::plug_fitted)},
                    {"to_bottom_of_plug_hole", as(Fill::bottom_of_plug_hole)},
                    {"to_top_of_plug_hole", as(Fill::top_of_plug_hole)}}}};
  }
  Json readings = Json::array();
  for (const auto& r : s.sheet.bench.readings)
    readings.push_back({{"name", r.name},
                        {"gauge_kpa", neat(r.gauge_kpa, 1e-6)},
                        {"ambient_kpa", neat(r.ambient_kpa, 1e-6)},
                        {"head_cc", neat(r.head_cc, 1e-6)}});
  j["readings"] = std::move(readings);
  if (!s.sheet.fuel.empty())
    j["use"] = {
        {"fuel", s.sheet.fuel},
        {"kind", s.sheet.use},
        {"air_cooled", s.sheet.air_cooled},
        {"ratio_ceiling", neat(s.sheet.bench.ask.ratio_ceiling, 1e-6)},
        {"gauge_kpa", {neat(s.sheet.bench.ask.gauge_low_kpa, 1e-6), neat(s.sheet.bench.ask.gauge_high_kpa, 1e-6)}}};
  const auto& d = s.sheet.doubts;
  j["uncertainty"] = {{"bore_mm", d.bore_mm},         {"stroke_mm", d.stroke_mm},
                      {"rod_mm", d.rod_mm},           {"exhaust_deg", d.exhaust_deg},
                      {"deck_mm", d.deck_mm},         {"crown_cc", d.crown_cc},
                      {"gasket_mm", d.gasket_mm},     {"head_cc", d.head_cc},
                      {"plug_tip_cc", d.plug_tip_cc}, {"plug_hole_mm", d.plug_hole_mm},
                      {"gauge_kpa", d.gauge_kpa},     {"gauge_extra_cc", d.gauge_extra_cc},
                      {"repeat", d.repeat},           {"ambient_kpa", d.ambient_kpa},
                      {"weather_kpa", d.weather_kpa}, {"exponent", d.exponent}};
  return j;
}

} // namespace chamber::job
