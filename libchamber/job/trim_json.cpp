#include "chamber/job/files.hpp"
#include "chamber/job/json_parts.hpp"
#include "chamber/job/trim.hpp"
#include "chamber/job/turn_report.hpp"

namespace chamber::job {
namespace {

constexpr int trim_version = 1;

Json maybe(const std::optional<double>& v) {
  return v ? Json(neat(*v, 1e-6)) : Json();
}

Json figures_json(const MendFigures& f) {
  return {{"head_cc", neat(f.head_cc, 1e-6)},
          {"clearance_cc", neat(f.clearance_cc, 1e-6)},
          {"trapped_ratio", neat(f.trapped_ratio, 1e-6)},
          {"full_ratio", neat(f.full_ratio, 1e-6)},
          {"squish_gap_mm", maybe(f.squish_gap_mm)},
          {"mouth_gap_mm", maybe(f.mouth_gap_mm)},
          {"gap_velocity_m_s", maybe(f.gap_velocity_m_s)},
          {"plug_to_crown_mm", neat(f.plug_to_crown_mm, 1e-6)},
          {"wall_mm", maybe(f.wall_mm)}};
}

Json profile_json(const MendWay& w) {
  Json out = Json::array();
  for (const auto& s : w.chamber) {
    Json e = {{"start_rz_mm", {neat(s.start.r, 1e-6), neat(s.start.z, 1e-6)}},
              {"end_rz_mm", {neat(s.end.r, 1e-6), neat(s.end.z, 1e-6)}}};
    if (s.is_arc()) {
      e["centre_rz_mm"] = {neat(s.centre.r, 1e-6), neat(s.centre.z, 1e-6)};
      e["radius_mm"] = neat(s.radius, 1e-6);
      e["counter_clockwise"] = s.kind == profile::Kind::ccw;
    }
    out.push_back(std::move(e));
  }
  return out;
}

Json way_json(const MendWay& w) {
  Json j;
  j["mend"] = key(w.mend);
  j["possible"] = w.possible();
  j["allowed"] = w.allowed();
  if (!w.possible()) {
    j["impossible"] = w.impossible;
    return j;
  }
  j["amount_mm"] = neat(w.amount_mm, 1e-6);
  j["cc_per_tenth_mm"] = neat(w.cc_per_tenth_mm, 1e-6);
  if (!w.dimension.empty())
    j["dimension"] = {{"name", w.dimension}, {"from_mm", neat(w.from, 1e-6)}, {"to_mm", neat(w.to, 1e-6)}};
  j["plug_thread_cc"] = neat(w.plug_cc, 1e-6);
  j["after"] = figures_json(w.after);
  j["checks"] = Json::array();
  for (const auto& c : w.checks)
    j["checks"].push_back({{"name", c.name},
                           {"ok", c.ok},
                           {"value", neat(c.value, 1e-9)},
                           {"limit", neat(c.limit, 1e-9)},
                           {"sense", c.minimum ? "at least" : "at most"},
                           {"unit", c.unit}});
  j["against"] = w.against;
  j["notes"] = w.notes;
  j["profile"] = profile_json(w);
  return j;
}

Json offset_json(const Offset& o) {
  const auto& e = o.error;
  Json j = {{"inserts", e.inserts},
            {"mean_cc", neat(e.mean_cc, 1e-6)},
            {"standard_cc", neat(e.standard_cc, 1e-6)},
            {"factor", e.factor},
            {"significant", e.significant},
            {"cc_per_tenth_mm_z", neat(o.cc_per_tenth_z, 1e-6)},
            {"cc_per_tenth_mm_x_radius", neat(o.cc_per_tenth_x, 1e-6)}};
  if (e.significant)
    j["proposed"] = {{"cc", neat(-e.mean_cc, 1e-6)},
                     {"tool", o.tool ? Json(o.tool) : Json()},
                     {"z_mm", neat(o.z_mm, 1e-6)},
                     {"x_radius_mm", neat(o.x_radius_mm, 1e-6)}};
  return j;
}

} // namespace

std::string to_json(const TrimReport& r) {
  Json j;
  j["schema"] = "chamber.trim";
  j["schema_version"] = trim_version;
  j["status"] = "done";
  j["date"] = r.entry.date;
  j["job"] = {{"name", r.spec.name}, {"revision", r.spec.revision}, {"insert", r.asked.insert}};
  j["wanted_cc"] = neat(r.wanted_cc, 1e-6);
  j["profile_cc"] = neat(r.profile_cc, 1e-6);
  j["read_cc"] = r.asked.read_cc;
  j["filled"] = engine::fill_names[static_cast<std::size_t>(r.asked.filled)];
  j["measured_cc"] = neat(r.measured_cc, 1e-6);
  j["scatter_cc"] = neat(r.scatter_cc, 1e-6);
  j["error_cc"] = neat(r.error_cc, 1e-6);
  j["uncertainty_cc"] = neat(r.uncertainty_cc, 1e-6);
  j["limit_cc"] = neat(r.rule.limit_cc, 1e-6);
  j["leave_within_cc"] = neat(r.rule.leave_cc(), 1e-6);
  j["decided_by"] = r.decided_by;
  j["verdict"] = key(r.verdict);
  j["now"] = figures_json(r.now);
  j["ways"] = Json::array();
  for (const auto& w : r.ways) j["ways"].push_back(way_json(w));
  j["recommended"] = r.recommended ? Json(key(r.ways[*r.recommended].mend)) : Json();
  j["why"] = r.why;
  j["most_facing_mm"] = r.error_cc > 0 && r.verdict != Verdict::leave ? Json(neat(r.most_facing_mm, 1e-6)) : Json();
  j["gasket"] = Json();
  if (r.gasket)
    j["gasket"] = {{"from_mm", neat(r.gasket->from_mm, 1e-6)},
                   {"to_mm", neat(r.gasket->to_mm, 1e-6)},
                   {"allowed", r.gasket->against.empty()},
                   {"against", r.gasket->against},
                   {"after", figures_json(r.gasket->after)}};
  j["turning"] = Json();
  if (r.program) {
    j["turning"] = turning_json(*r.program, slug(r.spec.name));
    j["program_cc"] = neat(r.program_cc, 1e-6);
  }
  j["offset"] = r.offset ? offset_json(*r.offset) : Json();
  j["notes"] = r.notes;
  j["files"] = r.files;
  j["log"] = r.log;
  return j.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

} // namespace chamber::job
