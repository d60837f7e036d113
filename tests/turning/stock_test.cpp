// The planner's forecast of what a pass takes, against areas worked out by hand.
#include "chamber/turning/plan_path.hpp"
#include "chamber/turning/plan_stock.hpp"
#include <catch2/catch.hpp>
#include <cmath>

using namespace chamber;
using namespace chamber::turning;
using namespace chamber::turning::detail;

namespace {

Tool bar_of(double nose, double edge_deg, double edge_length, double bar) {
  Tool t;
  t.nose_radius_mm = nose;
  t.end_edge_angle_deg = edge_deg;
  t.edge_length_mm = edge_length;
  t.shank_mm = t.min_bore_mm = bar;
  t.max_depth_mm = 1;
  return t;
}

profile::Chain straight(std::initializer_list<profile::P> points) {
  profile::Chain out;
  for (auto p = points.begin(); p + 1 != points.end(); ++p) out.push_back(profile::line(*p, *(p + 1)));
  return out;
}

} // namespace

TEST_CASE("a nose sent straight into a floor takes it over its whole edge") {
  // Under the floor, h deep: the circle from where the edge touches it to where it comes out of the floor, and the
  // edge's triangle, or its strip where it lies along the floor. Elementary geometry.
  const double h = 0.1, nose = 0.4;
  const auto under_circle = [&](double x) { // integral of sqrt(nose^2 - x^2) - (nose - h)
    return (x * std::sqrt(nose * nose - x * x) + nose * nose * std::asin(x / nose)) / 2 - (nose - h) * x;
  };
  const double out = std::sqrt(2 * nose * h - h * h);
  for (const double edge_deg : {0.0, 2.0, 5.0, 30.0}) {
    CAPTURE(edge_deg);
    const double angle = edge_deg * std::acos(-1.0) / 180, from = nose * std::sin(angle);
    const double deep = h - nose * (1 - std::cos(angle));
    const double edge = edge_deg == 0 ? 5 * h : deep * deep / 2 / std::tan(angle);
    const double section = under_circle(out) - under_circle(-from) + edge;
    Standing standing(5, 40, 0);
    const auto bite = standing.cut(bar_of(nose, edge_deg, 5, 8), straight({{20, -2}, {20, h - nose}}));
    CHECK(bite.depth_mm == Approx(section / (2 * nose)).margin(0.005));
    CHECK(standing.cut(bar_of(nose, edge_deg, 5, 8), straight({{20, -2}, {20, h - nose}})).depth_mm == 0);
  }
}

TEST_CASE("a pass along a wall takes what it is set to") {
  Standing standing(5, 40, 1.5);
  const auto t = bar_of(0.4, 5, 6, 4);
  CHECK(standing.cut(t, straight({{5.7 - 0.4, -3}, {5.7 - 0.4, 12}})).depth_mm == Approx(0.7).margin(0.03));
  CHECK(standing.cut(t, straight({{5.9 - 0.4, -3}, {5.9 - 0.4, 12}})).depth_mm == Approx(0.2).margin(0.02));
}

TEST_CASE("a bar's far side meets the wall across the axis") {
  // Opened to r 5.5, 5 mm deep, then in along the floor to r 4.5: the far side of a bar comes to 4.5 less its width.
  const auto path = straight({{5.1, -3}, {5.1, 4.6}, {4.1, 4.6}});
  Standing narrow(5, 40, 0), wide(5, 40, 0);
  CHECK(narrow.cut(bar_of(0.4, 5, 3, 9.9), path).bar_mm == 0);
  const auto bite = wide.cut(bar_of(0.4, 5, 3, 10.1), path);
  // 5 mm less what the edge's line falls over the 10 mm between: elementary geometry.
  CHECK(bite.bar_mm == Approx(5 - 10 * std::tan(5 * std::acos(-1.0) / 180)).margin(0.05));
  CHECK(bite.bar_at.r == Approx(5.55).margin(0.06));
}

TEST_CASE("no stepped pass runs outwards, however little of the floor there is to go") {
  // A pocket of radius 20, 10 deep, to be roughed from a pilot of radius 7: the contour of a nose of 0.8.
  const auto contour = straight({{19.2, 0}, {19.2, 9.2}, {0, 9.2}});
  for (const double step : {0.3, 0.4, 0.6, 1.0}) {
    const auto passes = stepped_passes(contour, 7, 0.8, step, 6, 6.8, 1);
    REQUIRE(passes.size() > 10);
    for (const auto& pass : passes)
      for (std::size_t i = 1; i + 1 < pass.size(); ++i) { // between plunge and retreat
        CAPTURE(step, pass[i].start.r, pass[i].end.r);
        CHECK(pass[i].end.r <= pass[i].start.r + 1e-9);
      }
  }
}

TEST_CASE("a bar half a shank behind a slim edge meets the step beside it") {
  // The edge at 70 degrees falls 2.7 mm a millimetre; the bar's full width begins 2.6 mm behind the tip.
  const auto t = bar_of(0.2, 70, 6.4, 5.2);
  Standing shallow(5, 40, 0), deep(5, 40, 0);
  CHECK(shallow.cut(t, straight({{5.9 - 0.2, -2}, {5.9 - 0.2, 8}})).bar_mm == 0);
  CHECK(deep.cut(t, straight({{6.5 - 0.2, -2}, {6.5 - 0.2, 8}})).bar_mm > 0.2);
}
