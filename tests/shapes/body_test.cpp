// The whole insert: what metal, cavity, hole, seat and grooves add up to is the block they were cut from.
#include "body_samples.hpp"
#include "chamber/profile/distance.hpp"
#include <catch2/catch.hpp>
#include <rapidcheck/catch.h>

using namespace chamber::shapes;
using namespace chamber::shapes::testing;
namespace profile = chamber::profile;

namespace {

double cylinder(double diameter, double height) {
  return pi / 4 * diameter * diameter * height;
}
double ring(double outer, double inner, double height) {
  return pi * (outer * outer - inner * inner) * height;
}
/// A 45 degree break of size b on an edge at radius r that is cut inwards: a triangle b^2/2, its centroid at r - b/3
/// (Pappus).
double edge_ring(double r, double b) {
  return 2 * pi * (r - b / 3) * b * b / 2;
}

/// Closed, counter-clockwise, free of crossings, every face named.
void check_sound(const Insert& insert) {
  const auto chain = chain_of(insert.outline);
  CHECK_FALSE(profile::broken_at(chain));
  CHECK(profile::length(chain.back().end - chain.front().start) < 1e-9);
  CHECK_FALSE(profile::self_crossing(chain));
  CHECK(profile::swept_volume(chain) > 0);
  for (const auto& n : insert.outline) {
    CHECK_FALSE(n.face.empty());
    CHECK(profile::arc_length(n.segment) > 1e-6);
  }
  CHECK(std::abs(profile::swept_volume_by_quadrature(chain) - profile::swept_volume(chain)) <
        1e-11 * profile::swept_volume(chain));
}

std::vector<std::string> faces(const Insert& insert) {
  std::vector<std::string> out;
  for (const auto& n : insert.outline)
    if (out.empty() || out.back() != n.face) out.push_back(n.face);
  return out;
}

/// The hole's and the seat's share of the block. The hole is drilled 12.75 for M14x1.25 (common practice, no source).
double hole_and_seat(const Insert& insert, const Plug& plug) {
  return cylinder(12.75, insert.seat_z_mm - insert.roof_z_mm) +
         cylinder(plug.seat_diameter_mm, insert.height_mm - insert.seat_z_mm);
}

} // namespace

TEST_CASE("one step: metal, cavity, hole and seat make the block") {
  const auto c = plain_chamber();
  const auto plug = plain_plug();
  const auto insert = assemble(c, plain_body(), plug).value();
  check_sound(insert);
  CHECK(insert.height_mm == 40);
  CHECK(insert.roof_z_mm == Approx(14));
  CHECK(insert.seat_z_mm == Approx(14 + 19 - 1.5));
  CHECK(insert.hole_radius_mm == 12.75 / 2);
  CHECK(seat_above_roof_mm(plug) == 17.5);
  CHECK(metal_mm3(insert) + cavity_mm3(c) + hole_and_seat(insert, plug) == Approx(cylinder(90, 40)).epsilon(1e-12));
  CHECK(faces(insert) == std::vector<std::string>{"sealing face", "step 1", "top face", "plug seat wall", "plug seat",
                                                  "plug hole", "pocket roof", "pocket wall", "bowl roof", "bowl corner",
                                                  "bowl wall", "squish band"});
}

