#include "chamber/job/check.hpp"
#include "chamber/job/json_parts.hpp"
#include <cmath>

namespace chamber::job {
namespace {

constexpr int check_version = 1;

Json point(const profile::P& p) {
  return {neat(p.r, 1e-6), neat(p.z, 1e-6)};
}

/// A figure that is known, or null.
Json maybe(double value, double step) {
  return std::isfinite(value) ? Json(neat(value, step)) : Json();
}

Json volumes_of(const CheckReport& r) {
  using engine::Fill;
  Json j = {{"plug_fitted", neat(r.proposal.volume_cc, 1e-6)},
            {"to_bottom_of_plug_hole", nullptr},
            {"to_top_of_plug_hole", nullptr}};
  if (!r.hole) return j;
  const auto as = [&](Fill f) {
    return neat(engine::convert_fill_cc(r.proposal.volume_cc, Fill::plug_fitted, f, *r.hole), 1e-6);
  };
  j["to_bottom_of_plug_hole"] = as(Fill::bottom_of_plug_hole);
  j["to_top_of_plug_hole"] = as(Fill::top_of_plug_hole);
  return j;
}

Json shape_of(const CheckReport& r) {
  const auto& p = r.proposal;
  Json j = {{"turned", !p.chain.empty()},
            {"depth_mm", neat(p.depth_mm, 1e-6)},
            {"rim_radius_mm", neat(p.rim_radius_mm, 1e-6)},
            {"plug_end_mm", neat(p.plug_end_mm, 1e-6)},
            {"segments", p.chain.size()},
            {"band", nullptr}};
  if (!r.features.band) return j;
  const auto& b = *r.features.band;
  j["band"] = {{"mouth_radius_mm", neat(b.mouth.r, 1e-6)},
               {"width_mm", neat(b.width_mm, 1e-6)},
               {"angle_deg", neat(b.angle_deg, 1e-6)},
               {"edge_height_mm", neat(b.edge_height, 1e-6)},
               {"straight", b.straight},
               {"area_ratio", neat(engine::squish_area_ratio(2 * (b.mouth.r + b.width_mm), b.mouth.r), 1e-9)}};
  return j;
}

Json sites_of(const CheckReport& r) {
  Json out = Json::array();
  if (!r.forecast) return out;
  const auto& ask = r.engine->sheet.bench.ask;
  for (const auto& s : r.forecast->sites) {
    const auto& t = s.target;
    Json e = {{"site", s.site.name},
              {"ambient_kpa", neat(s.site.ambient_kpa, 1e-6)},
              {"gauge_kpa", neat(t.gauge_fitted_kpa, 1e-6)},
              {"gauge_psi", neat(t.gauge_fitted_kpa / engine::kpa_per_psi, 1e-6)},
              {"gauge_psi_interval",
               {maybe(s.gauge.low / engine::kpa_per_psi, 1e-6), maybe(s.gauge.high / engine::kpa_per_psi, 1e-6)}},
              {"guideline", nullptr}};
    if (ask.ratio_ceiling > 0 || ask.gauge_high_kpa > 0)
      e["guideline"] = {
          {"ratio_ceiling", neat(ask.ratio_ceiling, 1e-6)},
          {"gauge_psi",
           {neat(ask.gauge_low_kpa / engine::kpa_per_psi, 1e-6), neat(ask.gauge_high_kpa / engine::kpa_per_psi, 1e-6)}},
          {"not_over", guideline_kept(*r.engine, t)}};
    out.push_back(std::move(e));
  }
  return out;
}

Json engine_of(const CheckReport& r) {
  if (!r.engine) return nullptr;
  Json j;
  j["job"] = {{"name", r.engine->name}, {"revision", r.engine->revision}};
  j["inputs"] = inputs_of(*r.engine);
  j["clearance_cc"] = neat(r.clearance_cc, 1e-6);
  j["trapped_ratio"] = r.forecast ? Json(neat(r.trapped_ratio, 1e-6)) : Json();
  j["full_ratio"] = r.forecast ? Json(neat(r.full_ratio, 1e-6)) : Json();
  Json gaps = Json::array();
  for (const auto& g : r.appraisal ? r.appraisal->gaps : r.rim_gaps)
    gaps.push_back({{"radius_mm", neat(g.radius_mm, 1e-6)}, {"gap_mm", neat(g.gap_mm, 1e-6)}});
  j["squish_gaps"] = std::move(gaps);
  for (const auto* key : {"smallest_gap", "opening_deg", "gap_velocity", "plug_to_crown_mm", "smallest_wall_mm"})
    j[key] = nullptr;
  if (r.appraisal) {
    const auto& a = *r.appraisal;
    if (a.features.band) {
      j["smallest_gap"] = {{"gap_mm", neat(a.smallest_gap.gap_mm, 1e-6)},
                           {"radius_mm", neat(a.smallest_gap.radius_mm, 1e-6)}};
      j["opening_deg"] = neat(a.opening_deg, 1e-6);
    }
    if (a.peak)
      j["gap_velocity"] = {{"peak_m_s", neat(a.peak->velocity_m_s, 1e-6)},
                           {"before_tdc_deg", neat(a.peak->before_tdc_deg, 1e-6)},
                           {"rpm", neat(r.engine->peak_rpm, 1e-6)}};
    j["plug_to_crown_mm"] = neat(a.plug_to_crown_mm, 1e-6);
    if (a.smallest_wall_mm) j["smallest_wall_mm"] = neat(*a.smallest_wall_mm, 1e-6);
  }
  j["sites"] = sites_of(r);
  return j;
}

Json deviation_of(const CheckReport& r) {
  if (!r.deviation) return nullptr;
  const auto& d = *r.deviation;
  Json j = {{"own_cc", neat(d.own_cc, 1e-6)},
            {"volume_cc", neat(r.proposal.volume_cc - d.own_cc, 1e-6)},
            {"largest_mm", nullptr},
            {"at_rz_mm", nullptr},
            {"own_rz_mm", nullptr}};
  if (r.proposal.chain.empty()) return j;
  j["largest_mm"] = neat(d.largest_mm, 1e-6);
  j["at_rz_mm"] = point(d.at);
  j["own_rz_mm"] = point(d.to);
  return j;
}

} // namespace

std::string to_json(const CheckReport& r) {
  Json j;
  j["schema"] = "chamber.check";
  j["schema_version"] = check_version;
  j["status"] = r.passed() ? "done" : "over";
  j["file"] = r.file;
  j["kind"] = check_kind_names[static_cast<std::size_t>(r.proposal.kind)];
  j["taken"] = r.proposal.taken;
  j["volumes_cc"] = volumes_of(r);
  j["shape"] = shape_of(r);
  j["engine"] = engine_of(r);
  j["deviation"] = deviation_of(r);
  Json checks = Json::array();
  for (const auto& c : r.checks)
    checks.push_back({{"name", c.name},
                      {"ok", c.ok},
                      {"value", maybe(c.value, 1e-9)},
                      {"limit", maybe(c.limit, 1e-9)},
                      {"sense", c.minimum ? "at least" : "at most"},
                      {"unit", c.unit},
                      {"note", c.note}});
  for (std::size_t i = 0; i < checks.size(); ++i)
    if (r.checks[i].radius_mm > 0) checks[i]["radius_mm"] = neat(r.checks[i].radius_mm, 1e-6);
  j["checks"] = std::move(checks);
  j["withheld"] = r.withheld;
  j["cautions"] = r.cautions;
  j["notes"] = r.forecast ? Json(r.forecast->notes) : Json::array();
  return j.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

} // namespace chamber::job
