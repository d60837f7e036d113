// The STEP file: what XDE reads out of it, its header (ISO 10303-21), unit, schema, and that it is the same bytes each
// time.
#include "chamber/solid/step_file.hpp"
#include "samples.hpp"
#include "scratch.hpp"
#include "xde.hpp"
#include <BRepCheck_Analyzer.hxx>
#include <catch2/catch.hpp>
#include <fcntl.h>
#include <unistd.h>

using namespace chamber;
using solid::LengthUnit;
using solid::Schema;

namespace {

solid::Part cavity(const scratch::Folder& folder, const std::string& file = "a") {
  auto part = samples::parts(samples::sample(shapes::Family::toroidal), folder / file)[1];
  part.stl_path.clear();
  return part;
}

bool has(const std::string& text, const std::string& what) {
  // Lines are folded at 72 columns: compare without white space.
  const auto squeeze = [](const std::string& s) {
    std::string out;
    for (const char c : s)
      if (!std::isspace(static_cast<unsigned char>(c))) out += c;
    return out;
  };
  return squeeze(text).find(squeeze(what)) != std::string::npos;
}

} // namespace

TEST_CASE("XDE reads name, volume, area and centroid back, in millimetres and in inches, under every schema",
          "[step]") {
  for (const auto unit : {LengthUnit::millimetre, LengthUnit::inch}) {
    for (const auto schema : {Schema::ap203, Schema::ap214, Schema::ap242}) {
      CAPTURE(static_cast<int>(unit), static_cast<int>(schema));
      const scratch::Folder folder;
      const auto part = cavity(folder);
      auto options = scratch::options();
      options.unit = unit;
      options.schema = schema;
      const auto result = scratch::made(part, options);
      const auto product = xde::read(part.step_path);
      CHECK(product.name == "toroidal cavity");
      CHECK(product.volume == Approx(result.volume_closed_mm3).epsilon(1e-11));
      CHECK(product.area == Approx(result.area_mm2).epsilon(1e-11));
      CHECK(std::abs(product.centroid.X()) < 1e-9);
      CHECK(std::abs(product.centroid.Y()) < 1e-9);
      CHECK(product.centroid.Z() == Approx(result.centroid_z_mm).epsilon(1e-11));
      CHECK(BRepCheck_Analyzer(product.shape).IsValid());
      CHECK(solid::measure(product.shape).volume_mm3 == Approx(result.volume_closed_mm3).epsilon(1e-11));
    }
  }
}

TEST_CASE("unit and schema stand in the file", "[step]") {
  // FILE_SCHEMA names: ISO 10303-203, -214, -242. One inch is 25.4 mm (conversion-based unit).
  const std::pair<Schema, std::string> schemas[] = {
      {Schema::ap203, "FILE_SCHEMA(('CONFIG_CONTROL_DESIGN"},
      {Schema::ap214, "FILE_SCHEMA(('AUTOMOTIVE_DESIGN"},
      {Schema::ap242, "FILE_SCHEMA(('AP242_MANAGED_MODEL_BASED_3D_ENGINEERING"}};
  const scratch::Folder folder;
  for (const auto& [schema, line] : schemas) {
    auto options = scratch::options();
    options.schema = schema;
    scratch::made(cavity(folder), options);
    CAPTURE(line);
    const auto text = scratch::bytes_of(folder / "a-cavity.step");
    CHECK(has(text, line));
    CHECK(has(text, "CIRCLE('',#"));
    CHECK(has(text, ",33.35);"));
    CHECK_FALSE(has(text, "INCH"));
  }
  auto options = scratch::options();
  options.unit = LengthUnit::inch;
  scratch::made(cavity(folder), options);
  const auto text = scratch::bytes_of(folder / "a-cavity.step");
  CHECK(has(text, "CONVERSION_BASED_UNIT('INCH'"));
  CHECK(has(text, "LENGTH_MEASURE_WITH_UNIT(LENGTH_MEASURE(25.4),"));
  CHECK(has(text, ",1.312992125984")); // 33.35 / 25.4
}

