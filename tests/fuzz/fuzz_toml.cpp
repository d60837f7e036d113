// Spec, sheet, guideline and lathe file.
#include "chamber/job/files.hpp"
#include "chamber/job/guideline_read.hpp"
#include "chamber/job/lathe_read.hpp"
#include "chamber/job/spec.hpp"
#include "target.hpp"
#include <algorithm>

namespace chamber::fuzz {
namespace {

constexpr std::size_t most_problems = 200;

void check_tool(const turning::Tool& t) {
  promise(t.number >= 1 && t.number <= 99, "a tool number out of range");
  for (const double x : {t.nose_radius_mm, t.end_edge_angle_deg, t.side_edge_angle_deg, t.edge_length_mm, t.diameter_mm,
                         t.point_angle_deg, t.pitch_mm, t.chamfer_mm, t.width_mm, t.face_min_mm, t.face_max_mm,
                         t.shank_mm, t.min_bore_mm, t.neck_mm, t.neck_length_mm, t.reach_mm, t.max_depth_mm,
                         t.cutting_speed_m_per_min, t.feed_mm_per_rev}) {
    check_finite(x, "a tool's figure");
    promise(x >= 0, "a tool's figure below zero");
  }
}

void check_machine(const turning::Machine& m) {
  for (const double x : {m.clamp_rpm, m.change_x_mm, m.change_z_mm, m.rapid_mm_per_min}) {
    check_finite(x, "a lathe's figure");
    promise(x > 0, "a lathe's figure not above zero");
  }
}

/// Whatever job and revision are called, the files stay in their folder.
void check_file_name(const std::string& job) {
  const auto name = job::slug(job);
  promise(!name.empty() && name.size() <= 40, "a file name of no length, or of any");
  promise(std::all_of(name.begin(), name.end(),
                      [](char c) { return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '-'; }),
          "a file name that leads elsewhere: " + name);
}

void check_spec(const job::Spec& s, bool design) {
  check_file_name(s.name);
  for (const double x :
       {s.bore_mm, s.crank.stroke_mm, s.crank.rod_mm, s.exhaust_duration_deg, s.peak_rpm, s.budget.deck_mm,
        s.budget.gasket_bore_mm, s.budget.gasket_thickness_mm, s.budget.crown.height_mm, s.budget.crown.volume_cc,
        s.budget.crown.sphere_radius_mm, s.squish_clearance_mm, s.swept_cc(), s.trapped_swept_cc()})
    check_finite(x, "a motor's figure");
  promise(s.bore_mm > 0 && s.swept_cc() > 0 && s.trapped_swept_cc() > 0, "a motor of no size");
  for (const auto& site : s.sheet.sites) {
    for (const double x : {site.altitude_m, site.ambient_kpa, site.temperature_c, site.humidity})
      check_finite(x, "a site's figure");
    promise(site.ambient_kpa > 0, "a site without air");
  }
  for (const auto& r : s.sheet.bench.readings)
    for (const double x : {r.gauge_kpa, r.ambient_kpa, r.head_cc}) check_finite(x, "a reading's figure");
  if (!design) return;
  check_finite(s.task.head_cc, "the wanted volume");
  promise(s.task.head_cc > 0, "a wanted volume not above zero");
  for (const auto& p : s.task.preferences) {
    for (const double x : {p.prefer, p.low, p.high, p.weight, p.scale, p.grid}) check_finite(x, "a preference");
    promise(p.grid > 0 && p.scale > 0, "a preference without a scale");
  }
  for (const auto& step : s.task.body.steps) {
    check_finite(step.diameter_mm, "a step's diameter"), check_finite(step.length_mm, "a step's length");
    promise(step.diameter_mm > 0 && step.length_mm > 0, "a step of no size");
  }
  for (const auto& g : s.task.body.face_grooves)
    for (const double x : {g.inner_diameter_mm, g.width_mm, g.depth_mm}) check_finite(x, "a face groove");
  for (const auto& g : s.task.body.radial_grooves)
    for (const double x : {g.from_face_mm, g.width_mm, g.depth_mm}) check_finite(x, "a radial groove");
  for (const double x : {s.blank_diameter_mm, s.blank_length_mm, s.pilot_bore_mm, s.inner_corner_mm,
                         s.finish_allowance_mm, s.roughness_um, s.chucking.grip_mm, s.chucking.face_mm})
    check_finite(x, "a blank's figure");
  check_machine(s.machine);
  for (const auto& t : s.tools) check_tool(t);
}

void read_spec(std::string_view bytes, job::Need need) {
  const std::string text(bytes);
  // As if it lay beside a lathe file it may name, a small one.
  static const std::string file = CHAMBER_TEST_FILES "/fuzz/seeds/lathe/fuzzed.toml";
  const auto spec = job::read_spec(text, file, need);
  if (spec) return check_spec(*spec, need == job::Need::design);
  auto own = spec.error();
  std::erase_if(own, [](const Problem& p) { return p.place.file != file; }); // of the lathe file it names
  for (const auto& p : spec.error()) check_problem(p);
  promise(spec.error().size() <= most_problems, "more problems than anybody reads");
  if (own.size() == spec.error().size()) check_problems(own, most_problems, file);
  promise(std::is_sorted(own.begin(), own.end(),
                         [](const Problem& a, const Problem& b) { return a.place.line < b.place.line; }),
          "problems out of the file's order");
}

} // namespace

void spec(std::string_view bytes) {
  read_spec(bytes, job::Need::design);
}
void sheet(std::string_view bytes) {
  read_spec(bytes, job::Need::target);
}

void guideline(std::string_view bytes) {
  const auto g = job::read_guideline(std::string(bytes), "guideline.toml");
  if (!g) return check_problems(g.error(), most_problems, "guideline.toml");
  promise(!g->fuels.empty() && !g->uses.empty(), "a guideline without rows");
  check_finite(g->air_cooled_shift, "a shift");
  for (const auto& f : g->fuels) {
    promise(!f.fuel.empty(), "a fuel without a name");
    check_finite(f.ratio_ceiling, "a ceiling");
    promise(f.gauge_low_kpa > 0 && f.gauge_low_kpa < f.gauge_high_kpa && std::isfinite(f.gauge_high_kpa),
            "a gauge window that is none");
  }
  for (const auto& u : g->uses) {
    promise(!u.use.empty(), "a use without a name");
    check_finite(u.shift, "a shift");
  }
}

void lathe(std::string_view bytes) {
  const auto l = job::read_lathe(std::string(bytes), "lathe.toml");
  if (!l) return check_problems(l.error(), most_problems, "lathe.toml");
  check_machine(l->machine);
  promise(!l->tools.empty() && l->tools.size() <= 40, "a lathe without tools, or with any number");
  for (const auto& t : l->tools) {
    check_tool(t.tool);
    for (std::size_t metal = 0; metal < std::size(job::metal_names); ++metal)
      if (const auto tool = t.with_data_for(metal)) check_tool(*tool);
  }
}

} // namespace chamber::fuzz
