// Planned programs against hand geometry, the roughness figure of the handbook, and the rules of the text.
#include "chamber/turning/read.hpp"
#include "samples.hpp"
#include <catch2/catch.hpp>
#include <sstream>

using namespace chamber;
using namespace chamber::turning;
using profile::Kind;
using profile::P;

namespace {

std::vector<std::string> lines_of(const std::string& text) {
  std::vector<std::string> out;
  std::istringstream in(text);
  for (std::string line; std::getline(in, line);) out.push_back(line);
  return out;
}

/// A job about a bare chain, with a plug hole of 6 mm radius and no pocket.
Job bare_job(profile::Chain chain) {
  Job job;
  job.chamber = std::move(chain);
  job.plug_hole_radius_mm = 6;
  job.insert_height_mm = 30;
  job.stock = {80, 30, 0};
  job.tools = example_tools();
  return job;
}

const Operation& finishing(const Plan& plan) {
  return plan.operations.back();
}

} // namespace

TEST_CASE("roughness of a feed") {
  // Handbook figure: R = f^2/(8 r), f 0.2 mm, r 0.8 mm -> 6.25 micrometres.
  CHECK(roughness_of_feed(0.2, 0.8) == Approx(6.25).epsilon(1e-12));
  CHECK(feed_for_roughness(6.25, 0.8) == Approx(0.2).epsilon(1e-12));
}

TEST_CASE("the finishing feed comes from the finish asked, the tool's own feed caps it") {
  auto job = samples::job_of(shapes::Family::spherical);
  job.roughness_um = 2;
  auto p = plan(job).value();
  double feed = 0;
  for (const auto& m : finishing(p).moves) feed = std::max(feed, m.feed_mm_per_rev);
  CHECK(feed == Approx(std::sqrt(8 * 0.4 * 2e-3)).epsilon(1e-12));
  job.roughness_um = 50;
  p = plan(job).value();
  feed = 0;
  for (const auto& m : finishing(p).moves) feed = std::max(feed, m.feed_mm_per_rev);
  CHECK(feed == Approx(job.tools[2].feed_mm_per_rev));
}

TEST_CASE("nose compensation of a cone, by hand") {
  // A 45 degree cone from r = 26, z = 0 to r = 8, z = 18, then a roof. The nose centre runs rho/sqrt 2 nearer to axis
  // and face; the tip (orientation 3) lies rho farther out and rho deeper than the centre.
  const auto job = bare_job({profile::line(P{26, 0}, P{8, 18}), profile::line(P{8, 18}, P{0, 18})});
  auto with_round = job;
  with_round.chamber = {profile::line(P{26, 0}, P{9, 17}),
                        profile::arc(Kind::ccw, P{9, 17},
                                     P{9 - std::sqrt(0.5), 17 + std::sqrt(0.5) - (std::sqrt(2.0) - 1)},
                                     P{9 - std::sqrt(0.5), 17 - std::sqrt(0.5)}, 1.0),
                        profile::line(P{9 - std::sqrt(0.5), 18 - std::sqrt(0.5)}, P{0, 18 - std::sqrt(0.5)})};
  const auto p = plan(with_round).value();
  const double rho = 0.4, side = rho * std::sqrt(0.5);
  const auto& moves = finishing(p).moves;
  // The line that ends where the cone ends: centre at (9 - side, 17 - side).
  const auto end =
      std::find_if(moves.begin(), moves.end(), [](const Move& m) { return m.kind == Move::Kind::arc_ccw; });
  REQUIRE(end != moves.end());
  const Move& cone_end = *(end - 1);
  CHECK(cone_end.kind == Move::Kind::line);
  CHECK(cone_end.x_mm == Approx(9 - side + rho).margin(1e-9));
  CHECK(cone_end.z_mm == Approx(-(17 - side) - rho).margin(1e-9));
  // The round of 1 mm is cut by an arc of 0.6 mm.
  CHECK(std::hypot(end->x_mm - end->centre_x_mm, end->z_mm - end->centre_z_mm) == Approx(0.6).margin(1e-9));
}

