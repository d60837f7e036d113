#include "chamber/profile/integrals.hpp"
#include "chamber/solve/evaluate.hpp"
#include "chamber/solve/optimise.hpp"
#include "samples.hpp"
#include <catch2/catch.hpp>
#include <rapidcheck/catch.h>

using namespace chamber;
using namespace chamber::solve;

TEST_CASE("fit: holds the volume, keeps the limits, every family", "[fit]") {
  for (const auto family : samples::families) {
    CAPTURE(shapes::name(family));
    const auto task = samples::task(family);
    const auto f = fit(task);
    REQUIRE(f);
    CHECK(std::abs(f->exact_residual_cc) < 1e-6);
    CHECK(std::abs(f->residual_cc) < 0.005);
    // The quadrature shares nothing with the closed form the solver uses.
    CHECK(profile::swept_volume_by_quadrature(shapes::chain_of(f->chamber)) / 1000 == Approx(24).margin(0.005));
    for (const auto& c : f->checks) {
      CAPTURE(c.name, c.value, c.limit);
      CHECK(c.ok);
      CHECK((c.minimum ? c.value - c.limit : c.limit - c.value) > -1e-5);
    }
  }
}

#if defined(CHAMBER_SANITIZED)
constexpr int walks = 1500; // instrumented, each takes ten times as long
#else
constexpr int walks = 20000;
#endif

TEST_CASE("fit: no nearby feasible point departs less", "[fit]") {
  // Brute force: random walks on the surface of equal volume, kept if every limit holds, never beat the optimum.
  for (const auto family : samples::families) {
    CAPTURE(shapes::name(family));
    const auto task = samples::task(family);
    const auto best = optimise_lazily(task, Goal::nearest_preference);
    REQUIRE(best);
    unsigned seed = 12345;
    const auto random = [&] {
      seed = seed * 1664525u + 1013904223u;
      return (seed >> 8) / double(1 << 24) * 2 - 1;
    };
    int tried = 0;
    for (int k = 0; k < walks; ++k) {
      auto d = best->at;
      for (std::size_t i = 0; i < shapes::dimension_count; ++i) {
        const auto& p = task.preferences[i];
        if (shapes::has_dimension(family, i))
          shapes::at(d, i) = std::clamp(shapes::at(d, i) + 0.2 * p.scale * random(), p.low, p.high);
      }
      // Back onto the volume with the closing dimension.
      auto& x = shapes::at(d, task.closing);
      for (int n = 0; n < 8; ++n) {
        double slope[shapes::dimension_count];
        const double v = volume_with_gradient(task.frame, d, slope);
        x -= (v - task.head_cc * 1000) / slope[task.closing];
        if (!std::isfinite(x)) break;
      }
      const auto& p = task.preferences[task.closing];
      if (!(x >= p.low && x <= p.high) || std::abs(head_cc(task, d) - task.head_cc) > 1e-7) continue;
      const auto e = evaluate(task, d, {true, true});
      bool ok = true;
      for (std::size_t i = 0; i < e.count; ++i) ok = ok && e.limits[i].margin() >= 0;
      if (!ok) continue;
      ++tried;
      CHECK(departure(task, d) >= best->departure - 1e-7);
    }
    CHECK(tried > walks / 40); // the search was not vacuous
  }
}

TEST_CASE("fit: slopes of every limit against central differences", "[fit]") {
  for (const auto family : samples::families) {
    const auto task = samples::task(family);
    const auto f = fit(task);
    REQUIRE(f);
    const auto dual = evaluate(task, seeded(f->exact), {true, true});
    for (std::size_t i = 0; i < shapes::dimension_count; ++i) {
      if (!shapes::has_dimension(family, i)) continue;
      const double h = 1e-5;
      auto up = f->exact, down = f->exact;
      shapes::at(up, i) += h;
      shapes::at(down, i) -= h;
      const auto a = evaluate(task, up, {true, true}), b = evaluate(task, down, {true, true});
      REQUIRE(a.count == dual.count);
      for (std::size_t k = 0; k < a.count; ++k) {
        const double difference = (a.limits[k].value - b.limits[k].value) / (2 * h);
        CAPTURE(shapes::name(family), shapes::dimension_names[i], dual.limits[k].name);
        const double slope = dual.limits[k].value.derivatives()[static_cast<Eigen::Index>(i)];
        CHECK(slope == Approx(difference).epsilon(1e-4).margin(1e-4));
      }
      CHECK(dual.volume_mm3.derivatives()[static_cast<Eigen::Index>(i)] ==
            Approx((a.volume_mm3 - b.volume_mm3) / (2 * h)).epsilon(1e-6));
    }
  }
}

TEST_CASE("fit: a dimension given as one figure stays", "[fit]") {
  auto task = samples::task(shapes::Family::spherical);
  task.preferences[2] = {9.3, 9.3, 9.3, 1, 1, 0.05};
  const auto f = fit(task);
  REQUIRE(f);
  CHECK(f->rounded.squish_width == 9.3);
}

TEST_CASE("fit: a heavier weight holds a dimension nearer to its preference", "[fit]") {
  auto task = samples::task(shapes::Family::spherical);
  task.head_cc = 27;
  const auto light = optimise_lazily(task, Goal::nearest_preference);
  task.preferences[2].weight = 50;
  const auto heavy = optimise_lazily(task, Goal::nearest_preference);
  REQUIRE(light);
  REQUIRE(heavy);
  CHECK(std::abs(heavy->at.squish_width - 9) < std::abs(light->at.squish_width - 9));
}

TEST_CASE("fit: random tasks of every family hold their volume or explain themselves", "[fit]") {
  rc::prop("within reach", [] {
    auto task =
        samples::task(*rc::gen::elementOf(std::vector(std::begin(samples::families), std::end(samples::families))));
    task.head_cc = *rc::gen::inRange(1600, 3400) / 100.0;
    const auto f = fit(task);
    RC_CLASSIFY(!!f, "met", "not met");
    if (f) {
      RC_ASSERT(std::abs(f->residual_cc) < 0.005);
      for (const auto& c : f->checks) RC_ASSERT(c.ok);
    } else {
      const auto& s = f.error();
      RC_ASSERT(s.any_reachable);
      RC_ASSERT(task.head_cc < s.low_cc + 0.1 || task.head_cc > s.high_cc - 0.1);
    }
  });
}
