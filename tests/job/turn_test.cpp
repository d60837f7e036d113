// From a spec to proven programs: what is handed to the planner, and which files come of it.
#include "chamber/job/turn_report.hpp"
#include "chamber/profile/distance.hpp"
#include <catch2/catch.hpp>

using namespace chamber;
using namespace chamber::job;

namespace {

struct Case {
  Spec spec;
  solve::Fit fit;
  shapes::Insert insert;

  turning::Job job(const TurnOptions& options = {}) const { return turning_job(spec, fit, insert, options); }
};

Case demo() {
  Case c;
  c.spec = load_spec(CHAMBER_PROFILES "/demo.toml").value();
  c.fit = solve::fit(c.spec.task).value();
  c.insert = shapes::assemble(c.fit.chamber, c.spec.task.body, c.spec.task.plug).value();
  return c;
}

std::vector<std::string> suffixes(const Turned& t) {
  std::vector<std::string> out;
  for (const auto& f : t.files) out.push_back(f.suffix);
  return out;
}

} // namespace

TEST_CASE("turn: what is to be turned is the drawing", "[turn]") {
  const auto c = demo();
  const auto job = c.job();
  REQUIRE_FALSE(job.outside.empty());
  CHECK_FALSE(profile::broken_at(job.outside));
  CHECK(job.outside.size() == job.outside_names.size());
  // From the rim over everything to the edge of the hole, with the demo's 0.78 mm of chamfer: hole 12.75 (common
  // practice, no source), mouth of the chamfer 12.75 + 2 x 0.78.
  CHECK(job.outside.front().start.r == Approx(c.fit.chamber.chain[0].start.r));
  CHECK(job.outside.front().start.z == 0);
  CHECK(job.outside.back().end.r == Approx(12.75 / 2));
  CHECK(job.outside.back().end.z == Approx(c.insert.seat_z_mm - 0.78));
  CHECK(job.outside_names.back() == "thread chamfer");
  CHECK(job.height_mm == 37);
  // Grooves as the demo says them: AS568 0.103 in the face from diameter 71; two in steps of 78 and 44 mm.
  REQUIRE(job.grooves.size() == 3);
  CHECK(job.grooves[0].in_face);
  CHECK(job.grooves[0].r_inner_mm == 35.5);
  CHECK(job.grooves[1].r_outer_mm == 39);
  CHECK(job.grooves[1].z_low_mm == 12);
  CHECK(job.grooves[2].r_outer_mm == 22);
  CHECK(job.grooves[2].z_low_mm == 28);
  // Every groove lies in the grooved insert's outline: its floor is one of its segments.
  for (const auto& g : job.grooves)
    CHECK(std::any_of(c.insert.outline.begin(), c.insert.outline.end(), [&](const auto& n) {
      const auto& s = n.segment;
      return g.in_face ? std::abs(s.start.z - g.z_high_mm) < 1e-9 && std::abs(s.end.z - g.z_high_mm) < 1e-9
                       : std::abs(s.start.r - g.r_inner_mm) < 1e-9 && std::abs(s.end.r - g.r_inner_mm) < 1e-9;
    }));
  // ISO 965-1, 6H.
  CHECK(job.thread.minor_low_mm == 12.647);
  CHECK(job.thread.minor_high_mm == 12.912);
}

TEST_CASE("turn: two proven programs and more files where they are asked for", "[turn]") {
  const auto c = demo();
  auto t = turn(c.job(), {});
  if (!t)
    for (const auto& p : t.error().problems) UNSCOPED_INFO(to_text(p));
  REQUIRE(t);
  CHECK(t->unproven.empty());
  CHECK(suffixes(*t) == std::vector<std::string>{"-first.ngc", "-second.ngc"});
  CHECK(t->proof.calls.size() == t->plan.setups[0].operations.size() + t->plan.setups[1].operations.size());

  TurnOptions all;
  all.in_the_air = all.measure_stops = all.step_pictures = true;
  t = turn(c.job(all), all);
  REQUIRE(t);
  auto s = suffixes(*t);
  CHECK(s[2] == "-first-in-the-air.ngc");
  CHECK(s[3] == "-second-in-the-air.ngc");
  CHECK(s[4] == "-first-step-01.svg");
  CHECK(s.size() == 4 + t->proof.calls.size());
  CHECK(t->files[0].text.find("\nM0\n") != std::string::npos);
  CHECK(t->files[4].text.find("<svg") != std::string::npos);

  auto type_a = c.job();
  type_a.machine.dialect = "type-a";
  t = turn(type_a, {});
  REQUIRE(t);
  CHECK(suffixes(*t) == std::vector<std::string>{"-first.nc", "-second.nc"});
}

TEST_CASE("turn: a program that is not proven is not written, unless that is wanted", "[turn]") {
  const auto c = demo();
  auto job = c.job();
  job.machine.decimals = 2; // rounding to 0.01 mm cuts deeper than 0.002 mm somewhere
  const auto refused = turn(job, {});
  REQUIRE_FALSE(refused);
  CHECK(refused.error().code == Exit::unproven);
  REQUIRE_FALSE(refused.error().problems.empty());
  const auto& p = refused.error().problems[0];
  CHECK(p.place.file.starts_with("lathe program, "));
  CHECK_FALSE(p.cure.empty());

  TurnOptions anyway;
  anyway.write_anyway = true;
  const auto t = turn(job, anyway);
  REQUIRE(t);
  CHECK_FALSE(t->unproven.empty());
  for (const auto& f : t->files) CHECK(f.text.find("%\nO100") == 0);
  for (const auto& f : t->files) CHECK(f.text.find("\n(WARNING: NOT PROVEN, WRITTEN ON DEMAND. ") == 7);
  CHECK(turning_json(*t, "x")["proven"] == false);
  // What the planner refuses has no program.
  job = c.job();
  job.tools.clear();
  CHECK_FALSE(turn(job, anyway));
}

TEST_CASE("turn: the setup sheet's data", "[turn]") {
  const auto c = demo();
  const auto t = turn(c.job(), {});
  REQUIRE(t);
  const auto j = turning_json(*t, "base");
  REQUIRE(j["setups"].size() == 2);
  int last = 0;
  double time = 0;
  for (const auto& op : j["setups"][0]["operations"]) {
    CHECK(op["first_line"].get<int>() > last);
    last = op["last_line"].get<int>();
    time += op["time_s"].get<double>();
    CHECK_FALSE(op["reason"].get<std::string>().empty());
    CHECK((op.contains("speed_rpm") != op.contains("speed_m_per_min")));
  }
  CHECK(time == Approx(j["setups"][0]["time_s"].get<double>()).margin(1));
  CHECK(j["setups"][0]["program"] == "base-first.ngc");
  // The demo's blank: 95 x 42, 2 mm off the first end, 10 mm gripped.
  const auto& held = j["setups"][0]["clamping"];
  CHECK(held["stock"]["length_mm"] == 42);
  CHECK(held["in_front_of_zero_mm"] == 2);
  CHECK(held["stick_out_mm"] == 32);
  CHECK(j["setups"][1]["clamping"]["in_front_of_zero_mm"] == 3);
  const auto text = turning_text(*t, "base", {false});
  for (const auto word : {"first clamping, chamber side", "second clamping, top side", "base-second.ngc", "soft jaws",
                          "sawn blank", "why: ", "lines "})
    CHECK(text.find(word) != std::string::npos);
}
