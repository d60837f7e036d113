// Our own inserts and cavities, handed over as if somebody else had drawn them. What they must hold is the closed form
// of the profile they were turned from; what other programs draw stands in tests/external/step_foreign.py.
#include "chamber/profile/integrals.hpp"
#include "chamber/solid/foreign.hpp"
#include "chamber/solid/loader.hpp"
#include "foreign_shapes.hpp"
#include <BRepBuilderAPI_NurbsConvert.hxx>
#include <BRepBuilderAPI_Transform.hxx>
#include <ShapeUpgrade_ShapeDivideAngle.hxx>
#include <catch2/catch.hpp>
#include <sys/wait.h>
#include <thread>

using namespace chamber;
using namespace foreign_shapes;
using solid::Body;

namespace {

constexpr shapes::Family families[] = {shapes::Family::spherical, shapes::Family::flat_roof, shapes::Family::toroidal,
                                       shapes::Family::two_radius};

solid::Measured measured(const std::string& path, const solid::MeasureOptions& options = {}) {
  auto result = solid::measure_step(path, options);
  if (!result) throw std::runtime_error(to_text(result.error()));
  return *result;
}

void check_point(const profile::P& got, const profile::P& expected, double within_mm) {
  CHECK(std::abs(got.r - expected.r) < within_mm);
  CHECK(std::abs(got.z - expected.z) < within_mm);
}

void check_chain(const profile::Chain& got, const profile::Chain& expected, double within_mm) {
  REQUIRE(got.size() == expected.size());
  for (std::size_t i = 0; i < got.size(); ++i) {
    CAPTURE(i);
    CHECK(got[i].kind == expected[i].kind);
    check_point(got[i].start, expected[i].start, within_mm);
    check_point(got[i].end, expected[i].end, within_mm);
    if (!expected[i].is_arc()) continue;
    check_point(got[i].centre, expected[i].centre, within_mm);
    CHECK(std::abs(got[i].radius - expected[i].radius) < within_mm);
  }
}

/// Volume, chain and landmarks of a sample, however it was handed over.
void check_sample(const solid::Measured& m, const samples::Sample& s, Body body, double relative = 1e-9,
                  double within_mm = 1e-8) {
  const auto chain = shapes::chain_of(s.chamber);
  CHECK(m.body == body);
  CHECK(m.volume_mm3 == Approx(profile::swept_volume(profile::ChainView(chain))).epsilon(relative));
  CHECK(m.turned);
  CHECK(m.not_turned.empty());
  CHECK(m.no_chain.empty());
  CHECK(m.axis_share == Approx(1));
  CHECK(m.turned_rim.empty());
  check_chain(m.chain, chain, within_mm);
  const auto box = profile::bounding_box(chain);
  CHECK(m.depth_mm == Approx(box.z_max).epsilon(1e-6));
  CHECK(m.mouth_radius_mm == Approx(box.r_max).epsilon(1e-6));
  if (body == Body::cavity) {
    CHECK(m.plug_holes.empty());
    CHECK(m.height_mm == Approx(box.z_max).epsilon(1e-6));
    return;
  }
  REQUIRE(m.plug_holes.size() == 1);
  const auto& hole = m.plug_holes[0];
  CHECK(hole.at_roof);
  CHECK(hole.radius_mm == Approx(s.insert.hole_radius_mm).epsilon(1e-9));
  CHECK(hole.end_mm == Approx(s.insert.roof_z_mm).epsilon(1e-9));
  CHECK(hole.top_mm == Approx(s.insert.seat_z_mm).epsilon(1e-9));
  CHECK(hole.tilt_deg < 1e-6);
  CHECK(hole.offset_mm < 1e-6);
  CHECK(m.height_mm == Approx(s.insert.height_mm).epsilon(1e-6));
  CHECK(m.largest_diameter_mm == Approx(94).epsilon(1e-6)); // the widest step of samples::body
}

std::vector<shapes::NamedSegment> outline(const samples::Sample& s, Body body) {
  return body == Body::insert ? s.insert.outline : shapes::cavity_outline(s.chamber);
}

} // namespace

