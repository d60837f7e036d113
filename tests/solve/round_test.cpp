#include "chamber/solve/round.hpp"
#include "samples.hpp"
#include <catch2/catch.hpp>

using namespace chamber;
using namespace chamber::solve;

TEST_CASE("rounding: every free dimension on its grid, the closing one on 0.001 mm", "[round]") {
  for (const auto family : samples::families) {
    CAPTURE(shapes::name(family));
    auto task = samples::task(family);
    for (const double cc : {23.1, 24.0, 25.37}) {
      task.head_cc = cc;
      const auto f = fit(task);
      REQUIRE(f);
      for (std::size_t i = 0; i < shapes::dimension_count; ++i) {
        if (!shapes::has_dimension(family, i)) continue;
        const double grid = i == task.closing ? 0.001 : task.preferences[i].grid;
        const double steps = shapes::at(f->rounded, i) / grid;
        CAPTURE(shapes::dimension_names[i], shapes::at(f->rounded, i));
        CHECK(std::abs(steps - std::round(steps)) < 1e-6);
      }
      CHECK(std::abs(f->residual_cc) < 0.005);
    }
  }
}

TEST_CASE("rounding: an inch grid", "[round]") {
  auto task = samples::task(shapes::Family::spherical);
  for (auto& p : task.preferences) p.grid = 0.0508; // two thou
  task.preferences[3].grid = 0.5;
  const auto f = fit(task);
  REQUIRE(f);
  const double steps = f->rounded.squish_width / 0.0508;
  CHECK(std::abs(steps - std::round(steps)) < 1e-4);
}

TEST_CASE("rounding: bounds that hold no grid point leave the exact value", "[round]") {
  auto task = samples::task(shapes::Family::spherical);
  task.preferences[3] = {9.05, 9.02, 9.1, 1, 0.04, 0.25};
  const auto f = fit(task);
  REQUIRE(f);
  CHECK(f->rounded.squish_angle_deg >= 9.02);
  CHECK(f->rounded.squish_angle_deg <= 9.1);
}
