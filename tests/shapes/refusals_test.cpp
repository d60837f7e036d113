// Every contradiction between body, grooves, plug and chamber is refused, by its own words and with a cure.
#include "body_samples.hpp"
#include <catch2/catch.hpp>

using namespace chamber::shapes;
using namespace chamber::shapes::testing;

namespace {

void refused(const BodySpec& body, const Plug& plug, const Chamber<double>& c, const std::string& words) {
  INFO(words);
  const auto insert = assemble(c, body, plug);
  REQUIRE_FALSE(insert);
  INFO(insert.error().message);
  CHECK(insert.error().message.find(words) != std::string::npos);
  CHECK_FALSE(insert.error().cure.empty());
}
void refused(const BodySpec& body, const std::string& words) {
  refused(body, plain_plug(), plain_chamber(), words);
}

} // namespace

TEST_CASE("what the refusals start from is accepted") {
  REQUIRE(assemble(plain_chamber(), plain_body(), plain_plug()));
}

TEST_CASE("steps that cannot be") {
  auto body = plain_body();
  body.steps.clear();
  refused(body, "no outside step");
  body = plain_body();
  body.steps.push_back({80, 1});
  body.edge_break_mm = 0.5;
  refused(body, "too short for its edge breaks");
  body = plain_body();
  body.steps[0].length_mm = 0;
  refused(body, "too short");
  body = plain_body();
  body.steps.push_back({89, 5});
  body.edge_break_mm = 0.5;
  refused(body, "differ by less than an edge break");
}

TEST_CASE("face grooves that cannot be") {
  auto body = plain_body();
  body.face_grooves = {{66, 3, 2}}; // begins at the rim itself
  refused(body, "inside the rim");
  body.face_grooves = {{70, 3, 2}, {75, 3, 2}}; // the second begins inside the first
  refused(body, "groove before it");
  body.face_grooves = {{80, 3, 2}, {70, 3, 2}}; // listed from the outside in
  refused(body, "groove before it");
  body.face_grooves = {{84, 3, 2}}; // ends at the outside
  refused(body, "rim and face grooves need");
  body.face_grooves = {};
  body.steps = {{66, 40}}; // no sealing face left
  refused(body, "rim and face grooves need");
}

TEST_CASE("radial grooves that cannot be") {
  auto body = plain_body();
  body.steps = {{90, 20}, {84, 20}};
  body.radial_grooves = {{18, 4, 2}}; // across the shoulder
  refused(body, "does not lie within one outside step");
  body.radial_grooves = {{0, 4, 2}}; // open to the sealing face
  refused(body, "does not lie within one outside step");
  body.radial_grooves = {{38, 4, 2}}; // beyond the top
  refused(body, "does not lie within one outside step");
  body.radial_grooves = {{5, 4, 25}}; // deeper than half the radius
  refused(body, "does not lie within one outside step");
  body.radial_grooves = {{5, 4, 2}, {8, 4, 2}};
  refused(body, "overlap or are out of order");
  body.radial_grooves = {{12, 4, 2}, {5, 4, 2}};
  refused(body, "overlap or are out of order");
}

TEST_CASE("plugs that cannot be") {
  auto body = plain_body();
  body.steps[0].length_mm = 30;
  refused(body, "above the top face"); // seat at 31.5
  auto plug = plain_plug();
  plug.seat_diameter_mm = 90;
  refused(plain_body(), plug, plain_chamber(), "wider than the top step");
  plug.seat_diameter_mm = 12.75;
  refused(plain_body(), plug, plain_chamber(), "no wider than the plug hole");
  plug.seat_diameter_mm = 0;
  refused(plain_body(), plug, plain_chamber(), "no wider than the plug hole");
  plug.thread_chamfer_mm = 0.775; // the chamfer is not what stands in the way
  refused(plain_body(), plug, plain_chamber(), "no wider than the plug hole");
  plug.seat_diameter_mm = 14;
  refused(plain_body(), plug, plain_chamber(), "the thread chamfer opens the plug hole to 14.30 mm");
  plug = plain_plug();
  plug.washer_mm = 19;
  refused(plain_body(), plug, plain_chamber(), "whole reach");
  // A pocket as wide as the hole has no roof round it.
  auto f = plain_frame(Family::flat_roof);
  f.pocket_radius = 6.3;
  refused(plain_body(), plain_plug(), build(f, Dimensions<double>{5, 11, 9, 0, 3}),
          "leaves no roof round the plug hole");
  // Nor has one whose corner round eats it: 7.5 - 1.2 = 6.3.
  f.pocket_radius = 7.5;
  f.pocket_corner = 1.2;
  refused(plain_body(), plain_plug(), build(f, Dimensions<double>{5, 11, 9, 0, 3}),
          "leaves no roof round the plug hole");
}

TEST_CASE("cuts that run into each other") {
  auto body = plain_body();
  body.steps = {{90, 9}, {46, 31}}; // the second step is narrower than the bowl (r = 24 up to z = 6, 23 at z = 9)
  refused(body, "cuts through");
  body = plain_body();
  body.radial_grooves = {{3, 4, 22}}; // down to r = 23, into the bowl's wall at r = 24
  refused(body, "cuts through");
  body = plain_body();
  body.face_grooves = {{84, 1, 8}};
  body.radial_grooves = {{4, 3, 4}}; // both at r = 41..43, z = 4..8
  refused(body, "runs into the face groove at diameter 84.00 mm");
}
