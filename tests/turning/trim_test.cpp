// One cut on a finished insert: what it takes, that nothing else is touched, and that the proof sees every way it can
// go wrong.
#include "chamber/profile/distance.hpp"
#include "chamber/profile/integrals.hpp"
#include "chamber/turning/plan_trim.hpp"
#include "whole_samples.hpp"
#include <catch2/catch.hpp>

using namespace chamber;
using namespace chamber::turning;
using profile::ChainView;
using profile::line;
using profile::P;

namespace {

constexpr double pi = 3.14159265358979323846;

double cc(const profile::Chain& c) {
  return profile::swept_volume(ChainView(c)) / 1000;
}

struct Done {
  TrimPlan plan;
  std::string text;
  Proof proof;
};

Proof prove_text(const Trim& t, const TrimPlan& p, const std::string& text) {
  const auto program = read(text, t.job.machine);
  if (!program)
    for (const auto& e : program.error()) UNSCOPED_INFO(to_text(e));
  REQUIRE(program);
  const std::vector<Run> runs{{*program, p.plan.setups.front().clamping}};
  return prove(runs, p.work, t.job.tools, t.job.machine);
}

Done cut(const Trim& t) {
  auto plan = plan_trim(t);
  if (!plan) UNSCOPED_INFO(to_text(plan.error()));
  REQUIRE(plan);
  Done d{std::move(*plan), {}, {}};
  d.text = write(d.plan.plan, 0, t.job.machine);
  d.proof = prove_text(t, d.plan, d.text);
  for (const auto& f : d.proof.failures) UNSCOPED_INFO(name(f.kind) << ": " << f.message);
  return d;
}

/// A sample chamber with one dimension moved, its roof where it was.
profile::Chain recut(shapes::Family family, std::size_t dimension, double by) {
  const auto frame = samples::frame_of(family);
  auto d = samples::dimensions_of(family);
  const double roof = shapes::build(frame, d).roof_z;
  shapes::at(d, dimension) += by;
  if (dimension != 4) d.pocket_depth += roof - shapes::build(frame, d).roof_z;
  const auto c = shapes::build(frame, d);
  REQUIRE(shapes::tightest(c).room >= 0);
  return shapes::chain_of(c);
}

} // namespace

TEST_CASE("trim: a cup faced by hand", "[trim]") {
  // Wall 30 across and 12 deep: facing 0.1 mm takes pi 15^2 0.1 = 70.686 mm3 (cylinder).
  const profile::Chain cup{line(P{15, 0}, P{15, 12}), line(P{15, 12}, P{0, 12})};
  const auto after = faced(cup, 0.1);
  REQUIRE(after.size() == 2);
  CHECK(after.front().start.z == 0.1);
  CHECK(cc(cup) - cc(after) == Approx(pi * 15 * 15 * 0.1 / 1000).epsilon(1e-12));
  // A flat band in the sealing face: the plane goes back over the band too, and the chamber keeps a line in it. What is
  // above the new plane is the bowl alone: pi 10^2 (8 - 0.1).
  const profile::Chain banded{line(P{15, 0}, P{10, 0}), line(P{10, 0}, P{10, 8}), line(P{10, 8}, P{0, 8})};
  const auto plane = faced(banded, 0.1);
  REQUIRE(plane.size() == 3);
  CHECK(plane[0].start.r == 15);
  CHECK(plane[0].end.r == 10);
  CHECK(plane[0].end.z == 0.1);
  CHECK(cc(plane) == Approx(pi * 100 * 7.9 / 1000).epsilon(1e-12));
  // A cone of 45 degrees from r 15: at 0.5 mm it is 14.5 across. Frustum: pi h/3 (R^2 + R r + r^2), Machinery's
  // Handbook.
  const profile::Chain cone{line(P{15, 0}, P{5, 10}), line(P{5, 10}, P{0, 10})};
  const auto rest = faced(cone, 0.5);
  CHECK(rest[0].start.r == 15);
  CHECK(rest[1].start.r == Approx(14.5));
  CHECK(cc(rest) == Approx(pi * 9.5 / 3 * (14.5 * 14.5 + 14.5 * 5 + 25) / 1000));
  CHECK(faced(cup, 12).empty());
}