TEST_CASE("what we write of each family comes back: volume, chain, plug hole", "[foreign]") {
  const scratch::Folder folder;
  for (const auto family : families) {
    const auto s = samples::sample(family);
    for (const auto unit : {solid::LengthUnit::millimetre, solid::LengthUnit::inch}) {
      auto options = scratch::options();
      options.unit = unit;
      const auto parts = samples::parts(s, folder / s.name);
      REQUIRE(solid::make(parts, options));
      for (const auto body : {Body::insert, Body::cavity}) {
        CAPTURE(s.name, static_cast<int>(unit), static_cast<int>(body));
        const auto m = measured(parts[body == Body::insert ? 0 : 1].step_path);
        check_sample(m, s, body);
        CHECK(m.unit == (unit == solid::LengthUnit::inch ? "INCH" : "millimetre"));
        CHECK(std::abs(m.sealing_mm) < 1e-9);
        CHECK(m.axis.direction[2] == Approx(1));
        CHECK(m.notes.size() >= 4);
      }
    }
  }
}

TEST_CASE("moved, rotated and upside down, in millimetres and inches", "[foreign]") {
  const scratch::Folder folder;
  for (const auto family : {shapes::Family::toroidal, shapes::Family::spherical}) {
    const auto s = samples::sample(family);
    for (const auto body : {Body::insert, Body::cavity})
      for (const auto* unit : {"MM", "INCH"}) {
        CAPTURE(s.name, unit, static_cast<int>(body));
        BRepBuilderAPI_Transform moved(turned(outline(s, body)), elsewhere(), true);
        const auto m = measured(written(moved.Shape(), folder / "moved.step", unit));
        check_sample(m, s, body, 1e-8, 1e-7);
        const gp_Pnt foot = gp_Pnt(0, 0, 0).Transformed(elsewhere());
        const gp_Dir into = gp_Dir(0, 0, 1).Transformed(elsewhere());
        for (int i = 0; i < 3; ++i) CHECK(m.axis.direction[static_cast<std::size_t>(i)] == Approx(into.Coord(i + 1)));
        CHECK(m.sealing_mm == Approx(foot.XYZ().Dot(into.XYZ())));
        gp_Trsf over;
        over.SetRotation(gp_Ax1(gp_Pnt(0, 0, 0), gp_Dir(1, 0, 0)), M_PI);
        BRepBuilderAPI_Transform turned_over(turned(outline(s, body)), over, true);
        check_sample(measured(written(turned_over.Shape(), folder / "over.step", unit)), s, body);
      }
  }
}

TEST_CASE("faces cut in halves and quarters, as other kernels write them", "[foreign]") {
  const scratch::Folder folder;
  const auto s = samples::sample(shapes::Family::toroidal);
  for (const auto body : {Body::insert, Body::cavity})
    for (const double angle : {M_PI, M_PI / 2}) {
      CAPTURE(angle, static_cast<int>(body));
      ShapeUpgrade_ShapeDivideAngle divide(angle, turned(outline(s, body)));
      REQUIRE(divide.Perform());
      check_sample(measured(written(divide.Result(), folder / "halves.step")), s, body);
    }
}

TEST_CASE("turned faces written as splines: volume right, chain rebuilt", "[foreign]") {
  const scratch::Folder folder;
  for (const auto family : {shapes::Family::toroidal, shapes::Family::two_radius}) {
    const auto s = samples::sample(family);
    for (const auto body : {Body::insert, Body::cavity}) {
      CAPTURE(s.name, static_cast<int>(body));
      BRepBuilderAPI_Transform moved(turned(outline(s, body)), elsewhere(), true);
      BRepBuilderAPI_NurbsConvert splines(moved.Shape());
      const auto m = measured(written(splines.Shape(), folder / "splines.step"));
      check_sample(m, s, body, 1e-7, 1e-5);
      CHECK(m.volume_doubt_mm3 < 1e-4 * m.volume_mm3);
      CHECK(m.notes.back().find("are free-form surfaces") != std::string::npos);
    }
  }
}

