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

TEST_CASE("rounding: near the end of what the limits allow, a grid point some steps away", "[round]") {
  // Source: every grid point of band width, band angle and pocket depth tried, the radius closing the volume. They hold
  // these volumes at a width of 7.5 mm only from the angles given on, two and more steps from the exact optimum.
  auto task = samples::task(shapes::Family::spherical);
  for (const auto& [cc, angle_deg] : {std::pair{30.42, 10.25}, {30.58, 11.5}, {30.62, 11.75}}) {
    CAPTURE(cc);
    task.head_cc = cc;
    const auto f = fit(task);
    REQUIRE(f);
    CHECK(std::abs(f->residual_cc) < 0.005);
    for (const auto& c : f->checks) CHECK(c.ok);
    CHECK(f->rounded.squish_width == Approx(7.5));
    CHECK(f->rounded.squish_angle_deg >= angle_deg);
  }
}
