// Features read off profiles laid out by hand; what they must be follows from the numbers they are laid out with.
#include "chamber/profile/integrals.hpp"
#include "chamber/shapes/features.hpp"
#include "samples.hpp"
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <rapidcheck/catch.h>

using namespace chamber;
using namespace chamber::profile;
using namespace chamber::shapes;

namespace {

constexpr double deg = 3.14159265358979323846 / 180;

/// Points along a chain, as a profile of short lines.
Chain chopped(ChainView chain, double step) {
  Chain out;
  P from = chain.front().start;
  for (const auto& s : chain) {
    const int n = s.is_arc() ? std::max(2, static_cast<int>(std::ceil(arc_length(s) / step))) : 1;
    for (int i = 1; i <= n; ++i) {
      const P to = point_at(s, static_cast<double>(i) / n);
      out.push_back(line(from, to));
      from = to;
    }
  }
  return out;
}

} // namespace

TEST_CASE("features: sharp corners, by hand") {
  // Recess 0.8 on radius 33, band rising 0.9 over 9 to the mouth at 24, cone to the pocket of radius 8, roof at 17.
  const Chain c{line(P{33, 0}, P{33, 0.8}), line(P{33, 0.8}, P{24, 1.7}), line(P{24, 1.7}, P{8, 15}),
                line(P{8, 15}, P{8, 17}), line(P{8, 17}, P{0, 17})};
  const auto f = features(c);
  REQUIRE(f.band);
  CHECK(f.rim_radius_mm == 33);
  CHECK(f.depth_mm == 17);
  CHECK(f.roof_z_mm == 17);
  CHECK(f.roof_radius_mm == 8);
  CHECK(f.pocket_radius_mm == 8);
  CHECK(f.band->mouth.r == Approx(24));
  CHECK(f.band->mouth.z == Approx(1.7));
  CHECK(f.band->width_mm == Approx(9));
  CHECK(f.band->angle_deg == Approx(std::atan(0.1) / deg));
  CHECK(f.band->edge_height == Approx(0.8));
  CHECK(f.band->straight);
  // A bore of 32.5 within that recess: the band begins there.
  const auto g = features(c, 32.5);
  REQUIRE(g.band);
  CHECK(g.band->width_mm == Approx(8.5));
  CHECK(g.band->edge_height == Approx(0.85));
}

TEST_CASE("features: a chamfered mouth, a level band, no recess") {
  // The band lies in the sealing face. A 0.5 x 0.5 chamfer at the mouth is taken away again.
  const Chain c{line(P{33, 0}, P{24.5, 0}), line(P{24.5, 0}, P{24, 0.5}), line(P{24, 0.5}, P{24, 8}),
                line(P{24, 8}, P{0, 8})};
  const auto f = features(c);
  REQUIRE(f.band);
  CHECK(f.band->mouth.r == Approx(24));
  CHECK(f.band->mouth.z == Approx(0).margin(1e-12));
  CHECK(f.band->angle_deg == Approx(0).margin(1e-12));
  CHECK(f.roof_radius_mm == 24);
}

TEST_CASE("features: no band where none is") {
  const double radius = 33;
  const Chain half_ball{arc(Kind::ccw, P{radius, 0}, P{0, radius}, P{0, 0}, radius)};
  CHECK_FALSE(features(half_ball).band);
  CHECK_FALSE(features(half_ball).no_band.empty());
  // A shallow dome into a plug pocket: the pocket's edge is no mouth.
  const double R = 60, zc = -std::sqrt(R * R - 33 * 33), z = zc + std::sqrt(R * R - 7.5 * 7.5);
  const Chain dome{arc(Kind::ccw, P{33, 0}, P{7.5, z}, P{0, zc}, R), line(P{7.5, z}, P{7.5, z + 2}),
                   line(P{7.5, z + 2}, P{0, z + 2})};
  CHECK_FALSE(features(dome).band);
  const auto f = features(dome);
  CHECK(f.pocket_radius_mm == 7.5);
  // A cone from rim to roof.
  const Chain cone{line(P{33, 0}, P{8, 12}), line(P{8, 12}, P{0, 12})};
  CHECK_FALSE(features(cone).band);
}

TEST_CASE("features: the mouth of random chambers, rounds and all") {
  for (const auto family : testing::families)
    rc::prop(std::string(name(family)), [family] {
      const auto s = testing::feasible(family);
      const auto chamber = build(s.frame, s.dimensions);
      // Where band and bowl run on into each other there is nothing to see.
      const auto chain = chain_of(chamber);
      const auto bowl = std::find_if(chamber.roles.begin(), chamber.roles.begin() + static_cast<long>(chain.size()),
                                     [](Role r) { return r == Role::bowl || r == Role::bowl_wall; });
      const auto& beyond = chain[static_cast<std::size_t>(bowl - chamber.roles.begin())];
      const P in = direction_at(chamber.band, 1), up = direction_at(beyond, 0);
      RC_PRE(std::abs(angle_between(in, up)) > 10 * deg);
      RC_PRE(chamber.mouth.r > 0.45 * s.frame.rim_radius);
      // What rises more than 40 degrees, as under a very high crown, is not taken for a band.
      const P out = direction_at(chamber.band, 0);
      RC_PRE(std::atan2(out.z, -out.r) < 39 * deg);
      const auto f = features(chain, s.frame.bore_radius);
      RC_ASSERT(f.band.has_value());
      RC_ASSERT(std::abs(f.band->mouth.r - chamber.mouth.r) < 1e-7);
      RC_ASSERT(std::abs(f.band->mouth.z - chamber.mouth.z) < 1e-7);
      RC_ASSERT(std::abs(f.band->edge_height - s.frame.edge_height) < 1e-7);
      RC_ASSERT(std::abs(f.band->width_mm - s.dimensions.squish_width) < 1e-7);
      RC_ASSERT(f.roof_z_mm == chain.back().end.z);
      RC_ASSERT(std::abs(f.pocket_radius_mm - s.frame.pocket_radius) < 1e-9);
      // As a profile of short lines: nearly the same.
      const auto chop = features(chopped(chain, 0.02), s.frame.bore_radius);
      RC_ASSERT(chop.band.has_value());
      // Past the round a short or narrow piece shows only nearly how it would have led on.
      const double off = std::abs(chop.band->mouth.r - chamber.mouth.r);
      const bool plain = arc_length(beyond) > 0.5 && (!beyond.is_arc() || beyond.radius > 10);
      RC_ASSERT(off < (plain ? 0.1 : 0.6));
      RC_ASSERT(std::abs(chop.band->angle_deg - f.band->angle_deg) < 0.2);
      // Out to the bore, past the rim's round, its last line leads on: that leans by half the arc it stands for, whose
      // length is sqrt(8 R 0.02).
      const auto band = std::find(chamber.roles.begin(), chamber.roles.end(), Role::band) - chamber.roles.begin();
      const auto& rounded = chain[static_cast<std::size_t>(band)];
      const double lean = rounded.is_arc() ? std::sqrt(8 * 0.02 / rounded.radius) / 2 : 0;
      RC_ASSERT(std::abs(chop.band->edge_height - s.frame.edge_height) <
                0.02 + lean * std::max(0.0, s.frame.bore_radius - rounded.start.r) /
                           std::cos(angle_between(P{-1, 0}, in)));
    });
}
