// Angular dimensions against ISO 129-1 (from memory): the dimension line is an arc about the vertex, its ends on the
// legs or on their extension lines, an arrow at each end; the value says degrees. What is measured here is the picture.
#include "samples.hpp"
#include <catch2/catch.hpp>
#include <cmath>

using namespace chamber;
using namespace chamber::drawing;

namespace {

constexpr double pi = std::numbers::pi;

double length(Point p) {
  return std::hypot(p.x, p.y);
}
/// From the line through a in direction d (unit).
double off_line(Point p, Point a, Point d) {
  return std::abs(d.x * (p.y - a.y) - d.y * (p.x - a.x));
}
Point on(const Arc& a, double angle) {
  return a.centre + Point{std::cos(angle), std::sin(angle)} * a.radius;
}

template <class T>
std::vector<T> all(const Picture& page, Layer layer) {
  std::vector<T> out;
  for (const auto& item : page.items)
    if (const auto* i = std::get_if<T>(&item)) {
      if constexpr (requires { i->pen; }) {
        if (i->pen.layer == layer) out.push_back(*i);
      } else if (i->layer == layer)
        out.push_back(*i);
    }
  return out;
}

/// Where the model's origin lies on the second sheet: the chamber's outline is the polyline with its number of corners.
Point origin_of(const Picture& page, const SheetInput& in, double scale) {
  for (const auto& p : all<Polyline>(page, Layer::outline))
    if (p.vertices.size() == in.chamber.chain.size() + 1)
      return p.vertices[0].at - Point{in.chamber.chain[0].start.r, in.chamber.chain[0].start.z} * scale;
  throw std::logic_error("no outline");
}

/// What the chamber's own segment gives: its direction seen from the sharp edge at the mouth, over the empty bowl.
struct Expected {
  Point leg, datum; ///< unit
  double angle_rad;
  std::string fallback; ///< end of the leader's words
};

std::vector<Expected> expected_of(const SheetInput& in) {
  std::vector<Expected> out;
  for (std::size_t i = 0; i < in.chamber.chain.size(); ++i) {
    const auto& s = in.chamber.chain[i];
    if (s.is_arc()) continue;
    const Point d =
        Point{s.end.r - s.start.r, s.end.z - s.start.z} * (1 / std::hypot(s.end.r - s.start.r, s.end.z - s.start.z));
    const double rise = std::atan2(std::abs(d.y), std::abs(d.x));
    if (in.chamber.roles[i] == shapes::Role::band && rise > 1e-4) out.push_back({d, {-1, 0}, rise, "° to A"});
    if (in.chamber.roles[i] == shapes::Role::bowl_wall && rise < pi / 2 - 1e-4)
      out.push_back({d * -1, {0, -1}, pi / 2 - rise, "° to axis"});
  }
  return out;
}

/// The arc between the legs, if there is one; others about the same vertex only lead arrows to it.
const Arc* arc_between(const std::vector<Arc>& arcs, Point vertex, const Expected& e) {
  for (const auto& a : arcs) {
    const Point p = on(a, a.from_rad), q = on(a, a.from_rad + a.sweep_rad);
    if (length(a.centre - vertex) < 1e-6 && std::abs(a.sweep_rad - e.angle_rad) < 1e-6 &&
        std::max(std::min(off_line(p, vertex, e.leg), off_line(q, vertex, e.leg)),
                 std::min(off_line(p, vertex, e.datum), off_line(q, vertex, e.datum))) < 1e-6)
      return &a;
  }
  return nullptr;
}

} // namespace

