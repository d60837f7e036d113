// Benchmarks of the parts that need no CAD kernel, on the demo spec.
#include "chamber/job/spec.hpp"
#include "chamber/job/turn.hpp"
#include "chamber/profile/integrals.hpp"
#include "chamber/shapes/body.hpp"
#include "chamber/solve/fit.hpp"
#include <benchmark/benchmark.h>
#include <stdexcept>

using namespace chamber;

namespace {

const job::Spec& spec(const char* name) {
  static std::map<std::string, job::Spec> read;
  auto it = read.find(name);
  if (it == read.end()) {
    auto s = job::load_spec(std::string(CHAMBER_PROFILES "/") + name + ".toml");
    if (!s) throw std::runtime_error("cannot read the spec to be measured");
    it = read.emplace(name, std::move(*s)).first;
  }
  return it->second;
}

void volume_with_gradient(benchmark::State& state, const char* name) {
  const auto& task = spec(name).task;
  shapes::Dimensions<double> d;
  for (std::size_t i = 0; i < shapes::dimension_count; ++i) shapes::at(d, i) = task.preferences[i].prefer;
  double slope[shapes::dimension_count];
  for (auto _ : state) {
    d.bowl_radius += 1e-9; // never the same twice
    benchmark::DoNotOptimize(solve::volume_with_gradient(task.frame, d, slope));
    benchmark::DoNotOptimize(slope[0]);
  }
  state.SetItemsProcessed(state.iterations());
}

void solve_and_round(benchmark::State& state, const char* name) {
  const auto& task = spec(name).task;
  for (auto _ : state) {
    const auto f = solve::fit(task);
    if (!f) state.SkipWithError("not met");
  }
}

/// Both clampings planned, written, read back and proven.
void plan_write_and_prove(benchmark::State& state, const char* name) {
  const auto& s = spec(name);
  const auto fit = solve::fit(s.task);
  if (!fit) throw std::runtime_error("the spec to be measured is out of reach");
  const auto insert = shapes::assemble(fit->chamber, s.task.body, s.task.plug);
  if (!insert) throw std::runtime_error("the spec to be measured has no insert");
  for (auto _ : state) {
    const auto t = job::turn(job::turning_job(s, *fit, *insert, {}), {});
    if (!t) state.SkipWithError("not proven");
  }
}

void read_spec(benchmark::State& state) {
  for (auto _ : state) benchmark::DoNotOptimize(job::load_spec(CHAMBER_PROFILES "/demo.toml"));
}

} // namespace

BENCHMARK_CAPTURE(volume_with_gradient, spherical, "demo");
BENCHMARK_CAPTURE(volume_with_gradient, flat_roof, "flat-roof");
BENCHMARK_CAPTURE(volume_with_gradient, toroidal, "toroidal");
BENCHMARK_CAPTURE(volume_with_gradient, two_radius, "two-radius");
BENCHMARK_CAPTURE(solve_and_round, spherical, "demo")->Unit(benchmark::kMicrosecond);
BENCHMARK_CAPTURE(solve_and_round, flat_roof, "flat-roof")->Unit(benchmark::kMicrosecond);
BENCHMARK_CAPTURE(solve_and_round, toroidal, "toroidal")->Unit(benchmark::kMicrosecond);
BENCHMARK_CAPTURE(solve_and_round, two_radius, "two-radius")->Unit(benchmark::kMicrosecond);
BENCHMARK_CAPTURE(plan_write_and_prove, spherical, "demo")->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(plan_write_and_prove, toroidal, "toroidal")->Unit(benchmark::kMillisecond);
BENCHMARK(read_spec)->Unit(benchmark::kMicrosecond);
BENCHMARK_MAIN();
