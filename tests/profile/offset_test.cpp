// Parallel curves: small ones by hand, then every point of random ones at its distance and none missing.
#include "chamber/profile/distance.hpp"
#include "chamber/profile/offset.hpp"
#include "random.hpp"
#include <catch2/catch.hpp>
#include <rapidcheck/catch.h>

using namespace chamber::profile;
using namespace chamber::profile::testing;

namespace {

constexpr double pi = 3.14159265358979323846;

double total_length(ChainView chain) {
  double sum = 0;
  for (const auto& s : chain) sum += arc_length(s);
  return sum;
}

void check_end(const P& a, const P& b) {
  CHECK(a.r == Approx(b.r).margin(1e-9));
  CHECK(a.z == Approx(b.z).margin(1e-9));
}

/// Wall up at r = 10, a round into a roof at z = 5 (radius 0: a sharp corner).
Chain cup(double radius) {
  if (radius == 0) return {line(P{10, 0}, P{10, 5}), line(P{10, 5}, P{0, 5})};
  return {line(P{10, 0}, P{10, 5 - radius}),
          arc(Kind::ccw, P{10, 5 - radius}, P{10 - radius, 5}, P{10 - radius, 5 - radius}, radius),
          line(P{10 - radius, 5}, P{0, 5})};
}

} // namespace

TEST_CASE("offset of a sharp concave corner") {
  const auto o = offset_left(cup(0), 1).value();
  REQUIRE(o.size() == 2);
  check_end(o[0].start, {9, 0});
  check_end(o[0].end, {9, 4});
  check_end(o[1].end, {0, 4});
  CHECK(total_length(o) == Approx(4 + 9));
}

TEST_CASE("offset of a sharp convex corner") {
  // Along z = 0 inwards, up a wall at r = 6, along a roof: the lower corner is an edge of the metal.
  const Chain chain{line(P{10, 0}, P{6, 0}), line(P{6, 0}, P{6, 5}), line(P{6, 5}, P{0, 5})};
  const auto o = offset_left(chain, 1).value();
  REQUIRE(o.size() == 4);
  check_end(o[0].start, {10, -1});
  CHECK(o[1].kind == Kind::cw);
  CHECK(o[1].radius == 1);
  check_end(o[1].centre, {6, 0});
  check_end(o[2].end, {5, 4});
  check_end(o[3].end, {0, 4});
  CHECK(total_length(o) == Approx(4 + pi / 2 + 4 + 5));
}

TEST_CASE("offset of arcs") {
  // A hollow quarter circle shrinks, a raised one grows.
  const auto hollow = offset_left(Chain{arc(Kind::ccw, P{10, 0}, P{0, 10}, P{0, 0}, 10.0)}, 3).value();
  REQUIRE(hollow.size() == 1);
  CHECK(hollow[0].radius == 7);
  CHECK(total_length(hollow) == Approx(7 * pi / 2));
  const auto raised = offset_left(Chain{arc(Kind::cw, P{10, 5}, P{5, 0}, P{5, 5}, 5.0)}, 3).value();
  REQUIRE(raised.size() == 1);
  CHECK(raised[0].radius == 8);
  CHECK(total_length(raised) == Approx(8 * arc_length(Chain{arc(Kind::cw, P{10, 5}, P{5, 0}, P{5, 5}, 5.0)}[0]) / 5));
}

TEST_CASE("a concave round shrinks, then vanishes") {
  const auto smaller = offset_left(cup(2), 1.5).value();
  REQUIRE(smaller.size() == 3);
  CHECK(smaller[1].radius == Approx(0.5));
  CHECK(total_length(smaller) == Approx(3 + 0.5 * pi / 2 + 8));
  // As large as the round, and larger: only the two straight sides are left, meeting where those of a sharp corner
  // would.
  for (const double d : {2.0, 2.0 + 1e-7, 2.5, 4.0}) {
    INFO(d);
    const auto gone = offset_left(cup(2), d).value();
    check_end(gone.front().start, {10 - d, 0});
    check_end(gone.back().end, {0, 5 - d});
    CHECK(total_length(gone) == Approx(5 - d + 10 - d).margin(1e-5));
  }
}

TEST_CASE("an end that cannot be reached is left out") {
  // The wall is lower than the distance: a circle of radius 2 along the roof at z = 1 first touches the wall's foot
  // (10, 0) with its centre at z = -1 and r = 10 - sqrt(4 - 1).
  const Chain low{line(P{10, 0}, P{10, 1}), line(P{10, 1}, P{0, 1})};
  const auto o = offset_left(low, 2).value();
  check_end(o.front().start, {10 - std::sqrt(3.0), -1});
  check_end(o.back().end, {0, -1});
}

TEST_CASE("what a circle cannot roll into") {
  CHECK(too_tight_for(cup(2), 1.9).empty());
  CHECK(too_tight_for(cup(2), 2).empty());
  const auto round = too_tight_for(cup(2), 2.1);
  REQUIRE(round.size() == 1);
  CHECK(round[0].segment == 1);
  CHECK(round[0].radius_mm == 2);
  CHECK(round[0].at.r == Approx(8 + std::sqrt(2.0)));
  const auto sharp = too_tight_for(cup(0), 0.1);
  REQUIRE(sharp.size() == 1);
  CHECK(sharp[0].radius_mm == 0);
  CHECK(sharp[0].at.r == 10);
  // Convex rounds and edges are no obstacle.
  CHECK(too_tight_for(Chain{line(P{10, 0}, P{6, 0}), line(P{6, 0}, P{6, 5})}, 5).empty());
}

TEST_CASE("properties of offsets") {
  rc::prop("every point is at the distance, on the left, and joined", [] {
    const auto chain = random_chain();
    const double d = real(0.1, 2.5);
    const auto o = offset_left(chain, d);
    if (!o) RC_FAIL(o.error().message);
    RC_ASSERT_FALSE(broken_at(*o).has_value());
    RC_ASSERT_FALSE(self_crossing(*o).has_value());
    for (const auto& s : *o)
      for (int i = 0; i <= 50; ++i) {
        const P p = point_at(s, i / 50.0);
        const auto n = nearest(p, chain);
        RC_ASSERT(std::abs(n.distance - d) < 1e-5);
      }
    const P middle = point_at((*o)[o->size() / 2], 0.5);
    const auto over = heights_at(chain, middle.r);
    RC_ASSERT((!over || middle.z < over->high));
  });
  rc::prop("and none is missing", [] {
    const auto chain = random_chain();
    const double d = real(0.1, 2.5);
    const auto o = offset_left(chain, d);
    RC_ASSERT(o.has_value());
    for (const auto& s : chain)
      for (int i = 1; i < 100; ++i) {
        const P p = point_at(s, i / 100.0) + left_of(direction_at(s, i / 100.0)) * d;
        if (nearest(p, chain).distance > d - 1e-7) RC_ASSERT(nearest(p, *o).distance < 2e-5);
      }
  });
  rc::prop("twice by half is once by the whole, away from vanishing rounds", [] {
    // Wall, round, roof: closed form of the length and both ends for any distance under the radius.
    const double radius = real(1, 4), d = real(0.05, 0.95) * radius;
    const auto once = offset_left(cup(radius), d).value();
    const auto half = offset_left(cup(radius), d / 2).value();
    const auto twice = offset_left(half, d / 2).value();
    RC_ASSERT(std::abs(total_length(once) - (5 - radius + (radius - d) * pi / 2 + 10 - radius)) < 1e-6);
    RC_ASSERT(std::abs(total_length(once) - total_length(twice)) < 1e-6);
  });
}
