// What a program leaves without a drawing to go by: by hand, and against the proof of whole inserts.
#include "chamber/profile/distance.hpp"
#include "chamber/profile/integrals.hpp"
#include "chamber/turning/leftover.hpp"
#include "whole_samples.hpp"
#include <catch2/catch.hpp>

using namespace chamber;
using namespace chamber::turning;

namespace {

constexpr double pi = 3.14159265358979323846;

/// Bores radius 20 to depth 10 with a nose of 0.4, in to radius 4.
std::string bored(std::string_view moves = "G0 X40. Z2.\nG1 X40. Z-10. F0.15\nG1 X8. Z-10.\n") {
  return "%\nO0042\n(JOB: BY HAND)\nG18\nG7\nG21\nG40 G80 G90\nG54\nG97 S500\nG0 Z50.\nG0 X100.\nT2 M6 G43\n"
         "G96 D2000 S150 M3\nM8\nG95\n" +
         std::string(moves) + "G0 X8. Z50.\nG0 X100.\nG97 S500\nM9\nM5\nM30\n%\n";
}

Tool bar() {
  Tool t;
  t.number = 2;
  t.kind = ToolKind::boring;
  t.nose_radius_mm = 0.4;
  t.orientation = 3;
  t.shank_mm = 8;
  t.reach_mm = 40;
  t.max_depth_mm = 1;
  return t;
}

Result<Leftover> left(const std::string& text, const LeftoverOptions& o) {
  const auto program = read(text, Machine{});
  INFO((program ? std::string() : to_text(program.error()[0])));
  REQUIRE(program);
  const Tool t = bar();
  return leftover(*program, std::span(&t, 1), o);
}

double volume(const Leftover& l) {
  return profile::swept_volume(profile::ChainView(l.chain));
}

/// A cylinder of radius 20, depth 10, less the metal that a nose of 0.4 leaves in its corner. The corner's section has
/// (1 - pi/4) of the nose's square, and the first moment about the wall is that of the square less the quarter
/// circle's: (5/6 - pi/4) rho^3; Pappus gives the volume.
double by_hand(double depth) {
  constexpr double rho = 0.4;
  return pi * 400 * depth - 2 * pi * (20 * (1 - pi / 4) * rho * rho - (5.0 / 6 - pi / 4) * rho * rho * rho);
}

} // namespace

TEST_CASE("leftover: a bored hole by hand", "[leftover]") {
  const auto l = left(bored(), {6, 0, 0});
  REQUIRE(l);
  CHECK(volume(*l) == Approx(by_hand(10)).epsilon(2e-6));
  CHECK(l->hole_radius_mm == 6);
  CHECK(l->chain.front().start.r == Approx(20).margin(1e-5));
  CHECK(l->chain.front().start.z == Approx(0).margin(1e-9));
  CHECK(l->chain.back().end.r == 0);
  CHECK(l->chain.back().end.z == Approx(10).margin(1e-6));
  CHECK_FALSE(profile::broken_at(l->chain));
  CHECK(l->cautions.empty());
}

TEST_CASE("leftover: a face behind Z0 is the sealing face", "[leftover]") {
  // Faced 1 mm deep out to radius 45, and the chamber as before: 1 mm less of it is left.
  const auto l =
      left(bored("G0 X90. Z-1.\nG1 X8. Z-1. F0.15\nG0 Z2.\nG0 X40. Z2.\nG1 X40. Z-10.\nG1 X8. Z-10.\n"), {6, 80, 40});
  INFO((l ? "" : to_text(l.error())));
  REQUIRE(l);
  CHECK(volume(*l) == Approx(by_hand(9)).epsilon(2e-6));
  CHECK(l->chain.front().start.z == Approx(0).margin(1e-9));
  CHECK(l->chain.back().end.z == Approx(9).margin(1e-6));
  CHECK(l->taken.size() == 2);
}

TEST_CASE("leftover: what cannot be told is asked", "[leftover]") {
  const auto unknown = left(bored(), {});
  REQUIRE_FALSE(unknown);
  CHECK(unknown.error().message.find("no tool cuts nearer to the axis") != std::string::npos);
  CHECK(unknown.error().cure.find("--hole") != std::string::npos);
  const auto ring = left(bored(), {3, 0, 0});
  REQUIRE_FALSE(ring);
  CHECK(ring.error().message.find("ring of metal") != std::string::npos);
  const auto nothing = left(bored("G0 X40. Z2.\nG1 X40. Z1. F0.15\n"), {6, 0, 0});
  REQUIRE_FALSE(nothing);
  CHECK(nothing.error().message.find("cuts no chamber") != std::string::npos);
  // A blank as narrow as the chamber has no face left.
  CHECK_FALSE(left(bored(), {6, 40, 40}));
  const auto program = read(bored(), Machine{}).value();
  const auto no_tool = leftover(program, {}, {6, 0, 0});
  REQUIRE_FALSE(no_tool);
  CHECK(no_tool.error().message.find("tool 2") != std::string::npos);
}

TEST_CASE("leftover: metal left under a cut is said", "[leftover]") {
  // From the hole outwards at depth 10: what stands over the cut stays.
  const auto l = left(bored("G0 X8. Z-10.\nG1 X40. Z-10. F0.15\nG1 X30. Z-10.\nG0 X8. Z-10.\n"), {6, 80, 40});
  INFO((l ? "" : to_text(l.error())));
  REQUIRE(l);
  bool said = false;
  for (const auto& c : l->cautions) said = said || c.find("under its cut") != std::string::npos;
  CHECK(said);
}

TEST_CASE("leftover: whole inserts of every family, as the proof has it", "[leftover]") {
  for (const auto family : samples::families) {
    const auto job = samples::whole_job(family);
    const auto plan = turning::plan(job);
    REQUIRE(plan);
    std::vector<Run> runs;
    for (std::size_t i = 0; i < plan->setups.size(); ++i)
      runs.push_back({read(write(*plan, i, job.machine), job.machine).value(), plan->setups[i].clamping});
    const auto proof = prove(runs, samples::work_of(job, *plan), job.tools, job.machine);
    for (const auto& run : runs) {
      const auto l = leftover(run.program, job.tools, {job.thread.minor_high_mm / 2, 0, 0});
      if (run.clamping.side == Side::top) continue; // its seat looks like a chamber, and its header says what it is
      INFO(shapes::name(family) << (l ? "" : ": " + to_text(l.error())));
      REQUIRE(l);
      CHECK(volume(*l) / 1000 == Approx(proof.volume_left_cc).margin(5e-4));
      CHECK(l->chain.back().end.z == Approx(job.chamber.back().end.z).margin(2e-3));
      CHECK(l->chain.front().start.r == Approx(job.chamber.front().start.r).margin(5e-3));
      for (const auto& c : l->cautions) UNSCOPED_INFO(c);
      CHECK(l->cautions.empty());
      // Nowhere farther from the drawing than the proof allows metal or gouges.
      double most = 0;
      for (const auto& s : l->chain) {
        const double off = profile::nearest(s.start, profile::ChainView(plan->finished)).distance;
        if (off > 0.01) UNSCOPED_INFO("r " << s.start.r << ", z " << s.start.z << ": " << off);
        most = std::max(most, off);
      }
      CHECK(most < 0.01);
    }
  }
}