TEST_CASE("a thread chamfer takes a triangle's ring off the hole's edge") {
  const auto c = plain_chamber();
  auto plug = plain_plug();
  const auto sharp = assemble(c, plain_body(), plug).value();
  plug.thread_chamfer_mm = 0.775;
  const auto insert = assemble(c, plain_body(), plug).value();
  check_sound(insert);
  // Pappus: section c^2/2, centroid c/3 outside the hole's wall of radius 6.375.
  CHECK(metal_mm3(sharp) - metal_mm3(insert) == Approx(2 * pi * (6.375 + 0.775 / 3) * 0.775 * 0.775 / 2).epsilon(1e-9));
  const auto f = faces(insert);
  CHECK(*(std::find(f.begin(), f.end(), "plug seat") + 1) == "thread chamfer");
  CHECK(*(std::find(f.begin(), f.end(), "thread chamfer") + 1) == "plug hole");
  // Usual: mouth 0.3 mm over the major diameter of 14 from a hole of 12.75 (common practice, no source).
  CHECK(usual_thread_chamfer_mm(*find_thread("M14x1.25")) == Approx((14.3 - 12.75) / 2));
  // Without a spotface it breaks the top face.
  plug.reach_mm = 27.5;
  const auto flush = faces(assemble(c, plain_body(), plug).value());
  CHECK(*(std::find(flush.begin(), flush.end(), "top face") + 1) == "thread chamfer");
  plug = plain_plug();
  plug.thread_chamfer_mm = (24 - 12.75) / 2;
  const auto wide = assemble(c, plain_body(), plug);
  REQUIRE_FALSE(wide);
  CHECK(wide.error().message.find("thread chamfer opens the plug hole to 24.00 mm") != std::string::npos);
}

TEST_CASE("the cavity is the chamber's own volume, closed and counter-clockwise") {
  for (const auto family : families)
    rc::prop(std::string(name(family)), [family] {
      const auto s = feasible(family);
      const auto c = build(s.frame, s.dimensions);
      const auto chain = chain_of(cavity_outline(c));
      RC_ASSERT_FALSE(profile::broken_at(chain).has_value());
      RC_ASSERT_FALSE(profile::self_crossing(chain).has_value());
      RC_ASSERT(profile::length(chain.back().end - chain.front().start) < 1e-9);
      RC_ASSERT(std::abs(profile::swept_volume(chain) - volume(s)) < 1e-9 * volume(s));
      RC_ASSERT(profile::inside({0.01, c.roof_z / 2}, chain));
      RC_ASSERT(!profile::inside({0.01, c.roof_z + 1}, chain));
    });
}

TEST_CASE("a flat band in the sealing plane is no part of the cavity's outline") {
  const auto outline = cavity_outline(plain_chamber());
  const auto chain = chain_of(outline);
  CHECK(outline.front().face == "bowl wall");
  CHECK(outline.back().face == "sealing plane");
  CHECK(outline.back().segment.end.r == Approx(24));
  CHECK_FALSE(profile::self_crossing(chain));
  CHECK(profile::length(chain.back().end - chain.front().start) < 1e-12);
  // With a recess it is.
  auto f = plain_frame(Family::flat_roof);
  f.edge_height = 0.5;
  CHECK(cavity_outline(build(f, Dimensions<double>{5, 11, 9, 0, 3})).front().face == "recess wall");
}

TEST_CASE("steps, grooves and edge breaks each take their ring from the block") {
  const auto c = plain_chamber();
  const auto plug = plain_plug();
  BodySpec body;
  body.steps = {{90, 12}, {104, 10}, {88, 18}}; // out, then in
  body.face_grooves = {{70, 3.6, 2}, {80, 2.6, 1.3}};
  body.radial_grooves = {{2, 3.6, 2}, {25, 3.6, 2.1}};
  body.edge_break_mm = 0.5;
  const auto insert = assemble(c, body, plug).value();
  check_sound(insert);
  CHECK(insert.height_mm == 40);
  const double block = cylinder(90, 12) + cylinder(104, 10) + cylinder(88, 18);
  const double grooves = ring(38.6, 35, 2) + ring(42.6, 40, 1.3) + ring(45, 43, 3.6) + ring(44, 41.9, 3.6);
  // Broken: the foot of step 1, both edges of the flange, the top of step 3. The two inner corners stay sharp.
  const double breaks = edge_ring(45, 0.5) + 2 * edge_ring(52, 0.5) + edge_ring(44, 0.5);
  CHECK(metal_mm3(insert) + cavity_mm3(c) + hole_and_seat(insert, plug) + grooves + breaks ==
        Approx(block).epsilon(1e-12));
  const auto named = faces(insert);
  for (const auto* face : {"face groove 1", "face groove 2", "radial groove 1", "radial groove 2", "edge break",
                           "step 1", "step 2", "step 3", "shoulder 1", "shoulder 2", "top face"}) {
    INFO(face);
    CHECK(std::count(named.begin(), named.end(), face) >= 1);
  }
}

