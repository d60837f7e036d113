// Distances, crossings, heights, insides: small cases by hand, then against brute-force sampling.
#include "chamber/profile/distance.hpp"
#include "random.hpp"
#include <catch2/catch.hpp>
#include <rapidcheck/catch.h>

using namespace chamber::profile;
using namespace chamber::profile::testing;

namespace {

constexpr double pi = 3.14159265358979323846;

std::vector<P> sampled(const S& s, int n) {
  std::vector<P> out;
  for (int i = 0; i <= n; ++i) out.push_back(point_at(s, static_cast<double>(i) / n));
  return out;
}

double brute(const P& p, const S& s) {
  double best = 1e9;
  for (const P& q : sampled(s, 2000)) best = std::min(best, length(p - q));
  return best;
}

S circle_half(P centre, double radius, bool upper) {
  const P right{centre.r + radius, centre.z}, left{centre.r - radius, centre.z};
  return upper ? arc(Kind::ccw, right, left, centre, radius) : arc(Kind::ccw, left, right, centre, radius);
}

} // namespace

TEST_CASE("distances by hand") {
  const auto wall = line(P{5, 0}, P{5, 10});
  CHECK(nearest(P{8, 4}, wall).distance == 3);
  CHECK(nearest(P{8, 14}, wall).distance == 5); // 3-4-5 to the upper end
  CHECK(nearest(P{8, -4}, wall).distance == 5);
  const auto dome = circle_half({0, 0}, 5, true);
  CHECK(nearest(P{0, 9}, dome).distance == Approx(4));
  CHECK(nearest(P{0, 1}, dome).distance == Approx(4));
  CHECK(nearest(P{8, -4}, dome).distance == Approx(5)); // to the end (5, 0)
  CHECK(nearest(P{0, 0}, dome).distance == Approx(5));  // from its very centre
  // Line to arc by their common normal; arc to arc, side by side and one in the other.
  CHECK(nearest(line(P{-9, 7}, P{9, 7}), dome).distance == Approx(2));
  CHECK(nearest(dome, circle_half({0, 12}, 4, false)).distance == Approx(3));
  CHECK(nearest(dome, circle_half({0, 1}, 3, true)).distance == Approx(1));
  CHECK(nearest(dome, dome).distance == Approx(0).margin(1e-12));
  CHECK(nearest(P{0, 0}, line(P{3, 4}, P{3, 4})).distance == 5); // a line without length is a point
}

TEST_CASE("crossings by hand") {
  const auto dome = circle_half({0, 0}, 5, true);
  const auto two = crossings(dome, line(P{-9, 3}, P{9, 3}));
  REQUIRE(two.size() == 2);
  for (const P& p : two) CHECK(std::abs(p.r) == Approx(4));    // 3-4-5
  CHECK(crossings(dome, line(P{-9, -3}, P{9, -3})).empty());   // below: the missing half
  CHECK(crossings(dome, line(P{-9, 5}, P{9, 5})).size() >= 1); // touching
  CHECK(crossings(dome, line(P{-9, 5.001}, P{9, 5.001})).empty());
  CHECK(crossings(dome, circle_half({6, 0}, 5, true)).size() == 1);
  CHECK(crossings(line(P{0, 0}, P{4, 4}), line(P{0, 4}, P{4, 0})).size() == 1);
  CHECK(crossings(line(P{0, 0}, P{4, 4}), line(P{0, 1}, P{4, 5})).empty());     // parallel
  CHECK(crossings(line(P{0, 0}, P{4, 4}), line(P{4, 4}, P{9, 0})).size() == 1); // ends count
}

TEST_CASE("heights, breaks and clashes by hand") {
  const Chain step{line(P{10, 0}, P{10, 4}), line(P{10, 4}, P{4, 4}), circle_half({0, 4}, 4, true)};
  CHECK(heights_at(step, 7)->low == 4);
  CHECK(heights_at(step, 10)->low == 0); // the wall: all its heights
  CHECK(heights_at(step, 10)->high == 4);
  CHECK(heights_at(step, 0)->high == Approx(8));
  CHECK_FALSE(heights_at(step, 10.5));
  CHECK_FALSE(broken_at(step));
  CHECK_FALSE(self_crossing(step));
  Chain apart = step;
  apart[1].start.r += 1e-3;
  CHECK(broken_at(apart) == 0u);
  const Chain knot{line(P{0, 0}, P{10, 0}), line(P{10, 0}, P{10, 5}), line(P{10, 5}, P{5, -5})};
  const auto clash = self_crossing(knot);
  REQUIRE(clash);
  CHECK(clash->first == 0);
  CHECK(clash->second == 2);
  CHECK(clash->at.r == Approx(7.5));
  // A ring of three lines touches itself only where it closes; a figure of eight does not.
  CHECK_FALSE(self_crossing(Chain{line(P{0, 0}, P{4, 0}), line(P{4, 0}, P{0, 4}), line(P{0, 4}, P{0, 0})}));
  CHECK(self_crossing(
      Chain{line(P{0, 0}, P{4, 4}), line(P{4, 4}, P{4, 0}), line(P{4, 0}, P{0, 4}), line(P{0, 4}, P{0, 0})}));
}

