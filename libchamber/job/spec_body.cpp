#include "chamber/job/spec_sections.hpp"
#include <cmath>
#include <fmt/format.h>

namespace chamber::job {
namespace {

using units::Dimension;

void read_plug(Section s, Spec& spec) {
  auto& p = spec.task.plug;
  std::vector<std::string_view> names;
  for (const auto& t : shapes::plug_threads()) names.push_back(t.name);
  const auto& thread = shapes::plug_threads()[s.word("thread", names, std::nullopt)];
  p.thread = thread.name;
  p.major_mm = thread.major_mm;
  p.pitch_mm = thread.pitch_mm;
  p.reach_mm = s.need("reach", Dimension::length, {5, 40}).value;
  static constexpr std::string_view seats[] = {"washer", "taper"};
  const bool taper = s.word("seat", seats, 0) == 1;
  p.washer_mm = s.take("washer", Dimension::length, {0.5, 3}, taper ? 0 : 1.45);
  if (taper && s.has("washer"))
    s.complain("washer", "a taper seat has no washer.", "remove plug.washer, or write seat = \"washer\".");
  p.seat_diameter_mm = s.take("seat_diameter", Dimension::length, {thread.major_mm + 2, 60}, thread.major_mm + 10);
  p.thread_chamfer_mm = s.take("thread_chamfer", Dimension::length, {0, 5}, shapes::usual_thread_chamfer_mm(thread));
  s.finish();
}

void read_pocket(Section s, Spec& spec) {
  auto& f = spec.task.frame;
  const double major = spec.task.plug.major_mm;
  f.pocket_radius = s.take("diameter", Dimension::length, {major + 0.2, 40}, major + 1) / 2;
  f.pocket_edge = s.take("edge_round", Dimension::length, {0, 5}, 0.3);
  f.pocket_corner = s.take("corner_round", Dimension::length, {0.05, 5}, 0.5);
  const auto* thread = shapes::find_thread(spec.task.plug.thread);
  const double flat = f.pocket_radius - f.pocket_corner, hole = thread->tap_drill_mm / 2;
  if (flat < hole + 0.02)
    s.complain(
        "diameter",
        fmt::format("the pocket's roof would be flat only to diameter {:.2f} mm, inside the plug hole of {:.2f} mm.",
                    2 * flat, 2 * hole),
        fmt::format("make pocket.diameter at least {:.2f} mm or pocket.corner_round smaller.",
                    std::ceil(200 * (hole + 0.02 + f.pocket_corner) - 1e-9) / 100));
  s.finish();
}

/// Width and depth of a groove: from an O-ring's section, or as given.
void read_groove(Section& s, Spec& spec, double& width, double& depth) {
  std::vector<std::string_view> names;
  for (const auto& r : shapes::o_ring_sizes()) names.push_back(r.name);
  const shapes::ORingSize* ring = nullptr;
  if (s.has("o_ring")) ring = &shapes::o_ring_sizes()[s.word("o_ring", names, std::nullopt)];
  const Range sane{0.2, 30};
  if (ring) {
    width = s.take("width", Dimension::length, sane, (ring->width_low_mm + ring->width_high_mm) / 2);
    depth = s.take("depth", Dimension::length, sane, (ring->depth_low_mm + ring->depth_high_mm) / 2);
    spec.o_rings.push_back(shapes::groove_fill(s.path(), *ring, width, depth));
    if (spec.o_rings.back().fill > shapes::most_fill)
      s.complain("o_ring",
                 fmt::format("the ring would fill {:.0f} % of its groove ({:.2f} x {:.2f} mm).",
                             100 * spec.o_rings.back().fill, width, depth),
                 "make the groove wider: at most 85 % (common practice).");
  } else {
    width = s.need("width", Dimension::length, sane).value;
    depth = s.need("depth", Dimension::length, sane).value;
  }
}

void read_body(Section s, Spec& spec) {
  auto& b = spec.task.body;
  b.edge_break_mm = s.take("edge_break", Dimension::length, {0, 3}, 0.3);
  spec.inner_corner_mm = s.take("inner_corner", Dimension::length, {0, 3}, spec.inner_corner_mm);
  for (auto& e : s.sections("step", 12)) {
    b.steps.push_back({e.need("diameter", Dimension::length, {20, 400}).value,
                       e.need("length", Dimension::length, {0.5, 200}).value});
    e.finish();
  }
  if (s && b.steps.empty())
    s.complain("", "the body has no outside step.",
               "add [[body.step]] with diameter and length, from the sealing face up.");
  for (auto& e : s.sections("face_groove", 3)) {
    shapes::FaceGroove g;
    g.inner_diameter_mm = e.need("inner_diameter", Dimension::length, {20, 400}).value;
    read_groove(e, spec, g.width_mm, g.depth_mm);
    e.finish();
    b.face_grooves.push_back(g);
  }
  for (auto& e : s.sections("radial_groove", 4)) {
    shapes::RadialGroove g;
    g.from_face_mm = e.need("from_face", Dimension::length, {0.2, 200}).value;
    read_groove(e, spec, g.width_mm, g.depth_mm);
    e.finish();
    b.radial_grooves.push_back(g);
  }
  s.finish();
}

void read_blank(Section s, Spec& spec) {
  double widest = 0, height = 0;
  for (const auto& step : spec.task.body.steps) {
    widest = std::max(widest, step.diameter_mm);
    height += step.length_mm;
  }
  spec.material = s.text("material", "aluminium 6061-T6", 40);
  spec.blank_diameter_mm = s.take("diameter", Dimension::length, {20, 500}, widest + 3);
  spec.blank_length_mm = s.take("length", Dimension::length, {5, 500}, height + 4);
  spec.pilot_bore_mm = s.take("bore", Dimension::length, {0, 60}, 0);
  static constexpr std::string_view forms[] = {"sawn", "bar"};
  spec.chucking.bar = s.word("form", forms, 0) == 1;
  if (spec.blank_diameter_mm < widest)
    s.complain("diameter",
               fmt::format("the blank (diameter {:.2f} mm) is smaller than the body ({:.2f} mm).",
                           spec.blank_diameter_mm, widest),
               "take a larger blank.");
  if (spec.blank_length_mm < height)
    s.complain(
        "length",
        fmt::format("the blank ({:.2f} mm long) is shorter than the body ({:.2f} mm).", spec.blank_length_mm, height),
        "take a longer blank.");
  s.finish();
}

} // namespace

void read_plug_section(Section& root, Spec& spec) {
  read_plug(root.section("plug", true), spec);
}

void read_body_sections(Section& root, Spec& spec) {
  read_pocket(root.section("pocket", false), spec);
  read_body(root.section("body", true), spec);
  read_blank(root.section("blank", false), spec);
}

} // namespace chamber::job
