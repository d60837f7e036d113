#include "chamber/turning/tools.hpp"

namespace chamber::turning {

std::string_view name(ToolKind kind) {
  switch (kind) {
  case ToolKind::drill:
    return "drill";
  case ToolKind::boring:
    return "boring";
  case ToolKind::turning:
    return "turning";
  case ToolKind::facing:
    return "facing";
  case ToolKind::grooving:
    return "grooving";
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

} // namespace chamber::turning