TEST_CASE("trim: facing of every family in both dialects is proven", "[trim]") {
  for (const auto family : samples::families)
    for (const auto dialect : {"rs274", "type-a"})
      for (const double t : {0.02, 0.35, 1.1}) {
        CAPTURE(shapes::name(family), dialect, t);
        Trim trim;
        trim.job = samples::whole_job(family);
        trim.job.machine.dialect = dialect;
        trim.job.tools[3].max_depth_mm = 0.5; // the turning tool: more than one pass for 1.1 mm
        trim.face_mm = t;
        const auto d = cut(trim);
        CHECK(d.proof.passed());
        // Independent of the proof: the rim is a cylinder as long as the cut stays within its straight wall of 0.2 mm.
        if (t < 0.2)
          CHECK(d.plan.before_cc - d.proof.volume_left_cc == Approx(pi * 33.6 * 33.6 * t / 1000).margin(1e-3));
        CHECK(d.plan.plan.setups.front().operations.front().passes == (t > 1 ? 3 : 1));
        CHECK(d.text.find("AS IT STANDS BEFORE THIS CUT") != std::string::npos);
      }
}

TEST_CASE("trim: bowl, mouth and pocket of every family are recut where they change, and nowhere else", "[trim]") {
  struct Cut {
    shapes::Family family;
    std::size_t dimension;
    double by;
  };
  using shapes::Family;
  int recuts = 0;
  for (const auto& c : {Cut{Family::spherical, 0, -0.3},
                        {Family::spherical, 2, -0.1},
                        {Family::spherical, 4, 0.3},
                        {Family::flat_roof, 1, 0.2},
                        {Family::flat_roof, 2, -0.2},
                        {Family::flat_roof, 4, 0.2},
                        {Family::toroidal, 1, 0.2},
                        {Family::toroidal, 4, 0.25},
                        {Family::two_radius, 0, -0.4},
                        {Family::two_radius, 2, -0.1},
                        {Family::two_radius, 4, 0.3}})
    for (const auto dialect : {"rs274", "type-a"}) {
      CAPTURE(shapes::name(c.family), c.dimension, c.by, dialect);
      Trim trim;
      trim.job = samples::whole_job(c.family);
      trim.job.machine.dialect = dialect;
      trim.chamber = recut(c.family, c.dimension, c.by);
      // A flat roof that is wider at the mouth sinks by the band's rise: not a cut then.
      if (c.family == Family::flat_roof && c.dimension == 2) {
        CHECK_FALSE(plan_trim(trim));
        continue;
      }
      const auto d = cut(trim);
      CHECK(d.proof.passed());
      CHECK(d.proof.volume_left_cc == Approx(cc(trim.chamber)).margin(0.01));
      CHECK(d.proof.volume_left_cc > d.plan.before_cc + 0.005);
      // The band outside the mouth, and with it the squish gap, is not touched: no feed comes near it.
      const auto& op = d.plan.plan.setups.front().operations.front();
      for (const auto& m : op.moves)
        if (m.kind != Move::Kind::rapid) CHECK(m.x_mm < 33.2 - 5);
      ++recuts;
    }
  CHECK(recuts == 20);
}

TEST_CASE("trim: deeper than the bar takes at once goes in passes", "[trim]") {
  Trim trim;
  trim.job = samples::whole_job(shapes::Family::spherical);
  trim.chamber = recut(shapes::Family::spherical, 0, -0.3);
  for (auto& t : trim.job.tools)
    if (t.kind == ToolKind::boring) t.max_depth_mm = 0.1;
  const auto d = cut(trim);
  const auto& op = d.plan.plan.setups.front().operations.front();
  CHECK(op.passes == static_cast<int>(std::ceil(d.plan.removed_mm / 0.1)));
  CHECK(op.passes > 1);
  CHECK(d.proof.passed());
}

