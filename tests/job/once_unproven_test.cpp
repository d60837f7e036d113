// Random specs (random_jobs SEED tells them) whose plans the proof once refused, though they could be cut.
#include "chamber/job/turn.hpp"
#include "chamber/turning/write.hpp"
#include "random_spec.hpp"
#include <catch2/catch.hpp>
#include <optional>

using namespace chamber;

namespace {

/// Planned, written, read and proven, and nothing given way on the way.
std::optional<turning::Proof> proof_of(unsigned seed) {
  const std::string lathes = CHAMBER_PROFILES;
  const auto text = job::testing::random_spec(seed, lathes);
  const auto spec = job::read_spec(text.text(), lathes + "/random.toml");
  REQUIRE(spec);
  const auto fit = solve::fit(spec->task);
  if (!fit) return std::nullopt; // another compiler's arithmetic may end on another point of the grid
  const auto insert = shapes::assemble(fit->chamber, spec->task.body, spec->task.plug);
  REQUIRE(insert);
  for (const bool stops : {false, true}) {
    job::TurnOptions options;
    options.measure_stops = stops;
    const auto job = job::turning_job(*spec, *fit, *insert, options);
    const auto plan = turning::plan(job);
    REQUIRE(plan);
    std::vector<turning::Run> runs;
    for (std::size_t i = 0; i < plan->setups.size(); ++i) {
      const auto program = turning::read(turning::write(*plan, i, job.machine), job.machine);
      REQUIRE(program);
      runs.push_back({*program, plan->setups[i].clamping});
    }
    turning::Work work = job;
    work.chamber = plan->finished;
    auto proof = turning::prove(runs, work, job.tools, job.machine);
    if (stops || !proof.passed()) return proof;
  }
  return turning::Proof{};
}

void all_proven(const std::vector<unsigned>& seeds) {
  std::size_t met = 0;
  for (const unsigned seed : seeds) {
    CAPTURE(seed);
    const auto proof = proof_of(seed);
    if (!proof) continue;
    ++met;
    for (const auto& f : proof->failures) UNSCOPED_INFO(f.message);
    CHECK(proof->passed());
  }
  CHECK(met + 1 >= seeds.size());
}

} // namespace

TEST_CASE("the control's nose goes through every corner it is sent into") {
  // Seats a hundredth deep, whose round runs out into the edge; an edge's arc as small as a few steps of the grid.
  all_proven({1000138u, 1001572u, 1003945u, 1005657u});
}

TEST_CASE("floors and corners give no tool more than its depth") {
  // An end edge that lies along a seat's or a pocket's floor; corners that a roughing nose of 2.9 mm did not reach
  // into.
  all_proven({3484131821u, 3484132967u, 3484133307u, 1153617491u, 1153618142u, 66u, 256u, 88005878u});
}

TEST_CASE("bars keep out of what still stands") {
  // Across the axis in a pocket hardly wider than the bar; behind a slim insert; over the raw face of a seat shallower
  // than the allowance.
  all_proven({1153620707u, 3363300236u, 3363300260u, 3363300742u, 3484133608u, 1000766u, 1001468u});
}

TEST_CASE("the nose goes in until the pilot's edge is cut") {
  // A pocket hardly wider than the pilot and the nose: its round ends beyond the pilot's edge.
  all_proven({1930024845u});
}