TEST_CASE("nearest against sampling") {
  rc::prop("a point and a segment", [] {
    const auto s = random_segment();
    const P p{real(0, 40), real(-25, 25)};
    const auto n = nearest(p, s);
    RC_ASSERT(std::abs(length(n.a - n.b) - n.distance) < 1e-12);
    RC_ASSERT(brute(n.b, s) < arc_length(s) / 2000); // b lies on the segment
    const double sampled_distance = brute(p, s);
    RC_ASSERT(n.distance <= sampled_distance + 1e-9);
    RC_ASSERT(sampled_distance <= n.distance + arc_length(s) / 2000);
  });
  rc::prop("two segments, either way round", [] {
    const auto a = random_segment(), b = random_segment();
    const auto n = nearest(a, b);
    RC_ASSERT(std::abs(nearest(b, a).distance - n.distance) < 1e-9);
    RC_ASSERT(nearest(n.a, a).distance < 2e-6);
    RC_ASSERT(nearest(n.b, b).distance < 2e-6);
    RC_ASSERT(std::abs(length(n.a - n.b) - n.distance) < 1e-12);
    double best = 1e9;
    for (const P& p : sampled(a, 1000)) best = std::min(best, nearest(p, b).distance);
    RC_ASSERT(n.distance <= best + 1e-9);
    RC_ASSERT(best <= n.distance + arc_length(a) / 1000);
  });
}

TEST_CASE("crossings against sampling") {
  rc::prop("all are on both, and none is missing", [] {
    const auto a = random_segment(), b = random_segment();
    const auto found = crossings(a, b);
    RC_ASSERT(found.size() <= 2u);
    for (const P& p : found) {
      RC_ASSERT(nearest(p, a).distance < 2e-6);
      RC_ASSERT(nearest(p, b).distance < 2e-6);
    }
    // Where a walk along one goes from one side of the other's carrier to the other side, within its ends.
    const auto side = [&](const P& p) {
      return b.is_arc() ? length(p - b.centre) - b.radius : cross(unit(b.end - b.start), p - b.start);
    };
    const auto points = sampled(a, 2000);
    const double step = arc_length(a) / 2000;
    for (std::size_t i = 0; i + 1 < points.size(); ++i) {
      // Overlapping curves are on neither side: of those none are asked for.
      if (side(points[i]) * side(points[i + 1]) > -1e-18) continue;
      const bool well_within = nearest(points[i], b).distance < 2 * step && length(points[i] - b.start) > 4 * step &&
                               length(points[i] - b.end) > 4 * step;
      if (!well_within) continue;
      double best = 1e9;
      for (const P& p : found) best = std::min(best, length(p - points[i]));
      RC_ASSERT(best < 2 * step);
    }
  });
}

TEST_CASE("heights against sampling") {
  rc::prop("lowest and highest point of a column", [] {
    const auto chain = random_segments();
    const double r = real(0, 40) + 0.00317;
    double low = 1e9, high = -1e9;
    for (const auto& s : chain) {
      // A column that grazes an arc's side is not for sampling to decide.
      if (s.is_arc() && std::abs(std::abs(r - s.centre.r) - s.radius) < 2e-3) return;
      const auto points = sampled(s, 4000);
      for (std::size_t i = 0; i + 1 < points.size(); ++i) {
        const P &a = points[i], &b = points[i + 1];
        if ((a.r - r) * (b.r - r) > 0 || a.r == b.r) continue;
        const double z = a.z + (b.z - a.z) * (r - a.r) / (b.r - a.r);
        low = std::min(low, z), high = std::max(high, z);
      }
    }
    const auto h = heights_at(chain, r);
    RC_ASSERT(h.has_value() == (low <= high));
    if (!h) return;
    RC_ASSERT(std::abs(h->low - low) < 1e-3);
    RC_ASSERT(std::abs(h->high - high) < 1e-3);
  });
}