TEST_CASE("trim: the proof sees a cut that goes wrong", "[trim]") {
  Trim trim;
  trim.job = samples::whole_job(shapes::Family::spherical);
  trim.face_mm = 0.2;
  const auto good = cut(trim);
  REQUIRE(good.proof.passed());
  const auto fails = [&](const Trim& t, const TrimPlan& p, const std::string& text, FailureKind kind) {
    const auto proof = prove_text(t, p, text);
    return std::any_of(proof.failures.begin(), proof.failures.end(), [&](const auto& f) { return f.kind == kind; });
  };
  const auto changed = [](std::string text, const std::string& from, const std::string& to) {
    REQUIRE(text.find(from) != std::string::npos);
    for (auto at = text.find(from); at != std::string::npos; at = text.find(from, at + to.size()))
      text.replace(at, from.size(), to);
    return text;
  };
  // 0.01 mm too deep or too little, on 33.6 mm radius: 0.035 cc.
  CHECK(fails(trim, good.plan, changed(good.text, "Z-0.200", "Z-0.210"), FailureKind::gouge));
  CHECK(fails(trim, good.plan, changed(good.text, "Z-0.200", "Z-0.210"), FailureKind::volume));
  CHECK(fails(trim, good.plan, changed(good.text, "Z-0.200", "Z-0.190"), FailureKind::metal_left));
  CHECK(fails(trim, good.plan, changed(good.text, "Z-0.200", "Z-0.190"), FailureKind::volume));

  Trim bowl;
  bowl.job = samples::whole_job(shapes::Family::spherical);
  bowl.chamber = recut(shapes::Family::spherical, 0, -0.3);
  const auto done = cut(bowl);
  REQUIRE(done.proof.passed());
  // A program that cuts nothing leaves the old bowl, which is seen although every surface outside it is right.
  auto idle = done.plan;
  auto& moves = idle.plan.setups.front().operations.front().moves;
  for (auto& m : moves) m.z_mm += 30, m.centre_z_mm += 30;
  const auto text = write(idle.plan, 0, bowl.job.machine);
  CHECK(fails(bowl, done.plan, text, FailureKind::metal_left));
  CHECK(fails(bowl, done.plan, text, FailureKind::volume));
  // A rapid straight through what stands: the piece is no blank with a flat face, but it is no air either.
  auto rash = done.plan;
  auto& first = rash.plan.setups.front().operations.front().moves;
  for (std::size_t i = 1; i + 1 < first.size(); ++i) first[i].kind = Move::Kind::rapid, first[i].feed_mm_per_rev = 0;
  CHECK(fails(bowl, done.plan, write(rash.plan, 0, bowl.job.machine), FailureKind::rapid_through_metal));
}

TEST_CASE("trim: refusals name what stands in the way", "[trim]") {
  Trim trim;
  trim.job = samples::whole_job(shapes::Family::spherical);
  trim.chamber = trim.job.chamber;
  CHECK(plan_trim(trim).error().message.find("old one") != std::string::npos);
  trim.chamber = recut(shapes::Family::spherical, 0, 0.5); // a larger sphere lies inside the bowl that stands
  CHECK(plan_trim(trim).error().message.find("put back") != std::string::npos);
  trim.chamber = recut(shapes::Family::spherical, 0, -0.3);
  for (auto& t : trim.job.tools)
    if (t.kind == ToolKind::boring) t.reach_mm = 8;
  CHECK(plan_trim(trim).error().message.find("reaches") != std::string::npos);
  std::erase_if(trim.job.tools, [](const Tool& t) { return t.kind == ToolKind::boring; });
  CHECK(plan_trim(trim).error().message.find("no boring tool") != std::string::npos);
  trim.face_mm = 0.1;
  CHECK(plan_trim(trim));
  trim.face_mm = 5; // the face groove is 1.9 deep
  CHECK(plan_trim(trim).error().message.find("whole") != std::string::npos);
}
