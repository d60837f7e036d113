// Writes programs of every family, in millimetres and inches, with the tool table and the figures an outside script
// should find when rs274 runs them: write_programs FOLDER.
#include "chamber/profile/integrals.hpp"
#include "chamber/units/quantity.hpp"
#include "samples.hpp"
#include <fstream>
#include <iostream>
#include <nlohmann/json.hpp>

using namespace chamber;
using namespace chamber::turning;

namespace {

nlohmann::json tool_json(const Tool& t) {
  return {{"number", t.number},
          {"drill", t.kind == ToolKind::drill},
          {"nose_mm", t.nose_radius_mm},
          {"orientation", t.orientation},
          {"diameter_mm", t.diameter_mm},
          {"point_deg", t.point_angle_deg},
          {"end_edge_deg", t.end_edge_angle_deg},
          {"end_edge_mm", cutting_edge_mm(t)}};
}

/// The interpreter's tool table: diameters in inches, as it reads them when it runs alone.
void write_table(const std::string& path, const std::vector<Tool>& tools) {
  std::ofstream out(path);
  for (const auto& t : tools) {
    const double d = (t.kind == ToolKind::drill ? t.diameter_mm : 2 * t.nose_radius_mm) / units::mm_per_inch;
    out << "T" << t.number << " P" << t.number << " D" << units::fixed(d, 6);
    if (t.kind != ToolKind::drill) out << " Q" << t.orientation;
    out << "\n";
  }
}

nlohmann::json write_one(const std::string& folder, const std::string& name, const Job& job) {
  const auto p = plan(job);
  if (!p) throw std::runtime_error(name + ": " + p.error().message);
  std::ofstream(folder + "/" + name + ".ngc") << write(*p, 0, job.machine);
  write_table(folder + "/" + name + ".tbl", job.tools);
  nlohmann::json tools = nlohmann::json::array();
  for (const auto& t : job.tools) tools.push_back(tool_json(t));
  nlohmann::json contour = nlohmann::json::array();
  for (const auto& s : job.chamber)
    contour.push_back({{"kind", s.kind == profile::Kind::line  ? "line"
                                : s.kind == profile::Kind::ccw ? "ccw"
                                                               : "cw"},
                       {"start", {s.start.r, s.start.z}},
                       {"end", {s.end.r, s.end.z}},
                       {"centre", {s.centre.r, s.centre.z}}});
  return {{"program", name + ".ngc"},
          {"table", name + ".tbl"},
          {"inch", job.machine.inch},
          {"volume_cc", profile::swept_volume(profile::ChainView(job.chamber)) / 1000},
          {"roof_mm", job.chamber.back().end.z},
          {"hole_radius_mm", job.plug_hole_radius_mm},
          {"thickness_mm", job.stock.thickness_mm},
          {"outside_diameter_mm", job.stock.outside_diameter_mm},
          {"chamber", contour},
          {"tools", tools}};
}

} // namespace

int main(int argc, char** argv) try {
  if (argc != 2) {
    std::cerr << "usage: write_programs FOLDER\n";
    return 2;
  }
  const std::string folder = argv[1];
  nlohmann::json all = nlohmann::json::array();
  for (const auto family : samples::families)
    for (const bool inch : {false, true}) {
      auto job = samples::job_of(family);
      job.machine.inch = inch;
      all.push_back(write_one(folder, std::string(shapes::name(family)) + (inch ? "-inch" : "-mm"), job));
    }
  int random = 0;
  for (unsigned seed = 1; random < 12 && seed < 100; ++seed) {
    const auto job = samples::random_job(seed);
    if (!plan(job)) continue;
    all.push_back(write_one(folder, "random-" + std::to_string(seed), job));
    ++random;
  }
  std::ofstream(folder + "/samples.json") << all.dump(1) << "\n";
  return 0;
} catch (const std::exception& e) {
  std::cerr << e.what() << "\n";
  return 1;
}
