#include "chamber/turning/tools.hpp"
#include "chamber/units/quantity.hpp"
#include "chamber/units/tolerance.hpp"
#include <cmath>

namespace chamber::turning {

std::string_view name(ToolKind kind) {
  switch (kind) {
  case ToolKind::drill:
    return "drill";
  case ToolKind::boring:
    return "boring";
  case ToolKind::turning:
    return "turning";
  case ToolKind::grooving:
    return "grooving";
  case ToolKind::face_grooving:
    return "face grooving";
  case ToolKind::threading:
    return "threading";
  case ToolKind::tap:
    return "tap";
  }
  return "tool";
}

double cutting_edge_mm(const Tool& tool) {
  return tool.edge_length_mm > 0 ? tool.edge_length_mm : 2 * tool.max_depth_mm;
}

std::string in_words(bool inch, double mm, int decimals) {
  return inch ? units::fixed(mm / units::mm_per_inch, decimals + 1) + " in" : units::fixed(mm, decimals) + " mm";
}

std::string in_words(const Machine& machine, double mm, int decimals) {
  return in_words(machine.inch, mm, decimals);
}

namespace {
std::string rounded_in_words(bool inch, double mm, int decimals, double (*round)(double), double dust_mm) {
  const double unit = std::pow(10.0, -(inch ? decimals + 1 : decimals)) * (inch ? units::mm_per_inch : 1);
  return in_words(inch, round((mm + dust_mm) / unit) * unit, decimals);
}
} // namespace

// What a limit is kept to, and the dust of conversions, is no reason to go a whole figure further.
std::string most_in_words(bool inch, double mm, int decimals) {
  return rounded_in_words(inch, mm, decimals, std::floor, tolerance::point_mm);
}

std::string least_in_words(bool inch, double mm, int decimals) {
  return rounded_in_words(inch, mm, decimals, std::ceil, -tolerance::point_mm);
}

std::string with_toolpost(const Machine& machine) {
  const std::string post = machine.toolpost == Toolpost::rear ? "rear toolpost" : "front toolpost";
  return machine.name.find(post) != std::string::npos ? machine.name : machine.name + ", " + post;
}

bool arcs_swapped(const Machine& machine) {
  return machine.arcs_from_above && machine.toolpost == Toolpost::front;
}

int coordinate_decimals(const Machine& machine) {
  if (machine.decimals > 0) return machine.decimals;
  return machine.inch ? 4 : 3;
}

std::vector<Tool> example_tools() {
  Tool drill;
  drill.number = 1;
  drill.kind = ToolKind::drill;
  drill.name = "pilot drill";
  drill.diameter_mm = 12;
  drill.reach_mm = 110;
  drill.cutting_speed_m_per_min = 60;
  drill.feed_mm_per_rev = 0.15;

  Tool rough;
  rough.number = 2;
  rough.name = "roughing bar";
  rough.purpose = Purpose::roughing;
  rough.nose_radius_mm = 0.4;
  rough.end_edge_angle_deg = 52;
  rough.side_edge_angle_deg = 3;
  rough.edge_length_mm = 6;
  rough.shank_mm = 10;
  rough.min_bore_mm = 11;
  rough.reach_mm = 40;
  rough.max_depth_mm = 1.0;
  rough.cutting_speed_m_per_min = 180;
  rough.feed_mm_per_rev = 0.15;

  Tool finish = rough;
  finish.number = 3;
  finish.name = "finishing bar";
  finish.purpose = Purpose::finishing;
  finish.max_depth_mm = 0.5;
  finish.cutting_speed_m_per_min = 220;
  finish.feed_mm_per_rev = 0.12;
  return {drill, rough, finish};
}

std::vector<Tool> example_whole_tools() {
  auto tools = example_tools();
  tools[0].diameter_mm = 12.7; // within M14x1.25 6H: pilot and tap drill at once

  Tool turn;
  turn.number = 4;
  turn.kind = ToolKind::turning;
  turn.name = "turning tool";
  turn.nose_radius_mm = 0.4;
  turn.orientation = 2;
  turn.edge_length_mm = 9;
  turn.shank_mm = 20;
  turn.reach_mm = 40;
  turn.max_depth_mm = 2;
  turn.cutting_speed_m_per_min = 260;
  turn.feed_mm_per_rev = 0.2;

  Tool blade;
  blade.number = 5;
  blade.kind = ToolKind::grooving;
  blade.name = "grooving blade 2";
  blade.nose_radius_mm = 0.15;
  blade.orientation = 2;
  blade.width_mm = 2;
  blade.reach_mm = 20;
  blade.max_depth_mm = 8;
  blade.cutting_speed_m_per_min = 150;
  blade.feed_mm_per_rev = 0.06;

  Tool face = blade;
  face.number = 6;
  face.kind = ToolKind::face_grooving;
  face.name = "face blade 2.5";
  face.width_mm = 2.5;
  face.max_depth_mm = 6;
  face.face_min_mm = 40;
  face.face_max_mm = 200;

  Tool thread;
  thread.number = 7;
  thread.kind = ToolKind::threading;
  thread.name = "threading bar";
  thread.nose_radius_mm = 0.05;
  thread.orientation = 3;
  thread.shank_mm = 8;
  thread.min_bore_mm = 10;
  thread.carbide_shank = true;
  thread.reach_mm = 40;
  thread.max_depth_mm = 0.2;
  thread.pitch_mm = 2;
  thread.cutting_speed_m_per_min = 60;
  thread.feed_mm_per_rev = 0.1;

  tools.insert(tools.end(), {turn, blade, face, thread});
  return tools;
}

} // namespace chamber::turning
