// What must hold of every feasible chamber, whatever its dimensions.
#include "chamber/profile/distance.hpp"
#include "samples.hpp"
#include <catch2/catch.hpp>
#include <optional>
#include <rapidcheck/catch.h>

using namespace chamber::shapes;
using namespace chamber::shapes::testing;
namespace profile = chamber::profile;
using profile::P;

namespace {

bool is_round(Role r) {
  return r == Role::rim_round || r == Role::mouth_round || r == Role::bowl_corner || r == Role::boss_round ||
         r == Role::pocket_edge || r == Role::pocket_corner;
}

/// Volume after moving dimension i by `by`, if still feasible.
std::optional<double> moved(Sample s, std::size_t i, double by) {
  at(s.dimensions, i) += by;
  if (room(s) < 0) return std::nullopt;
  return volume(s);
}

/// volume must go up (+1) or down (-1) with dimension i for feasible samples.
void monotone(Family family, std::size_t i, int sign, bool flat_band = false) {
  rc::prop(std::string(name(family)) + ", " + std::string(dimension_names[i]) + (sign > 0 ? " up" : " down"), [=] {
    auto s = feasible(family);
    if (flat_band) {
      s.frame.follow_crown = false;
      s.dimensions.squish_angle_deg = 0;
      if (room(s) < 0) return;
    }
    const double step = uniform(0.01, 1);
    if (const auto after = moved(s, i, step)) RC_ASSERT(sign * (*after - volume(s)) > 0);
  });
}

} // namespace

TEST_CASE("feasible chambers are sound profiles") {
  for (const auto family : families)
    rc::prop(std::string(name(family)), [family] {
      const auto s = feasible(family);
      const auto c = build(s.frame, s.dimensions);
      const auto chain = chain_of(c);
      RC_ASSERT_FALSE(profile::broken_at(chain).has_value());
      RC_ASSERT_FALSE(profile::self_crossing(chain).has_value());
      RC_ASSERT(chain.front().start.r == s.frame.rim_radius);
      RC_ASSERT(std::abs(chain.front().start.z) < 1e-9);
      RC_ASSERT(chain.back().end.r == 0.0);
      RC_ASSERT(chain.back().end.z == c.roof_z);
      // Never outwards, never below the sealing face, all within the box of rim and roof.
      for (const auto& seg : chain) {
        RC_ASSERT(profile::arc_length(seg) > 0.9e-3); // tolerance::coordinate_mm
        for (int i = 0; i < 40; ++i) {
          const P a = profile::point_at(seg, i / 40.0), b = profile::point_at(seg, (i + 1) / 40.0);
          RC_ASSERT(b.r <= a.r + 1e-9);
          RC_ASSERT(b.z >= -1e-9);
        }
        if (seg.is_arc()) RC_ASSERT(std::abs(profile::length(seg.end - seg.centre) - seg.radius) < 1e-9);
      }
    });
}

TEST_CASE("feasible chambers have one height at a radius") {
  for (const auto family : families)
    rc::prop(std::string(name(family)), [family] {
      const auto s = feasible(family);
      const auto chain = chain_of(build(s.frame, s.dimensions));
      const double r = uniform(0.01, s.frame.bore_radius - 0.01) + 0.00137; // off the vertical walls
      const auto h = profile::heights_at(chain, r);
      RC_ASSERT(h.has_value());
      // Slack: what point_mm of radius can mean on a wall of the least draft.
      if (s.frame.draft_deg > 0.5 || h->high - h->low < 1e-6) RC_ASSERT(h->high - h->low < 1e-4);
    });
}

TEST_CASE("rounds are tangent at both ends and have the radius asked for") {
  for (const auto family : families)
    rc::prop(std::string(name(family)), [family] {
      const auto s = feasible(family);
      const auto& f = s.frame;
      const auto c = build(f, s.dimensions);
      const auto joint = [&](std::size_t i) {
        const P a = profile::direction_at(c.chain[i], 1), b = profile::direction_at(c.chain[i + 1], 0);
        RC_ASSERT(profile::length(a - b) < 1e-7);
      };
      int rounds = 0;
      for (std::size_t i = 0; i < c.chain.size(); ++i) {
        const Role role = c.roles[i];
        if (role == Role::bowl_wall && family == Family::two_radius) joint(i); // the two arcs
        if (role == Role::trough) joint(i - 1);                                // wall into trough
        if (!is_round(role)) continue;
        ++rounds;
        joint(i - 1);
        joint(i);
        const double wanted = role == Role::rim_round     ? f.rim_round
                              : role == Role::mouth_round ? f.mouth_round
                              : role == Role::boss_round  ? f.boss_round
                              : role == Role::pocket_edge ? f.pocket_edge
                              : role == Role::bowl_corner ? s.dimensions.bowl_radius
                                                          : f.pocket_corner;
        RC_ASSERT(c.chain[i].radius == wanted);
        // Rounds in the metal's inner corners turn left, those on its edges turn right.
        const bool hollow = role == Role::rim_round || role == Role::pocket_corner || role == Role::bowl_corner;
        RC_ASSERT(c.chain[i].kind == (hollow ? profile::Kind::ccw : profile::Kind::cw));
      }
      const int wanted = (f.rim_round > 0) + (f.mouth_round > 0) + (f.pocket_edge > 0) + (f.pocket_corner > 0) +
                         (family == Family::toroidal && f.boss_round > 0) + (family == Family::flat_roof);
      RC_ASSERT(rounds == wanted);
    });
}