TEST_CASE("header, product, face names, analytic surfaces, and no pcurves, splines or facets", "[step]") {
  const scratch::Environment date("SOURCE_DATE_EPOCH", scratch::epoch);
  const scratch::Folder folder;
  scratch::made(cavity(folder), {.description = "insert O'Neill",
                                 .author = "A. Turner",
                                 .organization = "shop",
                                 .originating_system = "chamber 0.1"});
  const auto text = scratch::bytes_of(folder / "a-cavity.step");
  CHECK(has(text, "FILE_DESCRIPTION(('insert O''Neill'),'2;1');"));
  CHECK(has(text, "FILE_NAME('toroidal cavity.step','2026-01-31T12:00:00',('A. Turner'),('shop'),"));
  CHECK(has(text, ",'chamber 0.1','');"));
  CHECK(has(text, "PRODUCT('toroidal cavity','toroidal cavity','',("));
  CHECK(has(text, "MANIFOLD_SOLID_BREP('toroidal cavity',"));
  CHECK(has(text, "ADVANCED_FACE('trough',"));
  CHECK(has(text, "ADVANCED_FACE('plug pocket wall',") == false);
  CHECK(has(text, "ADVANCED_FACE('" + std::string(shapes::name(shapes::Role::pocket_wall)) + "',"));
  CHECK(has(text, "TOROIDAL_SURFACE("));
  for (const auto* other :
       {"PCURVE", "B_SPLINE", "SURFACE_OF_REVOLUTION", "FACETED", "TESSELLATED", "Open CASCADE STEP translator"})
    CHECK_FALSE(has(text, other));
  for (const char c : text) REQUIRE((c == '\n' || (c >= 0x20 && c <= 0x7e)));
}

TEST_CASE("the same bytes every time under SOURCE_DATE_EPOCH, whatever was written before", "[step]") {
  const scratch::Environment date("SOURCE_DATE_EPOCH", scratch::epoch);
  const scratch::Folder folder;
  const auto parts = samples::parts(samples::sample(shapes::Family::spherical), folder / "s");
  const auto all = [&] {
    std::string bytes;
    for (const auto& part : parts) bytes += scratch::bytes_of(part.step_path) + scratch::bytes_of(part.stl_path);
    return bytes;
  };
  REQUIRE(solid::make(parts, scratch::options()));
  const auto first = all();
  auto other = scratch::options();
  other.unit = LengthUnit::inch;
  other.schema = Schema::ap242;
  REQUIRE(solid::make(parts, other));
  CHECK(all() != first);
  REQUIRE(solid::make({parts[1]}, scratch::options()));
  REQUIRE(solid::make({parts[0]}, scratch::options()));
  CHECK(all() == first);
}

TEST_CASE("without SOURCE_DATE_EPOCH the time is now", "[step]") {
  const scratch::Environment date("SOURCE_DATE_EPOCH", nullptr);
  const auto before = solid::time_stamp();
  const scratch::Folder folder;
  scratch::made(cavity(folder));
  const auto after = solid::time_stamp();
  const auto text = scratch::bytes_of(folder / "a-cavity.step");
  const auto start = text.find("cavity.step','") + 14;
  const auto stamp = text.substr(start, 19);
  CHECK(*before <= stamp);
  CHECK(stamp <= *after);
}

TEST_CASE("the kernel prints nothing on stdout or stderr", "[step]") {
  const scratch::Folder folder;
  const auto part = cavity(folder);
  std::fflush(nullptr);
  const int out = dup(1), err = dup(2), file = open((folder / "printed").c_str(), O_CREAT | O_RDWR, 0600);
  dup2(file, 1);
  dup2(file, 2);
  const auto result = solid::make({part}, scratch::options());
  std::fflush(nullptr);
  dup2(out, 1);
  dup2(err, 2);
  for (const int f : {out, err, file}) close(f);
  REQUIRE(result);
  CHECK(scratch::bytes_of(folder / "printed").empty());
}
