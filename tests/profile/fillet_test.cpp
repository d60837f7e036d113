// Edge rounds: both joints tangent, in every pairing of lines and arcs.
#include "chamber/profile/fillet.hpp"
#include "random.hpp"
#include <catch2/catch.hpp>
#include <rapidcheck/catch.h>

using namespace chamber::profile;
using namespace chamber::profile::testing;

namespace {

bool same(const P& a, const P& b, double slack = 1e-12) {
  return length(a - b) <= slack;
}

/// What must hold of any round that fits.
void check_round(const S& before, const S& after, double radius) {
  const auto f = fillet(before, after, radius);
  INFO("left " << f.before_left << " and " << f.after_left);
  REQUIRE(f.before_left > 0);
  REQUIRE(f.after_left > 0);
  CHECK(f.round.radius == radius);
  // Continuous, the far ends untouched.
  CHECK(same(f.before.start, before.start));
  CHECK(same(f.before.end, f.round.start));
  CHECK(same(f.round.end, f.after.start));
  CHECK(same(f.after.end, after.end));
  // The joints lie on the old segments and on the round.
  for (const P& p : {f.round.start, f.round.end}) CHECK(length(p - f.round.centre) == Approx(radius).epsilon(1e-12));
  if (before.is_arc()) CHECK(length(f.round.start - before.centre) == Approx(before.radius).epsilon(1e-12));
  if (after.is_arc()) CHECK(length(f.round.end - after.centre) == Approx(after.radius).epsilon(1e-12));
  if (!before.is_arc())
    CHECK(cross(unit(before.end - before.start), f.round.start - before.start) == Approx(0).margin(1e-10));
  if (!after.is_arc())
    CHECK(cross(unit(after.end - after.start), f.round.end - after.start) == Approx(0).margin(1e-10));
  // Tangent at both, and short: a round turns by less than half a turn.
  CHECK(same(direction_at(f.before, 1), direction_at(f.round, 0), 1e-9));
  CHECK(same(direction_at(f.round, 1), direction_at(f.after, 0), 1e-9));
  CHECK(std::abs(sweep(f.round)) < 3.1415927);
  CHECK(f.before_left == Approx(arc_length(f.before)).epsilon(1e-9));
  CHECK(f.after_left == Approx(arc_length(f.after)).epsilon(1e-9));
}

/// A segment through `corner` that leaves it (or reaches it, reversed) in a direction: a line, or an arc of a radius
/// that curves left or right.
S leaving(P corner, double direction, int kind, double radius, double reach) {
  const P d{std::cos(direction), std::sin(direction)};
  if (kind == 0) return line(corner, corner + d * reach);
  const P centre = corner + left_of(d) * (kind == 1 ? radius : -radius);
  const double turned = reach / radius * (kind == 1 ? 1 : -1);
  const P out = corner - centre;
  const P end{centre.r + out.r * std::cos(turned) - out.z * std::sin(turned),
              centre.z + out.r * std::sin(turned) + out.z * std::cos(turned)};
  return arc(kind == 1 ? Kind::ccw : Kind::cw, corner, end, centre, radius);
}

} // namespace

// By hand: a square corner at (10, 5), radius 2: joints 2 mm from the corner, centre 2 mm inside both.
TEST_CASE("a square corner") {
  const auto up = line(P{10, 0}, P{10, 5}), in = line(P{10, 5}, P{0, 5});
  const auto f = fillet(up, in, 2.0);
  CHECK(f.round.kind == Kind::ccw);
  CHECK(same(f.round.centre, P{8, 3}));
  CHECK(same(f.round.start, P{10, 3}));
  CHECK(same(f.round.end, P{8, 5}));
  CHECK(f.before_left == Approx(3));
  CHECK(f.after_left == Approx(8));
  // The same corner turned the other way.
  const auto out = fillet(up, line(P{10, 5}, P{20, 5}), 2.0);
  CHECK(out.round.kind == Kind::cw);
  CHECK(same(out.round.centre, P{12, 3}));
  check_round(up, in, 2.0);
}

// By hand: the round of radius 1 that touches z = 0 from above and the circle of radius 3 about (0, 0) from inside has
// its centre at (sqrt(3), 1): (3 - 1)^2 = 3 + 1.
TEST_CASE("a line onto an arc") {
  const auto flat = line(P{0, 0}, P{3, 0});
  const auto bow = arc(Kind::ccw, P{3, 0}, P{0, 3}, P{0, 0}, 3.0);
  const auto f = fillet(flat, bow, 1.0);
  CHECK(same(f.round.centre, P{std::sqrt(3.0), 1}));
  CHECK(same(f.round.start, P{std::sqrt(3.0), 0}));
  CHECK(same(f.round.end, P{1.5 * std::sqrt(3.0), 1.5}));
  CHECK(f.before_left == Approx(std::sqrt(3.0)));
  CHECK(f.after_left == Approx(3.14159265358979 / 3 * 3)); // from 30 to 90 degrees
  check_round(flat, bow, 1.0);
  check_round(reversed(bow), reversed(flat), 1.0);
}

TEST_CASE("a round that does not fit says by how much") {
  const auto f = fillet(line(P{10, 0}, P{10, 5}), line(P{10, 5}, P{0, 5}), 6.0);
  CHECK(f.before_left == Approx(-1));
  CHECK(f.after_left == Approx(4));
  // Curves that the round's circle cannot touch: a small arc and a huge round.
  const auto bow = arc(Kind::ccw, P{3, 0}, P{0, 3}, P{0, 0}, 3.0);
  const auto g = fillet(line(P{0, 0}, P{3, 0}), bow, 40.0);
  CHECK(std::min(g.before_left, g.after_left) < 0);
  for (const double x :
       {g.round.centre.r, g.round.centre.z, g.before.end.r, g.after.start.z, g.before_left, g.after_left})
    CHECK(std::isfinite(x));
}

TEST_CASE("rounds of every pairing") {
  rc::prop("tangent at both joints", [] {
    const int first = *rc::gen::inRange(0, 3), second = *rc::gen::inRange(0, 3);
    const P corner{real(10, 30), real(-5, 5)};
    // Turning by 0.5 to 2.4 rad either way; arcs of radius over 10 and short enough to stay near the corner.
    const double arrive = real(-3, 3), turned = real(0.5, 2.4) * (*rc::gen::arbitrary<bool>() ? 1 : -1);
    const auto before = reversed(leaving(corner, arrive + 3.14159265358979, first, real(10, 30), 8));
    const auto after = leaving(corner, arrive + turned, second, real(10, 30), 8);
    check_round(before, after, real(0.1, 1));
  });
}
