// Points, directions, lengths, boxes and cutting of lines and arcs.
#include "chamber/profile/segment.hpp"
#include "random.hpp"
#include <catch2/catch.hpp>
#include <rapidcheck/catch.h>

using namespace chamber::profile;
using namespace chamber::profile::testing;

namespace {
constexpr double pi = 3.14159265358979323846;
bool same(const P& a, const P& b, double slack = 1e-12) {
  return length(a - b) <= slack;
}
} // namespace

// By hand: a quarter circle of radius 2 about (5, 1).
TEST_CASE("an arc's sweep, length, points and directions") {
  const auto quarter = arc(Kind::ccw, P{7, 1}, P{5, 3}, P{5, 1}, 2.0);
  CHECK(sweep(quarter) == Approx(pi / 2));
  CHECK(arc_length(quarter) == Approx(pi));
  CHECK(same(point_at(quarter, 0.5), P{5 + std::sqrt(2.0), 1 + std::sqrt(2.0)}));
  CHECK(same(direction_at(quarter, 0), P{0, 1}));
  CHECK(same(direction_at(quarter, 1), P{-1, 0}));
  // The same ends the other way round: three quarters of a turn.
  const auto rest = arc(Kind::cw, P{7, 1}, P{5, 3}, P{5, 1}, 2.0);
  CHECK(sweep(rest) == Approx(-1.5 * pi));
  CHECK(arc_length(rest) == Approx(3 * pi));
  CHECK(same(point_at(rest, 1.0 / 3), P{5, -1}));
  CHECK(same(direction_at(rest, 0), P{0, -1}));
  const auto half = arc(Kind::ccw, P{7, 1}, P{3, 1}, P{5, 1}, 2.0);
  CHECK(sweep(half) == Approx(pi));
}

TEST_CASE("a box holds the bulge of an arc") {
  const auto box = bounding_box(Chain{arc(Kind::cw, P{7, 1}, P{5, 3}, P{5, 1}, 2.0), line(P{1, 0}, P{2, 9})});
  CHECK(box.r_min == 1);
  CHECK(box.r_max == 7);
  CHECK(box.z_min == -1);
  CHECK(box.z_max == 9);
  const auto flat = bounding_box(Chain{arc(Kind::ccw, P{7, 1}, P{5, 3}, P{5, 1}, 2.0)});
  CHECK(flat.r_min == 5);
  CHECK(flat.z_min == 1);
}

TEST_CASE("a fixed chain refuses what it has no room for") {
  FixedChain<double, 2> chain;
  chain.push(line(P{1, 0}, P{0, 0}));
  chain.push(line(P{0, 0}, P{0, 1}));
  CHECK(chain.size() == 2);
  CHECK_THROWS_AS(chain.push(line(P{0, 1}, P{0, 2})), std::logic_error);
}

TEST_CASE("properties of segments") {
  rc::prop("the box is what sampled points fill", [] {
    const auto s = random_segment();
    const auto box = bounding_box(Chain{s});
    double r_min = 1e9, r_max = -1e9, z_min = 1e9, z_max = -1e9;
    for (int i = 0; i <= 2000; ++i) {
      const P p = point_at(s, i / 2000.0);
      r_min = std::min(r_min, p.r), r_max = std::max(r_max, p.r);
      z_min = std::min(z_min, p.z), z_max = std::max(z_max, p.z);
    }
    // Sampling a circle misses its extreme by at most radius (step/2)^2/2, step = 6.2/2000.
    const double miss = s.is_arc() ? s.radius * 1.3e-6 : 1e-12;
    const auto fills = [&](double sampled, double exact) { return std::abs(sampled - exact) <= miss; };
    RC_ASSERT(fills(r_min, box.r_min) && fills(r_max, box.r_max) && fills(z_min, box.z_min) && fills(z_max, box.z_max));
  });
  rc::prop("reversed: the same points backwards, twice the same segment", [] {
    const auto s = random_segment();
    const auto back = reversed(s);
    const double u = real(0, 1);
    RC_ASSERT(same(point_at(back, u), point_at(s, 1 - u), 1e-9));
    RC_ASSERT(same(direction_at(back, u), direction_at(s, 1 - u) * -1.0, 1e-9));
    RC_ASSERT(std::abs(arc_length(back) - arc_length(s)) < 1e-9);
    RC_ASSERT(reversed(back).kind == s.kind);
  });
  rc::prop("mirrored: the same points with z turned", [] {
    const auto s = random_segment();
    const auto m = mirrored(Chain{s})[0];
    const double u = real(0, 1);
    const P p = point_at(s, u);
    RC_ASSERT(same(point_at(m, u), P{p.r, -p.z}, 1e-9));
  });
  rc::prop("cut: the parts join, add up and lie on the segment", [] {
    const auto s = random_segment();
    const double u = real(0.01, 0.99);
    const auto [a, b] = split(s, u);
    RC_ASSERT(same(a.end, b.start) && same(a.start, s.start) && same(b.end, s.end));
    RC_ASSERT(std::abs(arc_length(a) - u * arc_length(s)) < 1e-9);
    RC_ASSERT(std::abs(arc_length(b) - (1 - u) * arc_length(s)) < 1e-9);
    RC_ASSERT(same(point_at(a, 0.5), point_at(s, u / 2), 1e-9));
  });
  rc::prop("direction is the limit of the chord", [] {
    const auto s = random_segment();
    const double u = real(0.05, 0.95), h = 1e-5;
    RC_ASSERT(same(unit(point_at(s, u + h) - point_at(s, u - h)), direction_at(s, u), 1e-5));
  });
  rc::prop("transformed: every point moved and scaled", [] {
    const auto s = random_segment();
    const double k = real(0.2, 5), dz = real(-20, 20), u = real(0, 1);
    const auto t = transformed(Chain{s}, k, dz)[0];
    const P p = point_at(s, u);
    RC_ASSERT(same(point_at(t, u), P{p.r * k, p.z * k + dz}, 1e-9));
  });
}