TEST_CASE("the caller may choose body, axis, sealing face and plug end", "[foreign]") {
  // A frustum's outline, radii 30 and 20 mm, 12 mm high, standing in the middle of a block's hole. By hand: cut at 4 mm
  // the radius there is 30 - 10/3 mm; V = pi h (R^2 + R r + r^2) / 3.
  using profile::line;
  const scratch::Folder folder;
  const auto frustum = scratch::named({line<double>({0, 0}, {30, 0}), line<double>({30, 0}, {20, 12}),
                                       line<double>({20, 12}, {0, 12}), line<double>({0, 12}, {0, 0})});
  const auto path = written(turned(frustum), folder / "frustum.step");
  const auto volume = [](double a, double b, double h) { return M_PI * h * (a * a + a * b + b * b) / 3; };
  CHECK(measured(path).volume_mm3 == Approx(volume(30, 20, 12)).epsilon(1e-12));
  const double there = 30 - 10.0 / 3;
  const auto cut = measured(path, {.sealing_mm = 4.0});
  CHECK(cut.volume_mm3 == Approx(volume(there, 20, 8)).epsilon(1e-10));
  CHECK(cut.sealing_mm == Approx(4));
  CHECK(cut.mouth_radius_mm == Approx(there));
  check_chain(cut.chain, {line<double>({there, 0}, {20, 8}), line<double>({20, 8}, {0, 8})}, 1e-9);
  CHECK(cut.height_mm == Approx(12).epsilon(1e-6));
  // The small end as the sealing face: heights count along the axis in the sense that leads into the insert.
  const auto other = measured(path, {.sealing_mm = -12.0});
  CHECK(other.volume_mm3 == Approx(volume(30, 20, 12)).epsilon(1e-12));
  CHECK(other.mouth_radius_mm == Approx(20));
  CHECK(other.axis.direction[2] == Approx(-1));

  const auto s = samples::sample(shapes::Family::flat_roof);
  const auto insert = written(turned(s.insert.outline), folder / "insert.step");
  const double end = s.insert.roof_z_mm + 3, r = s.insert.hole_radius_mm;
  const auto recessed = measured(insert, {.plug_end_mm = end});
  const double chamber = profile::swept_volume(profile::ChainView(shapes::chain_of(s.chamber)));
  CHECK(recessed.volume_mm3 == Approx(chamber + M_PI * r * r * 3).epsilon(1e-9));
  CHECK_FALSE(recessed.plug_holes.at(0).at_roof);
  CHECK(profile::swept_volume(profile::ChainView(recessed.chain)) == Approx(recessed.volume_mm3).epsilon(1e-9));
  check_sample(measured(insert, {.body = Body::insert, .axis = solid::Axis{{0, 0, 5}, {0, 0, -3}}, .solid = 1}), s,
               Body::insert);
  const auto beside = measured(insert, {.axis = solid::Axis{{0.5, 0, 0}, {0, 0, 1}}});
  CHECK(beside.volume_mm3 == Approx(chamber).epsilon(1e-9));
  CHECK_FALSE(beside.turned);
  CHECK(beside.not_turned.find("0.500 mm beside the turning axis") != std::string::npos);
  CHECK(beside.chain.empty());
}

TEST_CASE("from many threads while the kernel is being loaded and nothing is left behind", "[foreign]") {
  const scratch::Folder folder;
  const auto s = samples::sample(shapes::Family::spherical);
  const auto path = written(turned(shapes::cavity_outline(s.chamber)), folder / "a.step");
  const auto descriptors = [] {
    return std::distance(std::filesystem::directory_iterator("/proc/self/fd"), std::filesystem::directory_iterator());
  };
  const auto before = descriptors();
  std::vector<std::thread> threads;
  threads.emplace_back([] { (void)solid::load(); });
  std::array<double, 6> volumes{};
  for (auto& volume : volumes)
    threads.emplace_back([&volume, &path] {
      if (const auto m = solid::measure_step(path)) volume = m->volume_mm3;
    });
  for (auto& thread : threads) thread.join();
  for (const double volume : volumes)
    CHECK(volume == Approx(profile::swept_volume(profile::ChainView(shapes::chain_of(s.chamber)))).epsilon(1e-9));
  REQUIRE(solid::load());
  CHECK(descriptors() == before);
  CHECK(waitpid(-1, nullptr, WNOHANG) == -1); // no child is left
}
