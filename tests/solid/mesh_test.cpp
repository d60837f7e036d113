// The mesh: watertight, oriented, of the right genus; its bounds hold and fall as the deflection does.
#include "chamber/profile/integrals.hpp"
#include "chamber/solid/revolve.hpp"
#include "chamber/units/tolerance.hpp"
#include "samples.hpp"
#include "scratch.hpp"
#include "stl_file.hpp"
#include <BRepMesh_IncrementalMesh.hxx>
#include <BRepTools.hxx>
#include <BRep_Tool.hxx>
#include <Poly_Triangulation.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <catch2/catch.hpp>
#include <chrono>

using namespace chamber;

namespace {

constexpr shapes::Family families[] = {shapes::Family::spherical, shapes::Family::flat_roof, shapes::Family::toroidal,
                                       shapes::Family::two_radius};

/// Volume enclosed by the kernel's own mesh of the shape.
double kernel_mesh_mm3(const TopoDS_Shape& shape, double deflection_mm) {
  BRepTools::Clean(shape); // a second mesh on a meshed shape is ignored
  BRepMesh_IncrementalMesh(shape, deflection_mm, false, 0.5);
  double six = 0;
  for (TopExp_Explorer e(shape, TopAbs_FACE); e.More(); e.Next()) {
    TopLoc_Location at;
    const auto mesh = BRep_Tool::Triangulation(TopoDS::Face(e.Current()), at);
    for (int i = 1; i <= mesh->NbTriangles(); ++i) {
      int a = 0, b = 0, c = 0;
      mesh->Triangle(i).Get(a, b, c);
      const double v = mesh->Node(a).XYZ().Dot(mesh->Node(b).XYZ().Crossed(mesh->Node(c).XYZ()));
      six += e.Current().Orientation() == TopAbs_REVERSED ? -v : v;
    }
  }
  return six / 6;
}

} // namespace

TEST_CASE("STL files are closed, oriented, free of slivers, and of the right genus", "[stl]") {
  const scratch::Folder folder;
  for (const auto family : families) {
    const auto parts = samples::parts(samples::sample(family), folder / "s");
    const auto results = solid::make(parts, scratch::options());
    REQUIRE(results);
    for (std::size_t i = 0; i < parts.size(); ++i) {
      CAPTURE(parts[i].name);
      const auto bytes = scratch::bytes_of(parts[i].stl_path);
      CHECK(bytes.substr(0, 5) != "solid"); // readers take that for the text form
      const auto facets = stl::parse(bytes);
      const auto t = stl::topology(facets);
      CHECK(t.unmatched == 0);
      CHECK(t.degenerate == 0);
      CHECK(t.facets == results->at(i).triangles);
      // Euler-Poincare: 2 - 2 genus. The insert has a through hole, the cavity has none.
      CHECK(t.euler() == (i == 0 ? 0 : 2));
      const auto& r = results->at(i);
      CHECK(std::abs(stl::volume(facets) - r.volume_closed_mm3) <= r.stl_bound_mm3);
      for (const auto& f : facets) {
        REQUIRE(std::hypot(f.normal[0], f.normal[1], f.normal[2]) == Approx(1).margin(1e-6));
        // No -0: a reader that compares bytes would see two points where there is one.
        for (const auto& p : f.corner)
          for (const float x : p) REQUIRE((x != 0 || !std::signbit(x)));
      }
    }
  }
}

TEST_CASE("the mesh figure agrees to mesh_relative, in far under 0.2 s for both parts, within a bound that shrinks",
          "[mesh]") {
  for (const auto family : families) {
    const scratch::Folder folder;
    const auto parts = samples::parts(samples::sample(family), folder / "s");
    std::vector<double> bound(parts.size(), 1e9), raw(parts.size(), 1e9);
    for (const double deflection : {0.03, 0.02, 0.01, 0.005}) {
      auto options = scratch::options();
      options.mesh_deflection_mm = deflection;
      const auto results = solid::make(parts, options);
      if (!results) FAIL(to_text(results.error()));
      double ms = 0;
      for (std::size_t i = 0; i < parts.size(); ++i) {
        CAPTURE(parts[i].name, deflection);
        const auto& r = results->at(i);
        const double truth = r.volume_closed_mm3;
        CHECK(r.fine_deflection_mm <= deflection);
        CHECK(r.coarse_deflection_mm > 3 * r.fine_deflection_mm);
        CHECK(std::abs(r.volume_mesh_mm3 - truth) <= r.mesh_bound_mm3);
        CHECK(std::abs(r.fine_mesh_mm3 - truth) <= r.stl_bound_mm3);
        CHECK(std::abs(r.volume_mesh_mm3 - truth) <= tolerance::mesh_relative * truth);
        CHECK(std::abs(r.volume_mesh_mm3 - truth) < std::abs(r.fine_mesh_mm3 - truth) / 5);
        // Neither bound is padded out of sight: the miss is a good part of it.
        CHECK(std::abs(r.fine_mesh_mm3 - truth) > r.stl_bound_mm3 / 10);
        CHECK(r.mesh_bound_mm3 < bound[i]);
        CHECK(r.stl_bound_mm3 < raw[i]);
        bound[i] = r.mesh_bound_mm3;
        raw[i] = r.stl_bound_mm3;
        ms += r.timings_ms.mesh;
      }
      CHECK(ms < 200);
    }
  }
}

TEST_CASE("bound and miss fall with the fourth power of the step, as derived", "[mesh]") {
  const scratch::Folder folder;
  // A half sphere: no small rounds, whose steps are whole numbers too small to follow the deflection smoothly.
  using profile::line;
  const solid::Part part{"half sphere",
                         scratch::named({line<double>({0, 0}, {33, 0}),
                                         profile::arc<double>(profile::Kind::ccw, {33, 0}, {0, 33}, {0, 0}, 33.0),
                                         line<double>({0, 33}, {0, 0})}),
                         folder / "a.step", ""};
  auto options = scratch::options();
  options.mesh_deflection_mm = 0.032;
  const auto rough = scratch::made(part, options);
  options.mesh_deflection_mm = 0.002; // a sixteenth: a quarter of the step
  const auto fine = scratch::made(part, options);
  CHECK(rough.mesh_bound_mm3 / fine.mesh_bound_mm3 == Approx(256).epsilon(0.2));
  const double truth = rough.volume_closed_mm3;
  CHECK((rough.volume_mesh_mm3 - truth) / (fine.volume_mesh_mm3 - truth) == Approx(256).epsilon(0.2));
}

TEST_CASE("the kernel's own mesher encloses the same body", "[mesh]") {
  // Another mesh of the same solid, triangle by triangle its own: area x deflection bounds its miss, at both levels.
  for (const auto family : families) {
    const auto part = samples::parts(samples::sample(family), "unused")[1];
    const auto outline = solid::checked_outline(part);
    REQUIRE(outline);
    const auto revolved = solid::revolve(part, *outline);
    REQUIRE(revolved);
    const profile::ChainView chain = *outline;
    const double truth = profile::swept_volume(chain), area = profile::swept_area(chain);
    double last = 1e9;
    for (const double deflection : {0.1, 0.02}) {
      const double miss = std::abs(kernel_mesh_mm3(revolved->solid, deflection) - truth);
      CAPTURE(part.name, deflection, miss);
      CHECK(miss <= area * deflection);
      CHECK(miss < last);
      last = miss;
    }
  }
}
