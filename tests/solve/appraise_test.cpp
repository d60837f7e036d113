// Any profile judged: the fit's own chambers, handed over as bare chains, must get the fit's own figures; and figures
// by hand.
#include "chamber/profile/proposed.hpp"
#include "chamber/solve/appraise.hpp"
#include "samples.hpp"
#include <catch2/catch.hpp>
#include <cmath>
#include <sstream>

using namespace chamber;
using namespace chamber::solve;
using profile::Chain;
using profile::line;
using profile::P;

namespace {

const Check* find(const std::vector<Check>& all, const std::string& name) {
  for (const auto& c : all)
    if (c.name == name) return &c;
  return nullptr;
}

Task following_crown(shapes::Family family) {
  auto t = samples::task(family);
  t.frame.follow_crown = true;
  t.frame.crown_radius = 180;
  t.preferences[3] = {1, 0, 3, 1, 1, 0.25};
  return t;
}

} // namespace

TEST_CASE("appraise: agrees with the fit, every family", "[appraise]") {
  int families = 0;
  for (const auto family : samples::families)
    for (const bool follow : {false, true}) {
      const auto task = follow ? following_crown(family) : samples::task(family);
      const auto f = fit(task);
      if (follow && !f) continue; // not every family reaches the volume with every band
      REQUIRE(f);
      ++families;
      CAPTURE(shapes::name(family), follow);
      const auto a = appraise(shapes::chain_of(f->chamber), task);
      CHECK(a.withheld.empty());
      CHECK(a.head_cc == Approx(f->head_cc).epsilon(1e-12));
      CHECK(a.clearance_cc == Approx(task.budget.clearance_from_head_cc(f->head_cc)).epsilon(1e-12));
      REQUIRE(a.features.band);
      CHECK(a.features.band->width_mm == Approx(f->rounded.squish_width).margin(1e-8));
      CHECK(a.split.band_volume_mm3 == Approx(f->split.band_volume_mm3).epsilon(1e-8));
      CHECK(a.split.bowl_volume_mm3 == Approx(f->split.bowl_volume_mm3).epsilon(1e-8));
      CHECK(a.split.mouth_gap_mm == Approx(f->split.mouth_gap_mm).margin(1e-8));
      REQUIRE(a.peak);
      CHECK(a.peak->velocity_m_s == Approx(f->peak.velocity_m_s).epsilon(1e-8));
      if (follow) CHECK(a.opening_deg == Approx(f->rounded.squish_angle_deg).margin(1e-6));
      // Every limit the fit judges, but the geometry of its family, by name.
      std::size_t compared = 0;
      for (const auto& theirs : f->checks) {
        if (theirs.name == "tightest place of the profile") continue;
        CAPTURE(theirs.name);
        const auto* ours = find(a.checks, theirs.name);
        REQUIRE(ours);
        CHECK(ours->value == Approx(theirs.value).margin(1e-6));
        CHECK(ours->limit == theirs.limit);
        CHECK(ours->ok == theirs.ok);
        CHECK(ours->minimum == theirs.minimum);
        CHECK(ours->unit == theirs.unit);
        CHECK(ours->key == theirs.key);
        ++compared;
      }
      CHECK(compared >= 10);
      CHECK(a.checks.size() == compared);
    }
  CHECK(families >= 6);
}

TEST_CASE("appraise: a table of points gets nearly the same figures", "[appraise]") {
  for (const auto family : samples::families)
    for (const int decimals : {6, 4}) {
      const auto task = samples::task(family);
      const auto f = fit(task);
      REQUIRE(f);
      CAPTURE(shapes::name(family), decimals);
      profile::PointsStyle style;
      style.chord_error_mm = 1e-5;
      style.decimals = decimals;
      std::istringstream text(profile::write_points(shapes::chain_of(f->chamber), style));
      const auto p = profile::read_points(text, "", {});
      REQUIRE(p);
      const auto a = appraise(p->chain, task);
      REQUIRE(a.features.band);
      CHECK(a.head_cc == Approx(f->head_cc).margin(0.001));
      CHECK(a.squish_area_ratio * 100 == Approx(find(f->checks, "squish area ratio, least")->value).margin(0.3));
      CHECK(a.smallest_gap.gap_mm == Approx(find(f->checks, "smallest squish gap")->value).margin(0.005));
      CHECK(a.peak->velocity_m_s == Approx(f->peak.velocity_m_s).margin(0.3));
      CHECK(find(a.checks, "wall to outside")->value ==
            Approx(find(f->checks, "wall to outside")->value).margin(0.001));
    }
}