TEST_CASE("an angle is an arc about its vertex, from leg to leg, with its value beside it") {
  int drawn = 0, said = 0, from_outside = 0;
  for (unsigned seed = 1; seed <= 60; ++seed) {
    INFO("seed " << seed);
    const auto in = testing::random_input(seed);
    const auto sheet = insert_sheet(in);
    REQUIRE(sheet);
    const auto& page = sheet->pages[1];
    const double scale = sheet->scales[1];
    const Point vertex = origin_of(page, in, scale) + Point{in.chamber.mouth.r, in.chamber.mouth.z} * scale;
    const auto arcs = all<Arc>(page, Layer::dimension);
    const auto expected = expected_of(in);
    std::size_t here = 0;
    for (const auto& e : expected) {
      INFO("angle of " << e.angle_rad * 180 / pi << " degrees");
      const Arc* arc = arc_between(arcs, vertex, e);
      if (!arc) {
        for (const auto& t : all<Text>(page, Layer::leader)) said += t.words.ends_with(e.fallback) ? 1 : 0;
        continue;
      }
      ++drawn, ++here;
      // Two lines are two: 0.7 mm clear at least (ISO 128-2, from memory), and a narrow line of 0.25 mm.
      CHECK(arc->radius * arc->sweep_rad >= 0.95);
      // Both legs are there to be seen: an extension line goes through each end of the arc, on from the vertex.
      for (const double angle : {arc->from_rad, arc->from_rad + arc->sweep_rad}) {
        const Point end = on(*arc, angle), out{std::cos(angle), std::sin(angle)};
        bool leg = false;
        for (const auto& l : all<Line>(page, Layer::extension)) {
          const auto along = [&](Point p) { return (p.x - vertex.x) * out.x + (p.y - vertex.y) * out.y; };
          leg = leg || (off_line(l.a, vertex, out) < 1e-6 && off_line(l.b, vertex, out) < 1e-6 &&
                        std::min(along(l.a), along(l.b)) < 2 && std::max(along(l.a), along(l.b)) >= arc->radius + 1.4);
        }
        CHECK(leg);
        // An arrow's point touches it, its middle lies on the arc or on the arc's way on beyond the leg.
        int touching = 0;
        for (const auto& a : all<Area>(page, Layer::dimension)) {
          if (a.corners.size() != 3 || length(a.corners[0] - end) > 1e-6) continue;
          ++touching;
          const Point back = (a.corners[1] + a.corners[2]) * 0.5;
          CHECK(length(back - vertex) == Approx(arc->radius).margin(0.02));
          const bool outside = std::abs(std::remainder(std::atan2(back.y - vertex.y, back.x - vertex.x) -
                                                           (arc->from_rad + arc->sweep_rad / 2),
                                                       2 * pi)) > arc->sweep_rad / 2;
          from_outside += outside;
          const bool led = std::any_of(arcs.begin(), arcs.end(), [&](const Arc& other) {
            return length(other.centre - vertex) < 1e-6 && std::abs(other.radius - arc->radius) < 1e-6 &&
                   std::min(length(on(other, other.from_rad) - end),
                            length(on(other, other.from_rad + other.sweep_rad) - end)) < 1e-6 &&
                   &other != arc && other.sweep_rad * other.radius > length(back - end);
          });
          CHECK((led || !outside)); // also where the words stand over the way on
        }
        CHECK(touching == 1);
      }
      // The value, to be read from below, by the arc or its way on.
      int values = 0;
      for (const auto& t : all<Text>(page, Layer::dimension)) {
        if (!t.words.ends_with("°") || std::abs(std::stod(t.words) - e.angle_rad * 180 / pi) > 0.0051) continue;
        CHECK(t.angle_rad == 0);
        const Box near = grown(box_of(t), 1.2);
        bool by_it = false;
        for (const auto& a : arcs)
          for (int i = 0; i <= 50 && length(a.centre - vertex) < 1e-6 && std::abs(a.radius - arc->radius) < 1e-6; ++i) {
            const Point p = on(a, a.from_rad + a.sweep_rad * i / 50);
            by_it = by_it || (p.x > near.left && p.x < near.right && p.y > near.bottom && p.y < near.top);
          }
        values += by_it ? 1 : 0;
      }
      CHECK(values == 1);
    }
    // No other arc stands on the layer but those and what leads arrows to them.
    CHECK(arcs.size() <= 3 * here);
  }
  CHECK(drawn > 30);
  CHECK(said > 0);
  CHECK(from_outside > 0);
  CHECK(from_outside < 2 * drawn);
}
