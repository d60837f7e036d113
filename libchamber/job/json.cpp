#include "chamber/job/design.hpp"
#include "chamber/job/files.hpp"
#include "chamber/job/json_parts.hpp"
#include "chamber/job/turn_report.hpp"
#include <cmath>

namespace chamber::job {
namespace {

constexpr int design_version = 2, failure_version = 1;

Json dimensions_of(const Design& d) {
  const auto& f = d.spec.task.frame;
  Json j;
  j["family"] = shapes::name(f.family);
  static constexpr std::string_view keys[] = {"bowl_radius_mm", "bowl_depth_mm", "squish_width_mm", "squish_angle_deg",
                                              "pocket_depth_mm"};
  for (std::size_t i = 0; i < shapes::dimension_count; ++i)
    if (shapes::has_dimension(f.family, i)) j[keys[i]] = neat(shapes::at(d.fit.rounded, i), 1e-6);
  j["closing_dimension"] = shapes::dimension_names[d.spec.task.closing];
  j["rim_radius_mm"] = neat(f.rim_radius, 1e-6);
  j["band_edge_height_mm"] = neat(f.edge_height, 1e-6);
  j["band_follows_crown"] = f.follow_crown;
  j["rim_round_mm"] = f.rim_round;
  j["mouth_round_mm"] = f.mouth_round;
  j["mouth_radius_mm"] = neat(d.fit.split.mouth_radius_mm, 1e-6);
  j["mouth_gap_mm"] = neat(d.fit.split.mouth_gap_mm, 1e-6);
  j["pocket_radius_mm"] = f.pocket_radius;
  j["pocket_edge_round_mm"] = f.pocket_edge;
  j["pocket_corner_round_mm"] = f.pocket_corner;
  if (f.family != shapes::Family::spherical) j["draft_deg"] = f.draft_deg;
  if (f.family == shapes::Family::two_radius) j["wall_radius_mm"] = f.wall_radius;
  if (f.family == shapes::Family::toroidal) {
    j["boss_drop_mm"] = f.boss_drop;
    j["boss_round_mm"] = f.boss_round;
  }
  j["roof_height_mm"] = neat(d.insert.roof_z_mm, 1e-6);
  j["plug_seat_height_mm"] = neat(d.insert.seat_z_mm, 1e-6);
  j["insert_height_mm"] = neat(d.insert.height_mm, 1e-6);
  Json profile = Json::array();
  for (std::size_t i = 0; i < d.fit.chamber.chain.size(); ++i) {
    const auto& s = d.fit.chamber.chain[i];
    Json e = {{"face", shapes::name(d.fit.chamber.roles[i])},
              {"start_rz_mm", {neat(s.start.r, 1e-6), neat(s.start.z, 1e-6)}},
              {"end_rz_mm", {neat(s.end.r, 1e-6), neat(s.end.z, 1e-6)}}};
    if (s.is_arc()) {
      e["centre_rz_mm"] = {neat(s.centre.r, 1e-6), neat(s.centre.z, 1e-6)};
      e["radius_mm"] = neat(s.radius, 1e-6);
      e["counter_clockwise"] = s.kind == profile::Kind::ccw;
    }
    profile.push_back(std::move(e));
  }
  j["profile"] = std::move(profile);
  return j;
}

Json problems_of(const std::vector<Problem>& problems) {
  Json out = Json::array();
  for (const auto& p : problems)
    out.push_back({{"file", p.place.file},
                   {"line", p.place.line},
                   {"column", p.place.column},
                   {"message", p.message},
                   {"cure", p.cure}});
  return out;
}

} // namespace

std::string to_json(const Design& d, bool with_timings) {
  const auto& v = d.volumes;
  Json j;
  j["schema"] = "chamber.design";
  j["schema_version"] = design_version;
  j["status"] = d.turned.unproven.empty() ? "done" : "unproven";
  j["job"] = {{"name", d.spec.name}, {"revision", d.spec.revision}};
  j["spec_sha256"] = d.spec.sha256;
  j["inputs"] = inputs_of(d.spec);
  j["volumes_cc"] = {
      {"target", neat(v.target, 1e-9)},  {"profile", neat(v.profile, 1e-9)}, {"quadrature", neat(v.quadrature, 1e-9)},
      {"solid", neat(v.solid, 1e-9)},    {"mesh", neat(v.mesh, 1e-9)},       {"step", neat(v.step, 1e-9)},
      {"program", neat(v.program, 1e-6)}};
  j["mesh_bound_cc"] = neat(v.mesh_bound, 1e-9);
  j["insert_volume_cc"] = neat(v.insert, 1e-9);
  j["clearance_cc"] = neat(d.clearance_cc(), 1e-6);
  j["trapped_swept_cc"] = neat(d.spec.trapped_swept_cc(), 1e-6);
  j["swept_cc"] = neat(d.spec.swept_cc(), 1e-6);
  j["trapped_ratio"] = neat(d.trapped_ratio(), 1e-6);
  j["full_ratio"] = neat(d.full_ratio(), 1e-6);
  j["dimensions"] = dimensions_of(d);
  Json checks = Json::array();
  for (const auto& c : d.checks)
    checks.push_back({{"name", c.name},
                      {"ok", c.ok},
                      {"value", neat(c.value, 1e-9)},
                      {"limit", neat(c.limit, 1e-9)},
                      {"sense", c.minimum ? "at least" : "at most"},
                      {"unit", c.unit},
                      {"note", c.note}});
  for (std::size_t i = 0; i < checks.size(); ++i)
    if (d.checks[i].radius_mm > 0) checks[i]["radius_mm"] = neat(d.checks[i].radius_mm, 1e-6);
  j["checks"] = std::move(checks);
  j["binding"] = d.fit.binding;
  j["turning"] = turning_json(d.turned, slug(d.spec.name));
  j["notes"] = d.notes;
  j["cautions"] = Json::array();
  for (const auto c : cautions()) j["cautions"].push_back(c);
  Json files = Json::array();
  for (const auto& f : d.files) files.push_back({{"path", f.path}, {"kind", f.kind}});
  j["files"] = std::move(files);
  if (!with_timings) return j.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
  Json timings;
  for (const auto& s : d.stages) timings[s.name] = neat(s.ms, 1e-3);
  j["timings_ms"] = std::move(timings);
  return j.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

std::string to_json(const Failure& f, std::string_view schema) {
  Json j;
  j["schema"] = schema;
  j["schema_version"] = schema == "chamber.design" ? design_version : failure_version;
  j["status"] = "failed";
  j["exit_code"] = static_cast<int>(f.code);
  j["problems"] = problems_of(f.problems);
  if (f.shortfall) {
    const auto& s = *f.shortfall;
    Json r = {{"wanted_cc", neat(s.wanted_cc, 1e-9)}, {"any_reachable", s.any_reachable}};
    if (s.any_reachable) r["reachable_cc"] = {neat(s.low_cc, 1e-6), neat(s.high_cc, 1e-6)};
    r["note"] = s.note;
    Json stops = Json::array();
    for (const auto& x : s.stops)
      stops.push_back({{"name", x.name},
                       {"key", x.key},
                       {"unit", x.unit},
                       {"from", neat(x.from, 1e-9)},
                       {"to", neat(x.to, 1e-9)},
                       {"suffices", x.suffices}});
    r["stops"] = std::move(stops);
    j["out_of_reach"] = std::move(r);
  }
  return j.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

} // namespace chamber::job