TEST_CASE("appraise: a flat band by hand", "[appraise]") {
  // 66.4 x 72, rod 130, 9000 rpm, mouth radius 23, flat gap 1.1 mm, 18 cc above the band's plane: 38.65 m/s at 10.1 deg
  // before top dead centre (worked out by hand from continuity, and Heywood's eq. 8.34 for a flat band, from memory).
  Task t;
  t.budget.bore_mm = 66.4;
  t.budget.deck_mm = 1.1;
  t.crank = {72, 130};
  t.peak_rpm = 9000;
  t.limits.gap_min_mm = 1;
  t.limits.gap_velocity_max_m_s = 35;
  const double height = 18000 / (3.14159265358979323846 * 23 * 23);
  const Chain c{line(P{33.2, 0}, P{23, 0}), line(P{23, 0}, P{23, height}), line(P{23, height}, P{0, height})};
  const auto a = appraise(c, t);
  REQUIRE(a.peak);
  CHECK(a.peak->velocity_m_s == Approx(38.65).margin(0.005));
  CHECK(a.peak->before_tdc_deg == Approx(10.1).margin(0.05));
  CHECK(a.head_cc == Approx(18));
  CHECK(a.smallest_gap.gap_mm == Approx(1.1));
  CHECK(a.squish_area_ratio == Approx(1 - (23 / 33.2) * (23 / 33.2)));
  CHECK(a.plug_to_crown_mm == Approx(height + 1.1));
  const auto* v = find(a.checks, "peak gap velocity");
  REQUIRE(v);
  CHECK_FALSE(v->ok);
  CHECK(find(a.checks, "smallest squish gap")->ok);
  REQUIRE(a.withheld.size() == 1); // no body, no walls
  CHECK_FALSE(a.smallest_wall_mm);
  CHECK(a.cautions.empty());
  // The same chamber drawn without its band, which lies in the sealing face.
  const auto bare = appraise(Chain(c.begin() + 1, c.end()), t);
  REQUIRE(bare.peak);
  CHECK(bare.peak->velocity_m_s == Approx(a.peak->velocity_m_s).epsilon(1e-12));
  CHECK(bare.squish_area_ratio == Approx(a.squish_area_ratio));
  CHECK(bare.cautions.size() == 1);
}

TEST_CASE("appraise: the smallest gap lies where the band runs along the crown", "[appraise]") {
  // A band of slope 1:10 over a crown of radius 150: crown slope equals it at r = 150 sin(atan 0.1) = 14.93, inside the
  // mouth; at radius 280 it is 27.86, on the band. Crown height there by h = sqrt(R^2 - r^2) - sqrt(R^2 - a^2).
  Task t;
  t.budget.bore_mm = 66.4;
  t.budget.deck_mm = 1.5;
  t.budget.crown = engine::crown_from_radius(engine::Crown::Form::domed, 66.4, 280);
  const Chain c{line(P{33.2, 0}, P{23.2, 1}), line(P{23.2, 1}, P{20, 12}), line(P{20, 12}, P{0, 12})};
  const auto a = appraise(c, t);
  const double r = 280 * std::sin(std::atan(0.1));
  const double crown = std::sqrt(280 * 280 - r * r) - std::sqrt(280 * 280 - 33.2 * 33.2);
  CHECK(a.smallest_gap.radius_mm == Approx(r).margin(1e-3));
  CHECK(a.smallest_gap.gap_mm == Approx(1.5 + (33.2 - r) * 0.1 - crown).margin(1e-9));
  REQUIRE(a.gaps.size() == 9);
  CHECK(a.gaps.front().radius_mm == Approx(33.2));
  CHECK(a.gaps.front().gap_mm == Approx(1.5));
  CHECK(a.gaps.back().radius_mm == Approx(23.2));
}

TEST_CASE("appraise: a boss that hangs nearer to the crown than the band is found", "[appraise]") {
  Task t;
  t.budget.bore_mm = 66.4;
  t.budget.deck_mm = 1.0;
  const Chain c{line(P{33.2, 0}, P{33.2, 0.5}), line(P{33.2, 0.5}, P{24, 0.5}), line(P{24, 0.5}, P{22, 9}),
                line(P{22, 9}, P{12, 9}),       line(P{12, 9}, P{10, 0.2}),     line(P{10, 0.2}, P{0, 0.2})};
  const auto a = appraise(c, t);
  REQUIRE(a.features.band);
  CHECK(a.smallest_gap.gap_mm == Approx(1.2));
  CHECK(a.smallest_gap.radius_mm <= 10.001);
}

TEST_CASE("appraise: without a band its figures are withheld, with the reason", "[appraise]") {
  Task t = samples::task(shapes::Family::spherical);
  const Chain ball{profile::arc(profile::Kind::ccw, P{33.2, 0}, P{0, 33.2}, P{0, 0}, 33.2)};
  const auto a = appraise(ball, t);
  CHECK(a.head_cc == Approx(2.0 / 3 * 3.14159265358979323846 * 33.2 * 33.2 * 33.2 / 1000));
  CHECK_FALSE(a.peak);
  REQUIRE(a.withheld.size() == 1);
  CHECK(a.withheld[0].find("No squish figures") == 0);
  CHECK_FALSE(find(a.checks, "smallest squish gap"));
  CHECK(find(a.checks, "plug end to crown"));
  CHECK(find(a.checks, "wall to outside"));
}
