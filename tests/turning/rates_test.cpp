// Speeds, feeds, pecks and the change position: slips that leave the same metal but hurt lathe, tool or operator.
#include "chamber/units/quantity.hpp"
#include "whole_samples.hpp"
#include <algorithm>
#include <catch2/catch.hpp>

using namespace chamber;
using namespace chamber::turning;

namespace {

struct Texts {
  Job job;
  Plan plan;
  std::vector<std::string> text;
};

Texts texts_of(const std::string& dialect) {
  Texts t{samples::whole_job(shapes::Family::spherical), {}, {}};
  t.job.machine.dialect = dialect;
  t.plan = plan(t.job).value();
  for (std::size_t i = 0; i < t.plan.setups.size(); ++i) t.text.push_back(write(t.plan, i, t.job.machine));
  return t;
}

/// The kinds of failure once `from` has become `to`, the first time it stands in the program of a clamping.
bool fails(const Texts& t, std::size_t run, const std::string& from, const std::string& to, FailureKind kind) {
  auto text = t.text;
  const auto at = text[run].find(from);
  INFO(from);
  REQUIRE(at != std::string::npos);
  text[run].replace(at, from.size(), to);
  std::vector<Run> runs;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const auto program = read(text[i], t.job.machine);
    REQUIRE(program);
    runs.push_back({*program, t.plan.setups[i].clamping});
  }
  const auto proof = prove(runs, samples::work_of(t.job, t.plan), t.job.tools, t.job.machine);
  return std::any_of(proof.failures.begin(), proof.failures.end(), [&](const Failure& f) { return f.kind == kind; });
}

} // namespace

TEST_CASE("speeds and feeds beyond lathe and tool are not proven") {
  const auto a = texts_of("rs274");
  CHECK_FALSE(fails(a, 0, "(JOB", "(JOB", FailureKind::rate));
  CHECK(fails(a, 0, "G96 D2500", "G96 D25000", FailureKind::rate));
  CHECK(fails(a, 0, "G96 D2500 S260", "G97 S2400", FailureKind::rate)); // 95 mm at 2400 rpm: 716 m/min
  CHECK(fails(a, 0, "S260", "S2600", FailureKind::rate));
  CHECK(fails(a, 0, "F0.2000", "F1.2000", FailureKind::rate));
  const auto b = texts_of("type-a");
  CHECK(fails(b, 0, "G50 S2500", "G50 S25000", FailureKind::rate));
}

TEST_CASE("the speed of a thread stays, and the slides can follow it") {
  const auto t = texts_of("rs274");
  const auto at = t.text[1].find("G33", t.text[1].find("G33") + 3);
  REQUIRE(at != std::string::npos);
  auto changed = t;
  changed.text[1].insert(at, "G97 S600\n");
  CHECK(fails(changed, 1, "(JOB", "(JOB", FailureKind::rate));
  auto slow = t;
  slow.job.machine.rapid_mm_per_min = 500;
  CHECK(fails(slow, 1, "(JOB", "(JOB", FailureKind::rate));
}

TEST_CASE("a drill that does not come out in time, or runs on, is not proven") {
  const auto t = texts_of("rs274");
  const auto& drill = *std::find_if(t.plan.setups[0].operations.begin(), t.plan.setups[0].operations.end(),
                                    [](const Operation& op) { return op.cut == Cut::drill; });
  const auto word = [](double z) { return "G1 X0.000 Z" + units::fixed(z, 3); };
  const double first = drill.moves[1].z_mm, last = drill.moves[drill.moves.size() - 2].z_mm;
  CHECK(fails(t, 0, word(first), word(last), FailureKind::depth));
  CHECK(fails(t, 0, word(last), word(last - 30), FailureKind::chuck_contact));
}

TEST_CASE("a blade in place of a turning tool is not proven") {
  const auto t = texts_of("rs274");
  CHECK(fails(t, 1, "T4 M6 G43", "T5 M6 G43", FailureKind::depth));
}

TEST_CASE("tools are changed where the lathe says, with room for the longest") {
  auto t = texts_of("rs274");
  auto text = t.text[0];
  for (std::size_t at = 0; (at = text.find("G0 Z120.000", at)) != std::string::npos;)
    text.replace(at, 11, "G0 Z20.000");
  auto near = t;
  near.text[0] = text;
  CHECK(fails(near, 0, "(JOB", "(JOB", FailureKind::unsafe_start));
  t.job.machine.change_z_mm = 30;
  const auto p = plan(t.job);
  REQUIRE_FALSE(p);
  CHECK(p.error().message.find("tools are changed 30.0 mm in front") != std::string::npos);
}

TEST_CASE("an inner corner cut sharper than it has to be is no metal left") {
  auto job = samples::whole_job(shapes::Family::spherical);
  job.inner_corner_mm = 0.8;
  for (auto& tool : job.tools)
    if (tool.kind == ToolKind::turning) tool.nose_radius_mm = 0.1;
  const auto p = plan(job);
  REQUIRE(p);
  std::vector<Run> runs;
  for (std::size_t i = 0; i < p->setups.size(); ++i)
    runs.push_back({read(write(*p, i, job.machine), job.machine).value(), p->setups[i].clamping});
  const auto proof = prove(runs, samples::work_of(job, *p), job.tools, job.machine);
  for (const auto& f : proof.failures) UNSCOPED_INFO(f.message);
  CHECK(proof.passed());
}
