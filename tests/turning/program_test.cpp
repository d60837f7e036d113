// Planned programs against hand geometry, the roughness figure of the handbook, and the rules of the text.
#include "chamber/turning/read.hpp"
#include "whole_samples.hpp"
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
  job.height_mm = 30;
  job.stock = {80, 30, 0};
  job.tools = example_tools();
  return job;
}

const Operation& finishing(const Plan& plan) {
  return plan.setups.at(0).operations.back();
}

std::vector<std::string_view> dialects() {
  const auto all = dialect_names();
  return {all.begin(), all.end()};
}

int count(const std::vector<std::string>& lines, std::string_view start) {
  return static_cast<int>(
      std::count_if(lines.begin(), lines.end(), [&](const auto& l) { return l.starts_with(start); }));
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

TEST_CASE("the text keeps the rules of a careful shop, in every dialect") {
  for (const auto family : samples::families)
    for (const bool inch : {false, true})
      for (const auto dialect : dialects()) {
        auto job = samples::whole_job(family);
        job.machine.inch = inch;
        job.machine.dialect = dialect;
        job.title =
            "(DEBUG, x) caf\xc3\xa9; 100% of a long title that has to be wrapped over more than a single line, surely";
        const auto p = plan(job).value();
        REQUIRE(p.setups.size() == 2);
        for (std::size_t i = 0; i < 2; ++i) {
          const auto text = write(p, i, job.machine);
          const auto lines = lines_of(text);
          REQUIRE(lines.size() > 50);
          CHECK(lines.front() == "%");
          CHECK(lines.back() == "%");
          CHECK(lines[lines.size() - 2] == "M30");
          CHECK(lines[1] == (i == 0 ? "O1001" : "O1002"));
          for (const auto& line : lines) {
            INFO(line);
            CHECK(line.size() <= 70);
            for (const char c : line) CHECK((c >= 32 && c < 127 && !(c >= 'a' && c <= 'z')));
            if (line[0] == '(') CHECK(line.find(')') == line.size() - 1);
          }
          CHECK(text.find(inch ? "\nG20\n" : "\nG21\n") != std::string::npos);
          CHECK(text.find("X IS DIAMETER") != std::string::npos);
          CHECK(text.find(i == 0 ? "(SIDE: CHAMBER SIDE TOWARDS THE TAILSTOCK"
                                 : "(SIDE: TOP SIDE TOWARDS THE TAILSTOCK") != std::string::npos);
          CHECK(text.find("G41") == std::string::npos);
          for (const auto label : {"JOB", "CLAMPING", "ZERO", "STOCK", "LATHE", "NOSE", "CAUTION"})
            CHECK(count(lines, std::string("(") + label + ": ") >= 1);
        }
      }
}

TEST_CASE("words of rs274") {
  const auto job = samples::whole_job(shapes::Family::spherical);
  const auto p = plan(job).value();
  const auto lines = lines_of(write(p, 1, job.machine));
  CHECK(count(lines, "G40 G80 G90") == 1);
  CHECK(count(lines, "G96 D2500 S") > 2);
  CHECK(count(lines, "T7 M6 G43") == 1);
  CHECK(count(lines, "G33 X") > 5);
  CHECK(count(lines, "G95") == static_cast<int>(p.setups[1].operations.size()));
}

TEST_CASE("words of type-A: no G90, a clamp before every constant speed") {
  auto job = samples::whole_job(shapes::Family::spherical);
  job.machine.dialect = "type-a";
  const auto p = plan(job).value();
  for (std::size_t i = 0; i < 2; ++i) {
    const auto lines = lines_of(write(p, i, job.machine));
    for (const auto word : {"G90", "G92", "G94", "G95", "G98", "G7", "G8", "G18", "G33", "G43"})
      for (const auto& l : lines)
        if (l[0] != '(') {
          INFO(l);
          CHECK((" " + l + " ").find(std::string(" ") + word + " ") == std::string::npos);
        }
    for (std::size_t k = 1; k < lines.size(); ++k)
      if (lines[k].starts_with("G96")) CHECK(lines[k - 1] == "G50 S2500");
    CHECK(count(lines, "G99") == static_cast<int>(p.setups[i].operations.size()));
  }
  const auto second = lines_of(write(p, 1, job.machine));
  CHECK(count(second, "T0707") == 1);
  CHECK(count(second, "G32 X") > 5);
}

TEST_CASE("a tap: in and out, in one word or with the spindle turned round") {
  auto job = samples::whole_job(shapes::Family::spherical);
  Tool tap;
  tap.number = 9;
  tap.kind = ToolKind::tap;
  tap.name = "tap";
  tap.diameter_mm = 14;
  tap.pitch_mm = 1.25;
  tap.chamfer_mm = 2;
  tap.reach_mm = 60;
  tap.cutting_speed_m_per_min = 10;
  tap.feed_mm_per_rev = 1.25;
  job.tools.push_back(tap);
  const auto p = plan(job).value();
  REQUIRE(p.setups[1].operations.back().cut == Cut::tap);
  const auto open = lines_of(write(p, 1, job.machine));
  CHECK(count(open, "G33.1 Z-") == 1);
  CHECK(count(open, "G33 ") == 0);
  job.machine.dialect = "type-a";
  const auto a = lines_of(write(p, 1, job.machine));
  const auto in = std::find_if(a.begin(), a.end(), [](const auto& l) { return l.starts_with("G32 "); });
  REQUIRE(in != a.end());
  CHECK(in->ends_with(" F1.2500"));
  CHECK(*(in + 1) == "M5");
  CHECK(*(in + 2) == "M4");
  CHECK((in + 3)->starts_with("G32 X0.000 Z3"));
  CHECK(*(in + 4) == "M5");
  CHECK(std::count(in + 5, a.end(), "M5") == 0); // the spindle stands already
  CHECK(std::any_of(a.begin(), a.end(), [](const auto& l) { return l.find("FLOATING HOLDER") != std::string::npos; }));
}

TEST_CASE("a front toolpost seen from above exchanges G2 and G3, G41 and G42, and nothing else") {
  auto job = samples::whole_job(shapes::Family::two_radius);
  job.nose_by_control = true;
  job.allowance_mm = 0.3;
  job.machine.dialect = "type-a";
  const auto p = plan(job).value();
  auto front = job.machine;
  front.toolpost = Toolpost::front;
  front.arcs_from_above = true;
  for (std::size_t i = 0; i < 2; ++i) {
    auto a = lines_of(write(p, i, job.machine)), b = lines_of(write(p, i, front));
    std::erase_if(a, [](const auto& l) { return l[0] == '('; });
    std::erase_if(b, [](const auto& l) { return l[0] == '('; });
    REQUIRE(a.size() == b.size());
    int turned = 0;
    for (std::size_t k = 0; k < a.size(); ++k) {
      auto expected = a[k];
      const auto swap = [&](std::string_view x, std::string_view y) {
        if (expected.starts_with(x) || expected.starts_with(y))
          expected.replace(0, x.size(), expected.starts_with(x) ? y : x), ++turned;
      };
      swap("G2 ", "G3 ");
      swap("G41 ", "G42 ");
      CHECK(b[k] == expected);
    }
    CHECK(turned > 3);
  }
}

TEST_CASE("the nose left to the control: on with a line in, off with a line out") {
  auto job = samples::job_of(shapes::Family::flat_roof);
  auto frame = samples::frame_of(shapes::Family::flat_roof);
  frame.rim_round = frame.pocket_corner = 0.6; // larger than the nose: else the control is not asked
  job = samples::job_of(shapes::build(frame, samples::dimensions_of(shapes::Family::flat_roof)));
  job.nose_by_control = true;
  const auto p = plan(job).value();
  REQUIRE(finishing(p).nose != Nose::in_coordinates);
  const auto lines = lines_of(write(p, 0, job.machine));
  CHECK(count(lines, "G41 G1 X") == 1);
  CHECK(count(lines, "G40 G1 X") == 1);
  const auto on = std::find_if(lines.begin(), lines.end(), [](const auto& l) { return l.starts_with("G41"); });
  const auto off = std::find_if(lines.begin(), lines.end(), [](const auto& l) { return l.starts_with("G40 G1"); });
  CHECK((on - 1)->starts_with("G0 "));
  CHECK((on + 1)->starts_with("G1 "));
  CHECK(off > on + 3);
  CHECK((off + 1)->starts_with("G0 "));
}

TEST_CASE("warnings and trials stand in the first comment") {
  const auto job = samples::job_of(shapes::Family::spherical);
  const auto p = plan(job).value();
  WriteOptions o;
  o.warning = "the proof failed";
  CHECK(lines_of(write(p, 0, job.machine, o))[2] == "(WARNING: THE PROOF FAILED)");
  WriteOptions air;
  air.lift_mm = 60;
  air.feed_factor = 0.5;
  const auto plain = lines_of(write(p, 0, job.machine)), lifted = lines_of(write(p, 0, job.machine, air));
  CHECK(lifted[2].starts_with("(IN THE AIR: "));
  // The same path, 60 mm higher, at half the feed. The change position (Z80) stays.
  const auto numbers = [](const std::vector<std::string>& lines, char letter) {
    std::vector<double> out;
    for (const auto& l : lines)
      if (l[0] == 'G')
        if (const auto at = l.find(std::string(" ") + letter); at != std::string::npos)
          out.push_back(std::stod(l.substr(at + 2)));
    return out;
  };
  const auto z = numbers(plain, 'Z'), z_air = numbers(lifted, 'Z');
  REQUIRE(z.size() == z_air.size());
  for (std::size_t i = 0; i < z.size(); ++i) CHECK(z_air[i] == Approx(z[i] == 120 ? 120 : z[i] + 60).margin(1e-9));
  const auto f = numbers(plain, 'F'), f_air = numbers(lifted, 'F');
  REQUIRE(f.size() == f_air.size());
  for (std::size_t i = 0; i < f.size(); ++i) CHECK(f_air[i] == Approx(f[i] / 2).margin(1e-4));
}

TEST_CASE("a measuring stop stands before the finishing tool's call, spindle off") {
  auto job = samples::job_of(shapes::Family::spherical);
  job.measure_stops = true;
  const auto lines = lines_of(write(plan(job).value(), 0, job.machine));
  const auto stop = std::find(lines.begin(), lines.end(), "M0");
  REQUIRE(stop != lines.end());
  const auto call = std::find_if(stop, lines.end(), [](const auto& l) { return l[0] == 'T'; });
  CHECK(call->starts_with("T3 "));
  CHECK((stop - 1)->starts_with("(MEASURE: "));
  auto back = stop - 1;
  while ((*back)[0] == '(') --back;
  CHECK(*back == "M5");
  CHECK(*(back - 1) == "M9");
}

TEST_CASE("every family is planned, written, read and proven, in every dialect, in mm and inch") {
  for (const auto family : samples::families)
    for (const bool inch : {false, true})
      for (const auto dialect : dialects())
        for (const bool whole : {false, true}) {
          INFO(shapes::name(family) << (inch ? " inch " : " mm ") << dialect << (whole ? " whole" : " chamber only"));
          auto job = whole ? samples::whole_job(family) : samples::job_of(family);
          job.machine.inch = inch;
          job.machine.dialect = dialect;
          const auto p = plan(job);
          REQUIRE(p);
          CHECK(p->setups.size() == (whole ? 2 : 1));
          std::vector<Run> runs;
          for (std::size_t i = 0; i < p->setups.size(); ++i) {
            const auto program = read(write(*p, i, job.machine), job.machine);
            REQUIRE(program);
            CHECK(program->inch == inch);
            CHECK(program->diameter);
            runs.push_back({*program, p->setups[i].clamping});
          }
          const auto proof = prove(runs, samples::work_of(job, *p), job.tools, job.machine);
          for (const auto& f : proof.failures) UNSCOPED_INFO(f.message);
          CHECK(proof.passed());
          CHECK(proof.volume_left_cc == Approx(proof.volume_expected_cc).margin(0.01));
          CHECK(proof.calls.size() >= (whole ? 12u : 3u));
          for (const auto& c : proof.calls) CHECK(c.time_s > 1);
        }
}

TEST_CASE("an existing bore spares the drilling") {
  auto job = samples::job_of(shapes::Family::flat_roof);
  job.stock.bore_mm = 12;
  const auto p = plan(job).value();
  CHECK(p.setups[0].operations.size() == 2);
  const auto program = read(write(p, 0, job.machine), job.machine);
  REQUIRE(program);
  const Run runs[] = {{*program, p.setups[0].clamping}};
  CHECK(prove(runs, samples::work_of(job, p), job.tools, job.machine).passed());
}

TEST_CASE("a centring drill marks the centre no wider than the hole that follows") {
  auto job = samples::job_of(shapes::Family::spherical);
  Tool mark = job.tools[0];
  mark.number = 9;
  mark.purpose = Purpose::centring;
  mark.diameter_mm = 16;
  mark.point_angle_deg = 90;
  mark.reach_mm = 40;
  job.tools.push_back(mark);
  const auto p = plan(job);
  REQUIRE(p);
  const auto& op = p->setups[0].operations.front();
  REQUIRE(op.tool.number == 9);
  CHECK(op.moves[1].z_mm == Approx(-2.5)); // a cone of 90 degrees: 5 mm wide
  const auto judge = [&](const std::string& text) {
    const auto program = read(text, job.machine);
    REQUIRE(program);
    return prove(std::vector{Run{*program, p->setups[0].clamping}}, samples::work_of(job, *p), job.tools, job.machine);
  };
  auto text = write(*p, 0, job.machine);
  CHECK(judge(text).passed());
  // 7 mm deep it is 14 mm wide, more than the hole of 12.647 mm.
  const auto at = text.find("Z-2.500");
  REQUIRE(at != std::string::npos);
  text.replace(at, 7, "Z-7.000");
  const auto proof = judge(text);
  REQUIRE_FALSE(proof.passed());
  CHECK(proof.failures.front().kind == FailureKind::gouge);
  CHECK(proof.largest_gouge_mm == Approx(7 - 12.647 / 2).margin(1e-6));
}
