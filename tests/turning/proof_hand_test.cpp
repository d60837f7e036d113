// The proof on programs written by hand, with volumes worked out by hand.
#include "chamber/units/quantity.hpp"
#include "samples.hpp"
#include <catch2/catch.hpp>

using namespace chamber;
using namespace chamber::turning;
using profile::Kind;
using profile::P;

namespace {

const std::string head = "%\nO1\nG18\nG7\nG21\nG40 G80 G90\nG54\nG97 S500\nG0 Z50.\nG0 X100.\n";
const std::string home = "G0 Z50.\nG0 X100.\nM5\n";
const std::string drill = "T1 M6 G43\nG97 S1000 M3\nG95\nG0 X0. Z2.\nG1 X0. Z-36. F0.1\nG0 X0. Z2.\n" + home;
const std::string bar = "T2 M6 G43\nG96 D2000 S150 M3\nG95\n";
const std::string tail = "G97 S500\n" + home + "M30\n%\n";

std::string xz(double x_diameter, double z) {
  return " X" + units::fixed(x_diameter, 3) + " Z" + units::fixed(z, 3);
}

/// A chamber alone in a blank that is finished outside.
struct Part {
  Work work;
  Clamping clamping;
};

Part part(profile::Chain chamber, double hole_radius, double diameter, double thickness, double bore) {
  Part p;
  p.work.chamber = std::move(chamber);
  p.work.plug_hole_radius_mm = hole_radius;
  p.work.height_mm = thickness;
  p.clamping.diameter_mm = diameter;
  p.clamping.length_mm = thickness;
  p.clamping.bore_mm = bore;
  return p;
}

/// A cup 40 mm across and 10 mm deep with a bottom round of 0.4 mm, in a blank 30 mm thick, plug hole 12.6 mm.
Part cup() {
  return part({profile::line(P{20, 0}, P{20, 9.6}), profile::arc(Kind::ccw, P{20, 9.6}, P{19.6, 10}, P{19.6, 9.6}, 0.4),
               profile::line(P{19.6, 10}, P{0, 10})},
              6.3, 60, 30, 0);
}

/// Plunges every 0.6 mm of radius down to the floor, the last at the wall, then along the floor to the pilot.
std::string bore(double floor_z) {
  std::string text = bar;
  for (int k = 1; k <= 24; ++k) {
    const double x = std::min(40.0, 12 + 1.2 * k);
    text += "G0" + xz(x, 2) + "\nG1" + xz(x, k < 24 ? floor_z + 0.2 : floor_z) + (k == 1 ? " F0.1\n" : "\n");
    if (k < 24) text += "G0" + xz(x - 0.2, floor_z + 0.5) + "\nG0" + xz(x - 0.2, 2) + "\n";
  }
  return text + "G1" + xz(11.6, floor_z) + "\nG0" + xz(11.6, 2) + "\n";
}

std::vector<Tool> tools() {
  auto t = example_tools();
  t[0].max_depth_mm = 40; // drills in one stroke
  t[1].max_depth_mm = 1.5;
  return t;
}

Proof proof_of(const std::string& text, const Part& what, const std::vector<Tool>& with = tools()) {
  const auto program = read(text, Machine{});
  if (!program) UNSCOPED_INFO(to_text(program.error().front()));
  REQUIRE(program);
  const Run run{*program, what.clamping};
  Machine machine;
  machine.change_x_mm = 100; // as the texts have it
  machine.change_z_mm = 50;
  return prove(std::span(&run, 1), what.work, with, machine);
}

bool has(const Proof& p, FailureKind kind) {
  return std::any_of(p.failures.begin(), p.failures.end(), [&](const Failure& f) { return f.kind == kind; });
}

} // namespace

