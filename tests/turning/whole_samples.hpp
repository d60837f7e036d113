#pragma once
// Whole inserts with invented dimensions, all families, and tool lists that suit or do not quite.
#include "chamber/shapes/body.hpp"
#include "samples.hpp"

namespace samples {

/// The outside and the grooves of a body as the planner wants them.
inline bool dress(turning::Job& job, const shapes::Chamber<double>& chamber, const shapes::BodySpec& body,
                  const shapes::Plug& plug) {
  const auto insert = shapes::assemble(chamber, body, plug);
  auto plain = body;
  plain.face_grooves.clear();
  plain.radial_grooves.clear();
  const auto smooth = shapes::assemble(chamber, plain, plug);
  if (!insert || !smooth) return false;
  for (const auto& n : smooth->outline) {
    if (n.face == "plug hole") break;
    job.outside.push_back(n.segment);
    job.outside_names.push_back(n.face);
  }
  job.plug_hole_radius_mm = insert->hole_radius_mm;
  job.height_mm = insert->height_mm;
  for (const auto& g : body.face_grooves)
    job.grooves.push_back(
        {"face groove", true, g.inner_diameter_mm / 2, g.inner_diameter_mm / 2 + g.width_mm, 0, g.depth_mm});
  for (const auto& g : body.radial_grooves) {
    double z = 0;
    for (const auto& s : body.steps) {
      if (g.from_face_mm >= z && g.from_face_mm < z + s.length_mm)
        job.grooves.push_back({"radial groove", false, s.diameter_mm / 2 - g.depth_mm, s.diameter_mm / 2,
                               g.from_face_mm, g.from_face_mm + g.width_mm});
      z += s.length_mm;
    }
  }
  const auto* t = shapes::find_thread(plug.thread);
  job.thread = {plug.thread, t->major_mm, t->pitch_mm, t->minor_low_mm, t->minor_high_mm};
  return true;
}

/// A whole insert round a sample chamber of the family.
inline turning::Job whole_job(shapes::Family family) {
  const auto chamber = shapes::build(frame_of(family), dimensions_of(family));
  auto job = job_of(chamber);
  shapes::BodySpec body;
  body.edge_break_mm = 0.3;
  body.steps = {{92, 8}, {78, 16}, {44, chamber.roof_z + 20 - 24}};
  body.face_grooves = {{71, 3.6, 1.9}};
  body.radial_grooves = {{13, 3.6, 1.9}};
  shapes::Plug plug{"M14x1.25", 14, 1.25, 19, 1.45, 26};
  if (!dress(job, chamber, body, plug)) throw std::logic_error("whole_job: the body does not go with the chamber");
  job.stock = {95, job.height_mm + 5, 0};
  job.tools = turning::example_whole_tools();
  return job;
}

/// A random feasible insert: chamber as random_job, body and tools round it.
inline turning::Job random_whole_job(unsigned seed) {
  std::mt19937 engine(seed);
  const auto in = [&](double a, double b) { return std::uniform_real_distribution<>(a, b)(engine); };
  const auto one_of = [&](int n) { return std::uniform_int_distribution<>(0, n - 1)(engine); };
  for (;;) {
    auto [job, chamber] = random_chamber_job(static_cast<unsigned>(engine()));
    const double hole = job.plug_hole_radius_mm;
    const auto& size = shapes::plug_threads()[hole > 6 ? 0u : hole > 5 ? 1u : 2u];
    shapes::Plug plug{std::string(size.name),   size.major_mm, size.pitch_mm, in(9.5, 19), one_of(2) ? 1.45 : 0,
                      size.major_mm + in(4, 12)};
    shapes::BodySpec body;
    body.edge_break_mm = one_of(4) ? in(0.1, 0.6) : 0;
    const double rim = chamber.chain[0].start.r, seat = chamber.roof_z + shapes::seat_above_roof_mm(plug);
    const double height = seat + (one_of(3) ? in(0.3, 6) : 0);
    const double widest = 2 * rim + in(8, 30);
    const double flange = std::min(in(7, 16), height - 4);
    double top = flange;
    if (one_of(4) == 0) body.steps.push_back({widest - in(2, 6), in(2, 4)}), top += body.steps[0].length_mm;
    body.steps.push_back({widest, flange});
    double d = widest;
    while (height - top > 3 && body.steps.size() < 4) {
      d -= in(3, 12);
      if (d < plug.seat_diameter_mm + 5) break;
      const bool last = height - top < 8 || one_of(2);
      body.steps.push_back({d, last ? height - top : in(3, height - top - 3)});
      top += body.steps.back().length_mm;
    }
    body.steps.back().length_mm += height - top;
    if (one_of(2)) body.face_grooves.push_back({2 * rim + in(1, 3), in(2.6, 4), in(1, 2.2)});
    double z = 0;
    for (const auto& s : body.steps) {
      if (one_of(2) && s.length_mm > 6)
        body.radial_grooves.push_back({z + in(1, s.length_mm - 5), in(2.1, 4), in(0.8, 2)});
      z += s.length_mm;
    }
    if (!dress(job, chamber, body, plug)) continue;
    job.stock = {widest + in(0.6, 6), job.height_mm + in(1.5, 12), 0};
    job.chucking.face_mm = in(0.3, 1.1);
    job.chucking.grip_mm = in(4, 8);
    if (one_of(6) == 0)
      job.chucking.first = turning::Side::top, job.chucking.second = turning::Chucking::Second::mandrel;
    job.inner_corner_mm = std::max(in(0.4, 0.8), job.tools[2].nose_radius_mm);
    auto tools = turning::example_whole_tools();
    const auto bars = job.tools; // those of the chamber
    tools[0].diameter_mm = size.tap_drill_mm - (one_of(2) ? 0.05 : 0);
    for (std::size_t i = 1; i < 3; ++i) tools[i] = bars[i];
    tools[3].nose_radius_mm = one_of(2) ? 0.4 : 0.2;
    tools[3].max_depth_mm = in(0.7, 3);
    tools[3].purpose = turning::Purpose::any;
    for (const std::size_t i : {4u, 5u})
      tools[i].width_mm = in(1.2, 2.5), tools[i].orientation = one_of(2) ? 2 : (i == 4 ? 1 : 3);
    tools[5].face_min_mm = 30;
    tools[6].shank_mm = tools[6].min_bore_mm = size.tap_drill_mm - 2.5;
    tools[6].reach_mm = 7 * tools[6].shank_mm;
    if (one_of(2)) {
      turning::Tool tap;
      tap.number = 8;
      tap.kind = turning::ToolKind::tap;
      tap.name = "tap";
      tap.diameter_mm = size.major_mm;
      tap.pitch_mm = size.pitch_mm;
      tap.chamfer_mm = in(1, 3);
      tap.reach_mm = 80;
      tap.cutting_speed_m_per_min = 10;
      tap.feed_mm_per_rev = size.pitch_mm;
      tools.push_back(tap);
    }
    if (one_of(2)) {
      turning::Tool mark = tools[0];
      mark.number = 9;
      mark.purpose = turning::Purpose::centring;
      mark.diameter_mm = in(6, 16);
      mark.point_angle_deg = one_of(2) ? 90 : 120;
      tools.push_back(mark);
    }
    for (auto& t : tools)
      if (t.kind == turning::ToolKind::drill) t.reach_mm = 200;
    job.tools = std::move(tools);
    job.machine.change_z_mm = 300; // the drill is very long
    job.machine.dialect = one_of(2) ? "rs274" : "type-a";
    job.machine.toolpost = one_of(2) ? turning::Toolpost::rear : turning::Toolpost::front;
    job.machine.arcs_from_above = job.machine.dialect == "type-a" && one_of(2);
    job.nose_by_control = one_of(3) == 0;
    job.measure_stops = one_of(3) == 0;
    return job;
  }
}

} // namespace samples
