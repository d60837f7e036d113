#include "chamber/units/quantity.hpp"
#include "samples.hpp"
#include <catch2/catch.hpp>

using namespace chamber;
using namespace chamber::solve;

namespace {

/// Does to the task what the explanation tells.
void give_way(Task& t, const Stop& s) {
  auto& l = t.limits;
  if (s.key == "limits.squish_area_min") l.squish_area_min = s.to / 100;
  if (s.key == "limits.squish_area_max") l.squish_area_max = s.to / 100;
  if (s.key == "limits.gap_min") l.gap_min_mm = s.to;
  if (s.key == "limits.gap_velocity_max") l.gap_velocity_max_m_s = s.to;
  if (s.key == "limits.wall_min") l.wall_min_mm = s.to;
  if (s.key == "limits.groove_wall_min") l.groove_wall_min_mm = s.to;
  if (s.key == "limits.plug_to_crown_min") l.plug_to_crown_min_mm = s.to;
  if (s.key.starts_with("body.step")) t.body.steps.back().length_mm = s.to;
  for (std::size_t i = 0; i < shapes::dimension_count; ++i) {
    const std::string base = "shape." + std::string(shapes::dimension_names[i]);
    if (s.key == base + ".max") t.preferences[i].high = s.to;
    if (s.key == base + ".min") t.preferences[i].low = s.to;
  }
  for (auto& p : t.preferences) p.scale_to_freedom(); // as a spec so changed is read
}

} // namespace

TEST_CASE("out of reach: the explanation is true", "[shortfall]") {
  int stops = 0;
  for (const auto family : samples::families) {
    auto task = samples::task(family);
    task.head_cc = 1;
    const auto absurd = fit(task);
    REQUIRE_FALSE(absurd);
    REQUIRE(absurd.error().any_reachable);
    const double low = absurd.error().low_cc, high = absurd.error().high_cc;
    CHECK(high > low + 5);
    for (const double cc : {low - 1, high + 1}) {
      CAPTURE(shapes::name(family), cc, low, high);
      // Well inside the range it can be met (the grid costs a little at the very edge); outside it cannot.
      task.head_cc = cc < low ? low + 0.3 : high - 0.3;
      CHECK(fit(task));
      task.head_cc = cc;
      const auto f = fit(task);
      REQUIRE_FALSE(f);
      const auto& s = f.error();
      CHECK(s.low_cc == Approx(low).margin(0.01));
      CHECK(s.high_cc == Approx(high).margin(0.01));
      REQUIRE_FALSE(s.stops.empty());
      for (const auto& stop : s.stops) {
        if (!stop.suffices) continue;
        ++stops;
        CAPTURE(stop.key, stop.from, stop.to);
        auto relaxed = task;
        give_way(relaxed, stop);
        CHECK(fit(relaxed));
        // What was tried is what will be read, to the last bit: on the grid a hair decides.
        if (stop.unit != "%") CHECK(std::stod(units::fixed(stop.to, stop.decimals())) == stop.to);
      }
    }
  }
  CHECK(stops >= 8); // the explanations name limits that can give way
}

TEST_CASE("out of reach: limits that contradict each other", "[shortfall]") {
  auto task = samples::task(shapes::Family::spherical);
  task.limits.groove_wall_min_mm = 4; // the face groove begins 2.3 mm outside the rim
  const auto f = fit(task);
  REQUIRE_FALSE(f);
  CHECK_FALSE(f.error().any_reachable);
  REQUIRE(f.error().stops.size() == 1);
  const auto& stop = f.error().stops[0];
  CHECK(stop.key == "limits.groove_wall_min");
  CHECK(stop.suffices);
  // By hand: groove at radius 35.5, rim at 33.2, both walls square to the face: 2.3 mm.
  CHECK(stop.to <= 2.3 + 1e-9);
  CHECK(stop.to > 2.15);
}
