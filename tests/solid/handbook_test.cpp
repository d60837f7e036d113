// Volumes and areas out of Machinery's Handbook, 31st ed., pp. 90-93 ("Volumes of Solids", worked examples), through
// the solid: kernel, mesh and re-read file. Lengths are taken as mm; the book's inches only scale.
#include "chamber/units/quantity.hpp"
#include "scratch.hpp"
#include <catch2/catch.hpp>

using namespace chamber;
using namespace chamber::profile;

namespace {

solid::PartResult solid_of(const Chain& chain) {
  const scratch::Folder folder;
  return scratch::made({"handbook", scratch::named(chain), folder / "a.step", folder / "a_mm.stl"});
}

/// The printed figure, to half a unit of its last digit and the book's pi of 3.1416, by every way the room knows.
void check_volume(const solid::PartResult& r, double printed, double last_digit) {
  const double half_digit = last_digit + printed * (3.1416 / units::pi - 1);
  CHECK(r.volume_brep_mm3 == Approx(printed).margin(half_digit).epsilon(0));
  CHECK(r.volume_reread_mm3 == Approx(printed).margin(half_digit).epsilon(0));
  CHECK(r.volume_mesh_mm3 == Approx(printed).margin(half_digit + r.mesh_bound_mm3).epsilon(0));
  CHECK(r.fine_mesh_mm3 == Approx(printed).margin(half_digit + r.stl_bound_mm3).epsilon(0));
}

} // namespace

TEST_CASE("spherical segment: height 50, chord 125 give 372,247 and radius 64", "[handbook]") {
  const double h = 50, c = 62.5, radius = (c * c + h * h) / (2 * h);
  CHECK(radius == Approx(64).margin(0.5)); // the book rounds 64.0625
  const auto r =
      solid_of({line<double>({0, 0}, {c, 0}), arc<double>(Kind::ccw, {c, 0}, {0, h}, {0, h - radius}, radius),
                line<double>({0, h}, {0, 0})});
  CHECK(r.faces == 2);
  check_volume(r, 372247, 0.5);
}

TEST_CASE("spherical zone: diameters 3 and 4, height 1.5 give 16.493", "[handbook]") {
  // Both circles lie on one sphere: 2^2 + z^2 = 1.5^2 + (1.5 - z)^2, z its centre above the larger circle.
  const double z = (1.5 * 1.5 + 1.5 * 1.5 - 2.0 * 2.0) / (2 * 1.5), radius = std::hypot(2.0, z);
  const auto r = solid_of({line<double>({0, 0}, {2, 0}), arc<double>(Kind::ccw, {2, 0}, {1.5, 1.5}, {0, z}, radius),
                           line<double>({1.5, 1.5}, {0, 1.5}), line<double>({0, 1.5}, {0, 0})});
  check_volume(r, 16.493, 0.0005);
}

TEST_CASE("torus: D = 5, d = 1.5 give 27.76 and an area of 74.022", "[handbook]") {
  const auto r = solid_of({arc<double>(Kind::ccw, {3.25, 0}, {1.75, 0}, {2.5, 0}, 0.75),
                           arc<double>(Kind::ccw, {1.75, 0}, {3.25, 0}, {2.5, 0}, 0.75)});
  check_volume(r, 27.76, 0.005);
  CHECK(r.area_mm2 == Approx(74.022).margin(0.0005).epsilon(0));
}

TEST_CASE("cone frustum: diameters 9 and 16, height 14 give 1762.957", "[handbook]") {
  const auto r = solid_of({line<double>({0, 0}, {8, 0}), line<double>({8, 0}, {4.5, 14}),
                           line<double>({4.5, 14}, {0, 14}), line<double>({0, 14}, {0, 0})});
  check_volume(r, 1762.957, 0.0005);
}

TEST_CASE("whole sphere: 4/3 pi r^3 and 4 pi r^2, centred (derived)", "[handbook]") {
  const auto r = solid_of({arc<double>(Kind::ccw, {0, -7}, {0, 7}, {0, 0}, 7.0), line<double>({0, 7}, {0, -7})});
  CHECK(r.faces == 1);
  CHECK(r.volume_brep_mm3 == Approx(4.0 / 3 * units::pi * 343).epsilon(1e-12));
  CHECK(r.area_mm2 == Approx(4 * units::pi * 49).epsilon(1e-12));
  CHECK(std::abs(r.centroid_z_mm) < 1e-9);
  CHECK(std::abs(r.volume_mesh_mm3 - r.volume_brep_mm3) <= r.mesh_bound_mm3);
}