TEST_CASE("inside against a ray and a fine polygon") {
  const auto crossings_of_ray = [](const P& p, ChainView closed) {
    int count = 0;
    for (const auto& s : closed) {
      const auto points = sampled(s, 1000);
      for (std::size_t i = 0; i + 1 < points.size(); ++i) {
        const P &a = points[i], &b = points[i + 1];
        if ((a.z > p.z) != (b.z > p.z) && p.r < a.r + (b.r - a.r) * (p.z - a.z) / (b.z - a.z)) ++count;
      }
    }
    return count;
  };
  rc::prop("under a chain", [&] {
    auto closed = closed_below(random_chain(), -12);
    if (*rc::gen::arbitrary<bool>()) closed = reversed(closed);
    const P p{real(-2, 42), real(-25, 35)};
    if (nearest(p, closed).distance < 0.01) return;
    // The floor may cut through a falling chain: then the outline winds both ways, and even-odd is not winding.
    if (self_crossing(closed)) return;
    RC_ASSERT(inside(p, closed) == (crossings_of_ray(p, closed) % 2 == 1));
  });
  rc::prop("in a lens of two arcs", [&] {
    const P a{real(5, 20), real(-5, 5)}, b{a.r + real(1, 10), a.z + real(-5, 5)};
    const double bulge = real(0.2, 2.9); // half the angle turned
    const double radius = length(b - a) / 2 / std::sin(bulge);
    const P normal = left_of(unit(b - a)), mid = (a + b) * 0.5;
    const double off = radius * std::cos(bulge);
    const Chain lens{arc(Kind::ccw, a, b, mid + normal * off, radius),
                     arc(Kind::ccw, b, a, mid - normal * off, radius)};
    P p{real(-10, 45), real(-20, 20)};
    // Half the points close to an arc, where the chords that stand for it lie on the other side of them.
    if (*rc::gen::arbitrary<bool>()) {
      const P on = point_at(lens[0], real(0, 1));
      p = on + unit(on - lens[0].centre) * (radius * real(-0.06, 0.06));
    }
    if (nearest(p, lens).distance < 1e-3) return;
    // For half angles over a quarter turn the arcs cross no more, they only bulge further: both discs together.
    const bool first = length(p - lens[0].centre) < radius, second = length(p - lens[1].centre) < radius;
    RC_ASSERT(inside(p, lens) == (bulge < pi / 2 ? first && second : first || second));
  });
}

TEST_CASE("self crossing against an orientation test") {
  rc::prop("of chains of straight lines", [] {
    const int n = *rc::gen::inRange(3, 8);
    std::vector<P> points;
    for (int i = 0; i <= n; ++i) points.push_back({real(0, 10), real(0, 10)});
    Chain chain;
    for (int i = 0; i < n; ++i) chain.push_back(line(points[i], points[i + 1]));
    bool crosses = false;
    for (int i = 0; i < n; ++i)
      for (int j = i + 1; j < n; ++j) {
        // Near misses and near touches are left to the tolerance.
        if (length(points[i + 1] - points[i]) < 0.05) return;
        if (j > i + 1 && nearest(chain[i], chain[j]).distance < 1e-3) {
          const auto turn = [](const P& a, const P& b, const P& c) { return cross(b - a, c - a); };
          const double t1 = turn(points[i], points[i + 1], points[j]),
                       t2 = turn(points[i], points[i + 1], points[j + 1]);
          const double t3 = turn(points[j], points[j + 1], points[i]),
                       t4 = turn(points[j], points[j + 1], points[i + 1]);
          if (std::min({std::abs(t1), std::abs(t2), std::abs(t3), std::abs(t4)}) < 1e-3) return;
          if (t1 * t2 < 0 && t3 * t4 < 0) crosses = true;
        }
      }
    if (length(points[n] - points[n - 1]) < 0.05 || length(points[0] - points[n]) < 0.05) return;
    RC_ASSERT(self_crossing(chain).has_value() == crosses);
  });
  rc::prop("never of a chain that is a function of the radius, lines or arcs", [] {
    RC_ASSERT_FALSE(self_crossing(random_chain()).has_value());
    RC_ASSERT_FALSE(broken_at(random_chain()).has_value());
  });
}
