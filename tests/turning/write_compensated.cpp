// Writes rs274 programs that leave the nose to the control, with the tool table they run with and the paths of the
// control point that our proof takes them for: write_compensated FOLDER.
#include "chamber/turning/compensate.hpp"
#include "chamber/units/quantity.hpp"
#include "whole_samples.hpp"
#include <fstream>
#include <iostream>
#include <nlohmann/json.hpp>

using namespace chamber;
using namespace chamber::turning;

namespace {

nlohmann::json paths_of(const Program& program, const std::vector<Tool>& tools) {
  std::vector<Failure> failures;
  nlohmann::json out = nlohmann::json::array();
  for (const auto& ref : detail::reference_paths(program, tools, 0, failures)) {
    const auto tool =
        std::find_if(tools.begin(), tools.end(), [&](const Tool& t) { return t.number == ref.motion->tool; });
    const auto shift =
        detail::has_nose(*tool) ? detail::to_centre(tool->orientation) * tool->nose_radius_mm : profile::P{0, 0};
    const auto& p = ref.path;
    const auto place = [&](const profile::P& q) { return nlohmann::json{-(q.z - shift.z), q.r - shift.r}; };
    out.push_back({{"line", ref.motion->line},
                   {"tool", ref.motion->tool},
                   {"rapid", ref.motion->kind == MotionKind::rapid},
                   {"start", place(p.from)},
                   {"end", place(p.to)},
                   {"centre", place(p.centre)},
                   {"turn", p.kind == profile::Kind::line  ? 0
                            : p.kind == profile::Kind::ccw ? 1
                                                           : -1}});
  }
  for (const auto& f : failures) throw std::runtime_error(f.message);
  return out;
}

/// Leads in and out aslant, turns both ways, lines and arcs: nothing a planner would write.
constexpr std::string_view corners = "%\nO1\nG18\nG7\nG21\nG40 G80 G90\nG54\nG97 S500\nG0 Z50.\nG0 X100.\nT4 M6 G43\n"
                                     "G97 S1000 M3\nG95\nG0 X20. Z5.\nG42\nG1 X30. Z0. F0.1\nG1 X30. Z-10.\n"
                                     "G1 X40. Z-10.\nG1 X40. Z-20.\nG2 X50. Z-25. I5. K0.\nG1 X52. Z-25.\n"
                                     "G1 X54. Z-26.\nG40\nG1 X60. Z-24.\nG0 X60. Z5.\nG42\nG1 X30. Z0.\n"
                                     "G1 X30. Z-10.\nG1 X40. Z-12.\nG40\nG1 X60. Z-10.\nG0 X60. Z6.\nG41\n"
                                     "G1 X40. Z0.\nG3 X40. Z-20. I-20. K-10.\nG1 X30. Z-21.\nG40\nG1 X20. Z-18.\n"
                                     "G0 Z50.\nG0 X100.\nM5\nM30\n%\n";

nlohmann::json write_case(const std::string& folder, const std::string& name, std::string_view text,
                          const Machine& machine, const std::vector<Tool>& tools) {
  const auto program = read(text, machine);
  if (!program) throw std::runtime_error(name + ": " + to_text(program.error().front()));
  std::ofstream(folder + "/" + name + ".ngc") << text;
  std::ofstream table(folder + "/" + name + ".tbl");
  for (const auto& t : tools)
    table << "T" << t.number << " P" << t.number << " D" << units::fixed(2 * t.nose_radius_mm / units::mm_per_inch, 9)
          << " Q" << t.orientation << " I0 J0\n";
  return {{"program", name + ".ngc"}, {"table", name + ".tbl"}, {"paths", paths_of(*program, tools)}};
}

} // namespace

int main(int argc, char** argv) try {
  if (argc != 2) {
    std::cerr << "usage: write_compensated FOLDER\n";
    return 2;
  }
  const std::string folder = argv[1];
  nlohmann::json all = nlohmann::json::array();
  for (const auto family : samples::families) {
    auto job = samples::whole_job(family);
    job.nose_by_control = true;
    for (auto& t : job.tools)
      if (t.number == 3) t.nose_radius_mm = 0.3; // a control refuses a round of the nose's own size
    const auto p = plan(job);
    if (!p) throw std::runtime_error(std::string(shapes::name(family)) + ": " + p.error().message);
    for (std::size_t i = 0; i < p->setups.size(); ++i) {
      const auto name = std::string(shapes::name(family)) + "-" + std::to_string(i + 1);
      all.push_back(write_case(folder, name, write(*p, i, job.machine), job.machine, job.tools));
    }
  }
  all.push_back(write_case(folder, "corners", corners, Machine{}, example_whole_tools()));
  std::ofstream(folder + "/compensated.json") << all.dump(1) << "\n";
  return 0;
} catch (const std::exception& e) {
  std::cerr << e.what() << "\n";
  return 1;
}