TEST_CASE("a seat level with the top face needs no spotface") {
  const auto c = plain_chamber();
  auto body = plain_body();
  body.steps[0].length_mm = 31.5;
  const auto insert = assemble(c, body, plain_plug()).value();
  check_sound(insert);
  CHECK(insert.seat_z_mm == 31.5);
  const auto named = faces(insert);
  CHECK(std::count(named.begin(), named.end(), "plug seat") == 0);
  CHECK(metal_mm3(insert) + cavity_mm3(c) + cylinder(12.75, 17.5) == Approx(cylinder(90, 31.5)).epsilon(1e-12));
}

TEST_CASE("the hole follows the thread") {
  const auto c = plain_chamber();
  for (const auto& t : plug_threads()) {
    const Plug plug{std::string(t.name), t.major_mm, t.pitch_mm, 19, 1.5, 24};
    const auto insert = assemble(c, plain_body(), plug).value();
    CHECK(insert.hole_radius_mm == t.tap_drill_mm / 2);
    CHECK(metal_mm3(insert) + cavity_mm3(c) + cylinder(t.tap_drill_mm, 17.5) + cylinder(24, 8.5) ==
          Approx(cylinder(90, 40)).epsilon(1e-12));
  }
  CHECK_THROWS_AS(assemble(c, plain_body(), Plug{"M13x1", 13, 1, 19, 1.5, 24}), std::logic_error);
}

TEST_CASE("the outside faces are what a wall is measured to") {
  const auto c = plain_chamber();
  auto body = plain_body();
  body.face_grooves = {{70, 3.6, 2}};
  const auto outside = outside_faces(body, plain_plug(), 33, c.roof_z);
  for (const auto& n : outside) CHECK(n.face != "sealing face");
  // The groove's inner wall at r = 35 is 2 mm from the recess' rim (r = 33), both meeting the sealing face.
  CHECK(profile::nearest(profile::ChainView(chain_of(c)), chain_of(outside)).distance == Approx(2));
  // Pocket roof z = 14, seat z = 31.5: nothing of the seat is nearer to the pocket roof's edge than that.
  std::vector<NamedSegment> seat;
  for (const auto& n : outside)
    if (n.face == "plug seat") seat.push_back(n);
  REQUIRE(seat.size() == 1);
  CHECK(profile::nearest(profile::ChainView(chain_of(c)), chain_of(seat)).distance == Approx(17.5));
}

TEST_CASE("whatever chamber fits, the block is shared out without a rest") {
  for (const auto family : families)
    rc::prop(std::string(name(family)), [family] {
      const auto s = feasible(family);
      const auto c = build(s.frame, s.dimensions);
      const Plug plug{"M10x1", 10, 1, 19, 1.5, 20};
      BodySpec body;
      const double d = 2 * s.frame.rim_radius + 30;
      body.steps = {{d, c.roof_z / 2 + 10}, {d - 8, c.roof_z / 2 + 15}};
      body.face_grooves = {{2 * s.frame.rim_radius + 6, 3.6, 2}};
      body.radial_grooves = {{4, 3.6, 2}};
      body.edge_break_mm = 0.4;
      const auto insert = assemble(c, body, plug);
      if (!insert) RC_FAIL(insert.error().message);
      const double r1 = d / 2, r2 = d / 2 - 4, inner = s.frame.rim_radius + 3;
      const double block = cylinder(d, body.steps[0].length_mm) + cylinder(d - 8, body.steps[1].length_mm);
      const double cut = cavity_mm3(c) + cylinder(9, insert->seat_z_mm - insert->roof_z_mm) +
                         cylinder(20, insert->height_mm - insert->seat_z_mm) + ring(inner + 3.6, inner, 2) +
                         ring(r1, r1 - 2, 3.6) + 2 * edge_ring(r1, 0.4) + edge_ring(r2, 0.4);
      RC_ASSERT(std::abs(metal_mm3(*insert) + cut - block) < 1e-10 * block);
      RC_ASSERT_FALSE(profile::self_crossing(chain_of(insert->outline)).has_value());
    });
}