TEST_CASE("nose compensation of a sphere, by hand") {
  // A half sphere's zone of radius 25 about (0, -5): the nose centre runs on radius 24.6 about the same centre, so the
  // tip's path is that circle moved by rho outwards and rho deeper: G3, seen with Z to the right and X up.
  const double r0 = std::sqrt(25.0 * 25 - 25);
  const auto job = bare_job({profile::arc(Kind::ccw, P{r0, 0}, P{0, 20}, P{0, -5}, 25.0)});
  const auto p = plan(job).value();
  int arcs = 0;
  for (const auto& m : finishing(p).moves) {
    if (m.kind != Move::Kind::arc_ccw) continue;
    ++arcs;
    CHECK(m.centre_x_mm == Approx(0.4).margin(1e-9));
    CHECK(m.centre_z_mm == Approx(5 - 0.4).margin(1e-9));
    CHECK(std::hypot(m.x_mm - m.centre_x_mm, m.z_mm - m.centre_z_mm) == Approx(24.6).margin(1e-9));
  }
  CHECK(arcs == 1);
}

TEST_CASE("the text keeps the rules of a careful shop") {
  for (const auto family : samples::families)
    for (const bool inch : {false, true}) {
      auto job = samples::job_of(family);
      job.machine.inch = inch;
      job.title =
          "(DEBUG, x) caf\xc3\xa9; 100% of a long title that has to be wrapped over more than a single line, surely";
      const auto text = write(plan(job).value(), job.machine);
      const auto lines = lines_of(text);
      REQUIRE(lines.size() > 50);
      CHECK(lines.front() == "%");
      CHECK(lines.back() == "%");
      CHECK(lines[lines.size() - 2] == "M30");
      CHECK(lines[1] == "O1001");
      for (const auto& line : lines) {
        INFO(line);
        CHECK(line.size() <= 70);
        for (const char c : line) CHECK((c >= 32 && c < 127 && !(c >= 'a' && c <= 'z')));
        if (line[0] == '(') CHECK(line.find(')') == line.size() - 1);
      }
      CHECK(text.find(inch ? "\nG20\n" : "\nG21\n") != std::string::npos);
      CHECK(text.find("X IS DIAMETER") != std::string::npos);
      CHECK(text.find("G96 D2500") != std::string::npos);
      CHECK(text.find("G41") == std::string::npos);
    }
}

TEST_CASE("a warning stands in the first comment") {
  const auto job = samples::job_of(shapes::Family::spherical);
  const auto lines = lines_of(write(plan(job).value(), job.machine, "the proof failed"));
  CHECK(lines[2] == "(WARNING: THE PROOF FAILED)");
}

TEST_CASE("every family is planned, written, read and proven, in mm and inch") {
  for (const auto family : samples::families)
    for (const bool inch : {false, true}) {
      INFO(shapes::name(family) << (inch ? " inch" : " mm"));
      auto job = samples::job_of(family);
      job.machine.inch = inch;
      const auto p = plan(job);
      REQUIRE(p);
      CHECK(p->operations.size() == 3);
      const auto program = read(write(*p, job.machine));
      REQUIRE(program);
      CHECK(program->inch == inch);
      CHECK(program->diameter);
      const auto proof = prove(*program, samples::part_of(job, *p), job.tools, job.machine);
      for (const auto& f : proof.failures) UNSCOPED_INFO(f.message);
      CHECK(proof.passed());
      CHECK(proof.volume_left_cc == Approx(proof.volume_expected_cc).margin(0.01));
      CHECK(proof.tools.size() == 3);
      for (const auto& t : proof.tools) CHECK(t.time_s > 1);
    }
}

TEST_CASE("a front toolpost or an existing bore changes what it should") {
  auto job = samples::job_of(shapes::Family::flat_roof);
  job.stock.bore_mm = 12;
  const auto p = plan(job).value();
  CHECK(p.operations.size() == 2);
  const auto program = read(write(p, job.machine));
  REQUIRE(program);
  CHECK(prove(*program, samples::part_of(job, p), job.tools, job.machine).passed());
}