TEST_CASE("a cup bored by hand has the volume worked out by hand") {
  const auto proof = proof_of(head + drill + bore(-10) + tail, cup());
  for (const auto& f : proof.failures) UNSCOPED_INFO(f.message);
  CHECK(proof.passed());
  // The cylinder less the ring its bottom round leaves: section (1 - pi/4) R^2, first moment about the corner
  // (5/6 - pi/4) R^3 (Pappus).
  constexpr double pi = units::pi, r = 0.4;
  const double by_hand = (pi * 400 * 10 - 2 * pi * ((1 - pi / 4) * r * r * 20 - (5.0 / 6 - pi / 4) * r * r * r)) / 1000;
  CHECK(proof.volume_left_cc == Approx(by_hand).margin(1e-7));
  CHECK(proof.volume_error_cc < 1e-4);
  CHECK(proof.largest_gouge_mm < 1e-9);
  CHECK(proof.largest_left_mm < 1e-9);
  REQUIRE(proof.calls.size() == 2);
  // Drill: 38 mm at 0.1 mm x 1000 rpm = 22.8 s; rapids 38 + 48 + 50 mm at 5000 mm/min (the approach from X100 Z50 too).
  const double rapids = std::hypot(50, 48) + 38 + 48 + 50;
  CHECK(proof.calls[0].time_s == Approx(22.8 + rapids / 5000 * 60).epsilon(1e-6));
  // The second pass on takes 0.6 mm.
  CHECK(proof.calls[1].deepest_cut_mm == Approx(0.6).margin(0.03));
}

TEST_CASE("a program 0.03 mm too deep gouges by just that") {
  const auto proof = proof_of(head + drill + bore(-10.03) + tail, cup());
  CHECK(has(proof, FailureKind::gouge));
  CHECK(proof.largest_gouge_mm == Approx(0.03).margin(1e-9));
  CHECK(proof.gouge_z_mm == Approx(10).margin(1e-9));
}

TEST_CASE("a program 0.03 mm too shallow leaves just that") {
  const auto proof = proof_of(head + drill + bore(-9.97) + tail, cup());
  CHECK(has(proof, FailureKind::metal_left));
  CHECK(proof.largest_left_mm == Approx(0.03).margin(1e-9));
}

TEST_CASE("too little everywhere to see on the profile is still seen in the volume") {
  // 0.0045 mm on the whole floor passes as metal left and is no gouge, but makes 5.1 mm3 on 19.6 mm radius; on a cup
  // twice as wide four times that.
  const Part wide =
      part({profile::line(P{40, 0}, P{40, 2}), profile::arc(Kind::ccw, P{40, 2}, P{39.6, 2.4}, P{39.6, 2}, 0.4),
            profile::line(P{39.6, 2.4}, P{0, 2.4})},
           6.3, 100, 30, 12);
  std::string text = bar;
  for (int k = 0; k < 57; ++k) {
    const double x = std::min(80.0, 13 + 1.2 * k);
    text += "G0" + xz(x, 2) + "\nG1" + xz(x, k < 56 ? -2.2 : -2.396) + (k == 0 ? " F0.1\n" : "\n");
    if (k < 56) text += "G0" + xz(x - 0.2, -2) + "\nG0" + xz(x - 0.2, 2) + "\n";
  }
  text += "G1" + xz(11.6, -2.396) + "\nG0" + xz(11.6, 2) + "\n";
  const auto proof = proof_of(head + text + tail, wide);
  for (const auto& f : proof.failures) UNSCOPED_INFO(f.message);
  REQUIRE(proof.failures.size() == 1);
  CHECK(proof.failures[0].kind == FailureKind::volume);
  CHECK(proof.largest_left_mm == Approx(0.004).margin(1e-9));
}

TEST_CASE("a groove under standing metal, a rapid through the wall, a short drill") {
  // Straight outwards along the floor: the metal above is still there.
  const auto groove = head + drill + bar + "G0" + xz(12, 2) + "\nG1" + xz(12, -10) + " F0.1\nG1" + xz(40, -10) +
                      "\nG1" + xz(11.6, -10) + "\nG0" + xz(11.6, 2) + "\n" + tail;
  auto fat = tools();
  fat[1].max_depth_mm = 30;
  CHECK(has(proof_of(groove, cup(), fat), FailureKind::undercut));

  auto text = bore(-10);
  text.replace(text.find("G1" + xz(20.4, -9.8)), 2, "G0");
  CHECK(has(proof_of(head + drill + text + tail, cup()), FailureKind::rapid_through_metal));

  auto short_drill = drill;
  short_drill.replace(short_drill.find("Z-36."), 5, "Z-32.");
  // The point of 118 degrees is 3.605 mm long: at Z-32 the full diameter has come to 28.4 of 30 mm.
  const auto proof = proof_of(head + short_drill + bore(-10) + tail, cup());
  REQUIRE(has(proof, FailureKind::pilot));

  auto off = drill;
  off.replace(off.find("X0. Z-36."), 9, "X0.2 Z-36.");
  CHECK(has(proof_of(head + off + bore(-10) + tail, cup()), FailureKind::drill_off_centre));
}
