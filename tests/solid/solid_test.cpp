// The solid itself: one closed valid body of analytic faces, whose integrals are the closed form's.
#include "chamber/profile/integrals.hpp"
#include "chamber/solid/revolve.hpp"
#include "chamber/solid/step_file.hpp"
#include "chamber/units/tolerance.hpp"
#include "samples.hpp"
#include "scratch.hpp"
#include <BRepAdaptor_Surface.hxx>
#include <BRepBndLib.hxx>
#include <BRepClass3d_SolidClassifier.hxx>
#include <BRepGProp.hxx>
#include <Bnd_Box.hxx>
#include <GProp_GProps.hxx>
#include <catch2/catch.hpp>
#include <set>

using namespace chamber;

namespace {

solid::Revolved revolved(const solid::Part& part) {
  const auto outline = solid::checked_outline(part);
  REQUIRE(outline);
  auto r = solid::revolve(part, *outline);
  REQUIRE(r);
  REQUIRE(solid::check(part, *r));
  return std::move(*r);
}

GeomAbs_SurfaceType type_of(const solid::Revolved& r, const std::string& face) {
  for (const auto& f : r.faces)
    if (f.name == face) return BRepAdaptor_Surface(f.face).GetType();
  FAIL("no face " << face);
  return GeomAbs_OtherSurface;
}

} // namespace

TEST_CASE("inserts and cavities of every family: metal inside, air outside, box as the outline", "[solid]") {
  for (const auto family :
       {shapes::Family::spherical, shapes::Family::flat_roof, shapes::Family::toroidal, shapes::Family::two_radius}) {
    for (const auto& part : samples::parts(samples::sample(family), "unused")) {
      CAPTURE(part.name);
      const auto r = revolved(part);
      BRepClass3d_SolidClassifier inside(r.solid);
      inside.PerformInfinitePoint(1e-7);
      CHECK(inside.State() == TopAbs_OUT);
      const auto box = profile::bounding_box(shapes::chain_of(part.outline));
      Bnd_Box b;
      BRepBndLib::AddOptimal(r.solid, b, false, false);
      double x0 = 0, y0 = 0, z0 = 0, x1 = 0, y1 = 0, z1 = 0;
      b.Get(x0, y0, z0, x1, y1, z1);
      for (const double side : {-x0, -y0, x1, y1}) CHECK(side == Approx(box.r_max).margin(1e-6));
      CHECK(z0 == Approx(box.z_min).margin(1e-6));
      CHECK(z1 == Approx(box.z_max).margin(1e-6));
    }
  }
}

TEST_CASE("faces carry their segments' names and kinds", "[solid]") {
  const auto r = revolved(samples::parts(samples::sample(shapes::Family::toroidal), "unused")[0]);
  CHECK(type_of(r, "sealing face") == GeomAbs_Plane);
  CHECK(type_of(r, "plug hole") == GeomAbs_Cylinder);
  CHECK(type_of(r, "edge break") == GeomAbs_Cone);
  CHECK(type_of(r, "trough") == GeomAbs_Torus);
  const auto s = revolved(samples::parts(samples::sample(shapes::Family::spherical), "unused")[1]);
  CHECK(type_of(s, "bowl") == GeomAbs_Sphere);
  for (const auto& f : s.faces) CHECK(f.name != "axis");
}

TEST_CASE("plain Gauss integration is as exact as the adaptive one", "[solid]") {
  for (const auto family : {shapes::Family::spherical, shapes::Family::toroidal}) {
    for (const auto& part : samples::parts(samples::sample(family), "unused")) {
      CAPTURE(part.name);
      const auto r = revolved(part);
      const auto plain = solid::measure(r.solid);
      GProp_GProps volume, area;
      BRepGProp::VolumeProperties(r.solid, volume, 1e-11);
      BRepGProp::SurfaceProperties(r.solid, area, 1e-11);
      CHECK(plain.volume_mm3 == Approx(volume.Mass()).epsilon(1e-11));
      CHECK(plain.area_mm2 == Approx(area.Mass()).epsilon(1e-11));
      const auto chain = shapes::chain_of(part.outline);
      CHECK(plain.volume_mm3 == Approx(profile::swept_volume_by_quadrature(chain)).epsilon(tolerance::exact_relative));
    }
  }
}

TEST_CASE("insert and cavity fill the blank between them", "[solid]") {
  // The blank less grooves, seat and hole: frusta and cylinders added by hand; what is left is insert + cavity.
  const scratch::Folder folder;
  const auto s = samples::sample(shapes::Family::flat_roof);
  const auto results = solid::make(samples::parts(s, folder / "s"), scratch::options());
  REQUIRE(results);
  const auto cylinder = [](double d, double l) { return 3.14159265358979323846 / 4 * d * d * l; };
  const auto frustum = [](double d, double e, double l) {
    return 3.14159265358979323846 / 12 * l * (d * d + d * e + e * e);
  };
  const double top = s.insert.height_mm;
  const double steps = frustum(93.4, 94, 0.3) + cylinder(94, 13.4) + frustum(94, 93.4, 0.3) + cylinder(70, 19.7) +
                       frustum(70, 69.4, 0.3);
  const double grooves = cylinder(83, 1.95) - cylinder(76, 1.95) + cylinder(70, 3.6) - cylinder(66.2, 3.6);
  // M14 x 1.25: tap drill 12.75 mm; seat 26 mm, 17.5 mm above the roof.
  const double hole = cylinder(12.75, 17.5) + cylinder(26, top - s.insert.roof_z_mm - 17.5);
  CHECK(top == Approx(34));
  CHECK(results->at(0).volume_brep_mm3 + results->at(1).volume_brep_mm3 ==
        Approx(steps - grooves - hole).epsilon(1e-11));
}
