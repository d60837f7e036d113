// Random whole jobs of every family and many tool lists: planned, written, read back and proven; none gouges.
#include "chamber/units/tolerance.hpp"
#include "whole_samples.hpp"
#include <catch2/catch.hpp>
#include <rapidcheck/catch.h>

using namespace chamber;
using namespace chamber::turning;

namespace {

std::vector<Run> runs_of(const Job& job, const Plan& plan) {
  std::vector<Run> runs;
  for (std::size_t i = 0; i < plan.setups.size(); ++i) {
    const auto text = write(plan, i, job.machine);
    const auto program = read(text, job.machine);
    if (!program) {
      RC_LOG() << text << to_text(program.error().front());
      RC_FAIL("the program is not read back");
    }
    runs.push_back({*program, plan.setups[i].clamping});
  }
  return runs;
}

} // namespace

#if defined(CHAMBER_SANITIZED)
constexpr unsigned jobs_a_case = 1; // instrumented, each takes ten times as long
constexpr int least_planned = 10;
#else
constexpr unsigned jobs_a_case = 25; // rapidcheck tries a hundred cases
constexpr int least_planned = 2000;
#endif

TEST_CASE("random whole jobs are cut true") {
  int planned = 0, refused = 0, unproven = 0;
  rc::prop("plan, write, read, prove", [&] {
    const auto from = *rc::gen::noShrink(rc::gen::arbitrary<unsigned>());
    for (unsigned seed = from; seed != from + jobs_a_case; ++seed) {
      const auto job = samples::random_whole_job(seed);
      const auto p = plan(job);
      if (!p) {
        ++refused;
        RC_ASSERT(!p.error().cure.empty());
        continue;
      }
      ++planned;
      const auto proof = prove(runs_of(job, *p), samples::work_of(job, *p), job.tools, job.machine);
      // Refused by the proof, nothing is written: safe, but a promise of the planner's that is not kept.
      if (!proof.passed()) {
        ++unproven;
        WARN("seed " << seed << ", run " << proof.failures.front().run << ": " << proof.failures.front().message);
        continue;
      }
      RC_ASSERT(proof.largest_gouge_mm <= tolerance::gouge_mm);
      RC_ASSERT(std::abs(proof.volume_left_cc - proof.volume_expected_cc) <= tolerance::program_volume_cc);
    }
  });
  UNSCOPED_INFO(planned << " planned, " << refused << " refused");
  CHECK(planned >= least_planned);
  CHECK(unproven <= 1); // of 30,000 none was; a new one is printed, and does not stop everything else
}

TEST_CASE("jobs that were once cut false") {
  // Between an arc's end and its circle; pieces of the profile of a few hundredths under the control's compensation,
  // and a way in along the tangent of a flat arc.
  for (const unsigned seed : {33315u, 1456u, 33770u, 44686u, 43449u, 49921u, 50161u, 50623u}) {
    CAPTURE(seed);
    const auto job = samples::random_whole_job(seed);
    const auto p = plan(job);
    REQUIRE(p);
    const auto proof = prove(runs_of(job, *p), samples::work_of(job, *p), job.tools, job.machine);
    for (const auto& f : proof.failures) UNSCOPED_INFO(f.message);
    CHECK(proof.passed());
  }
}
