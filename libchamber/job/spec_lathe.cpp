#include "chamber/job/spec_sections.hpp"
#include <fmt/format.h>
#include <set>

namespace chamber::job {
namespace {

using units::Dimension;

void read_lathe(Section s, Spec& spec) {
  auto& m = spec.machine;
  static constexpr std::string_view posts[] = {"rear", "front"};
  static constexpr std::string_view unit[] = {"mm", "inch"};
  m.name = s.text("name", m.name, 40);
  m.toolpost = static_cast<turning::Toolpost>(s.word("toolpost", posts, 0));
  m.inch = s.word("units", unit, 0) == 1;
  m.clamp_rpm = s.take("clamp", Dimension::rotation, {50, 12000}, m.clamp_rpm);
  m.change_x_mm = s.take("change_x", Dimension::length, {10, 800}, m.change_x_mm);
  m.change_z_mm = s.take("change_z", Dimension::length, {5, 800}, m.change_z_mm);
  m.coolant = s.yes("coolant", m.coolant);
  m.program_number = s.whole("program", 1, 9999, m.program_number);
  spec.finish_allowance_mm = s.take("finish_allowance", Dimension::length, {0.05, 2}, spec.finish_allowance_mm);
  // Inside the table, micrometres: the roughness height of the turned chamber.
  spec.roughness_um = 1000 * s.take("finish", Dimension::length, {0.0005, 0.05}, 0.0063);
  spec.leave_tight_rounds = s.yes("leave_tight_rounds", false);
  s.finish();
}

void read_tool(Section& s, Spec& spec) {
  static constexpr std::string_view kinds[] = {"drill", "boring"};
  static constexpr std::string_view purposes[] = {"any", "roughing", "finishing"};
  turning::Tool t;
  t.number = s.whole("number", 1, 99, std::nullopt);
  const bool drill = s.word("kind", kinds, std::nullopt) == 0;
  t.kind = drill ? turning::ToolKind::drill : turning::ToolKind::boring;
  t.name = s.text("name", drill ? "drill" : "boring bar", 40);
  t.reach_mm = s.need("reach", Dimension::length, {3, 400}).value;
  t.max_depth_mm = s.take("max_depth", Dimension::length, {0.05, 20}, drill ? 0 : 1);
  t.cutting_speed_m_per_min = s.need("speed", Dimension::cutting_speed, {5, 1500}).value;
  t.feed_mm_per_rev = s.need("feed", Dimension::feed, {0.005, 1}).value;
  if (drill) {
    t.diameter_mm = s.need("diameter", Dimension::length, {1, 40}).value;
    t.point_angle_deg = s.take("point_angle", Dimension::angle, {60, 180}, 118);
  } else {
    t.purpose = static_cast<turning::Purpose>(s.word("purpose", purposes, 0));
    t.nose_radius_mm = s.need("nose_radius", Dimension::length, {0.02, 10}).value;
    t.orientation = s.whole("orientation", 1, 9, 3);
    t.end_edge_angle_deg = s.take("end_edge_angle", Dimension::angle, {0, 89}, t.end_edge_angle_deg);
    t.side_edge_angle_deg = s.take("side_edge_angle", Dimension::angle, {0, 89}, t.side_edge_angle_deg);
    t.edge_length_mm = s.take("edge_length", Dimension::length, {0, 30}, 5); // a small 80 or 55 degree insert
    t.shank_mm = s.need("shank", Dimension::length, {1, 60}).value;
    t.carbide_shank = s.yes("carbide_shank", false);
    t.min_bore_mm = s.take("min_bore", Dimension::length, {1, 80}, 0);
    t.neck_mm = s.take("neck", Dimension::length, {0.5, 60}, 0);
    t.neck_length_mm = s.take("neck_length", Dimension::length, {0.5, 200}, 0);
  }
  for (const auto& other : spec.tools)
    if (other.number == t.number)
      s.complain("number", fmt::format("tool number {} is given twice.", t.number), "give every tool its own number.");
  s.finish();
  spec.tools.push_back(t);
}

} // namespace

void read_lathe_sections(Section& root, Spec& spec) {
  read_lathe(root.section("lathe", false), spec);
  for (auto& s : root.sections("tool", 40)) read_tool(s, spec);
  if (spec.tools.empty())
    root.complain("", "the spec lists no tool.", "add [[tool]] for a pilot drill and at least one boring bar.");
}

} // namespace chamber::job