TEST_CASE("volume closed form, quadrature and signs agree") {
  for (const auto family : families)
    rc::prop(std::string(name(family)), [family] {
      const auto s = feasible(family);
      const auto mine = chain_of(build(s.frame, s.dimensions));
      const double v = profile::swept_volume(mine);
      RC_ASSERT(v > 0);
      RC_ASSERT(std::abs(profile::swept_volume_by_quadrature(mine) - v) <= 1e-12 * v);
    });
}

TEST_CASE("scaling every length by k scales the volume by k^3") {
  for (const auto family : families)
    rc::prop(std::string(name(family)), [family] {
      auto s = feasible(family);
      const double before = volume(s), k = uniform(0.5, 2);
      auto& f = s.frame;
      for (double* x :
           {&f.bore_radius, &f.rim_radius, &f.edge_height, &f.crown_radius, &f.rim_round, &f.mouth_round,
            &f.pocket_radius, &f.pocket_edge, &f.pocket_corner, &f.wall_radius, &f.boss_drop, &f.boss_round})
        *x *= k;
      auto& d = s.dimensions;
      for (double* x : {&d.bowl_radius, &d.bowl_depth, &d.squish_width, &d.pocket_depth}) *x *= k;
      RC_ASSERT(std::abs(volume(s) - k * k * k * before) <= 1e-10 * k * k * k * before);
    });
}

TEST_CASE("volume moves one way with each dimension") {
  // A larger arc over the same mouth is flatter, a larger corner fills more: less volume.
  monotone(Family::spherical, 0, -1);
  monotone(Family::two_radius, 0, -1);
  monotone(Family::flat_roof, 0, -1);
  // Deeper, and a pocket deeper: more.
  monotone(Family::flat_roof, 1, +1);
  monotone(Family::toroidal, 1, +1);
  for (const auto family : families) {
    monotone(family, 4, +1);
    monotone(family, 3, +1); // a steeper band lifts all that follows
  }
  // Under a flat band a narrower mouth means less; under a steep one the mouth also rises.
  for (const auto family : {Family::spherical, Family::flat_roof}) monotone(family, 2, -1, true);
}

TEST_CASE("a deeper pocket adds its cylinder and nothing else") {
  for (const auto family : families)
    rc::prop(std::string(name(family)), [family] {
      const auto s = feasible(family);
      const double step = uniform(0.1, 3), r = s.frame.pocket_radius;
      const auto after = moved(s, 4, step);
      RC_ASSERT(after.has_value());
      RC_ASSERT(std::abs(*after - volume(s) - pi * r * r * step) < 1e-7);
    });
}

TEST_CASE("whatever the dimensions, the rooms decide and nothing throws") {
  // Every dimension a spec can ask for: none negative, that is refused at the door.
  for (const auto family : families)
    rc::prop(std::string(name(family)), [family] {
      auto s = any(family);
      for (std::size_t i = 0; i < dimension_count; ++i)
        if (coin()) at(s.dimensions, i) = uniform(0, 60);
      RC_LOG() << to_text(s);
      const auto c = build(s.frame, s.dimensions);
      RC_ASSERT(c.room_count > 0u);
      RC_ASSERT_FALSE(std::isnan(tightest(c).room));
      if (tightest(c).room < 0) return;
      const auto chain = chain_of(c);
      RC_ASSERT_FALSE(profile::self_crossing(chain).has_value());
      RC_ASSERT_FALSE(profile::broken_at(chain).has_value());
    });
}

TEST_CASE("a band that would dip below the sealing face has no room") {
  auto f = plain_frame(Family::spherical);
  f.rim_radius = 34; // a millimetre wider than the bore, no edge height, rising band
  const auto c = build(f, Dimensions<double>{26, 0, 9, 10, 4});
  CHECK(tightest(c).room == Approx(-std::tan(10 * pi / 180)));
  CHECK(std::string(tightest(c).what).find("sealing face") != std::string::npos);
}

// The margin kept from degenerate places is 0.05 mm, the drawing's grid.
TEST_CASE("rooms by hand") {
  const auto tight = [](const Frame& f, const Dimensions<double>& d, double room, const std::string& what) {
    const auto t = tightest(build(f, d));
    CHECK(t.room == Approx(room).margin(1e-9));
    CHECK(std::string(t.what) == what);
  };
  const auto spherical = plain_frame(Family::spherical);
  tight(spherical, {26, 0, 9, 0, 0.04}, -0.01, "depth of the pocket");
  tight(spherical, {34, 0, 0.04, 0, 4}, -0.01, "width of the squish band");
  tight(spherical, {24.03, 0, 9, 0, 4}, -0.02, "bowl radius over mouth radius");
  tight(spherical, {26, 0, 26, 0, 4}, 7 - 7.55, "width of the bowl outside the pocket");
  const auto flat = plain_frame(Family::flat_roof);
  tight(flat, {0.02, 11, 9, 0, 4}, -0.03, "bowl radius over nothing");
  tight(flat, {5, 4, 9, 0, 4}, -1.05, "height of the wall under the bowl radius");
  auto toroidal = plain_frame(Family::toroidal);
  toroidal.boss_drop = 6;
  tight(toroidal, {5, 11, 9, 0, 4}, -1.05, "trough radius over the boss drop, so that the boss is not undercut");
  auto rounded = spherical;
  rounded.mouth_round = 20; // a tangent length beyond the band's 9 mm
  CHECK(std::string(tightest(build(rounded, Dimensions<double>{26, 0, 9, 0, 4})).what) ==
        "room for the mouth round on the band");
  // A round on a recess wall that is not there: no number comes out, and no number is no room.
  auto walled = spherical;
  walled.rim_round = 0.3;
  CHECK(tightest(build(walled, Dimensions<double>{26, 0, 9, 5, 4})).room < 0);
}
