// What no chamber can be measured from: one message with a cure, whatever the file does to the CAD kernel.
#include "chamber/solid/foreign.hpp"
#include "chamber/solid/foreign_wire.hpp"
#include "foreign_shapes.hpp"
#include <BRepAlgoAPI_Cut.hxx>
#include <BRepPrimAPI_MakeBox.hxx>
#include <BRepPrimAPI_MakeCylinder.hxx>
#include <BRep_Builder.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS_Compound.hxx>
#include <catch2/catch.hpp>
#include <chrono>
#include <limits>

using namespace chamber;
using namespace foreign_shapes;

namespace {

void refused(const std::string& path, const std::string& what, const solid::MeasureOptions& options = {}) {
  CAPTURE(path, what);
  const auto m = solid::measure_step(path, options);
  REQUIRE_FALSE(m);
  CAPTURE(m.error().message);
  CHECK(m.error().message.find(what) != std::string::npos);
  CHECK_FALSE(m.error().cure.empty());
  CHECK(m.error().place.file == path);
}

std::string file(const scratch::Folder& folder, const std::string& name, const std::string& text) {
  std::ofstream(folder / name, std::ios::binary) << text;
  return folder / name;
}

TopoDS_Solid insert() {
  return turned(samples::sample(shapes::Family::spherical).insert.outline);
}

TopoDS_Compound compound(const std::vector<TopoDS_Shape>& shapes) {
  TopoDS_Compound out;
  BRep_Builder builder;
  builder.MakeCompound(out);
  for (const auto& shape : shapes) builder.Add(out, shape);
  return out;
}

} // namespace

TEST_CASE("what is no STEP file, or not all of one", "[foreign]") {
  const scratch::Folder folder;
  refused(folder / "none.step", "does not exist");
  refused(folder.path(), "not a plain file");
  refused("/dev/zero", "not a plain file");
  refused(file(folder, "empty.step", ""), "the file is empty");
  refused(file(folder, "blank.step", " \n\n"), "the file is empty");
  refused(file(folder, "short.step", "ISO-1030"), "ends before it has begun");
  refused(file(folder, "other.step", "solid part\nfacet normal 0 0 1\n"), "not a STEP file");
  const auto whole = scratch::bytes_of(written(insert(), folder / "whole.step"));
  for (int i = 1; i < 40; ++i)
    refused(file(folder, "cut.step", whole.substr(0, whole.size() * static_cast<std::size_t>(i) / 40)),
            "the STEP file is cut off");
  const std::string end = "\nEND-ISO-10303-21;\n";
  refused(file(folder, "half.step", whole.substr(0, whole.size() / 2) + end), "");
  refused(file(folder, "header.step", whole.substr(0, whole.find("DATA;")) + "DATA;\nENDSEC;" + end), "");
}

TEST_CASE("shapes no chamber is found in", "[foreign]") {
  const scratch::Folder folder;
  std::vector<TopoDS_Shape> faces;
  for (TopExp_Explorer e(insert(), TopAbs_FACE); e.More(); e.Next()) faces.push_back(e.Current());
  refused(written(compound({faces[0], faces[1]}), folder / "faces.step"), "2 surface(s) but no solid");
  const auto block = BRepPrimAPI_MakeBox(10, 20, 30).Shape();
  refused(written(block, folder / "block.step"), "no turning axis");
  const auto two = written(compound({insert(), block}), folder / "two.step");
  refused(two, "holds 2 solids (1: ");
  refused(two, "solid 3 was asked for", {.solid = 3});
  refused(two, "no turning axis", {.solid = 2});
  CHECK(solid::measure_step(two, {.solid = 1}));
  // A slot through the squish band to the outside.
  const auto slot = BRepPrimAPI_MakeBox(gp_Pnt(20, -2, -1), 60, 4, 5).Shape();
  refused(written(BRepAlgoAPI_Cut(insert(), slot).Shape(), folder / "slot.step"), "the ");
  // A ring: its hole is no chamber.
  BRepAlgoAPI_Cut ring(BRepPrimAPI_MakeCylinder(30, 10).Shape(), BRepPrimAPI_MakeCylinder(9, 10).Shape());
  refused(written(ring.Shape(), folder / "ring.step"), "neither an insert with a chamber nor a cavity");
  const auto sound = written(insert(), folder / "insert.step");
  refused(sound, "no round hole leads through at the plug end told", {.plug_end_mm = 1.0});
  refused(sound, "nothing of the solid lies beyond", {.sealing_mm = 500.0});
  refused(sound, "", {.axis = solid::Axis{{0, 0, 0}, {1, 0, 0}}});
}

TEST_CASE("options that mean nothing", "[foreign]") {
  constexpr double nan = std::numeric_limits<double>::quiet_NaN();
  refused("a.step", "has no direction", {.axis = solid::Axis{{0, 0, 0}, {0, 0, 0}}});
  refused("a.step", "not finite", {.axis = solid::Axis{{0, nan, 0}, {0, 0, 1}}});
  refused("a.step", "not a finite number", {.sealing_mm = nan});
  refused("a.step", "not a finite number", {.plug_end_mm = INFINITY});
  refused("a.step", "solids count from 1", {.solid = 0});
  refused("a.step", "limits must be above 0", {.time_limit_s = nan});
  refused("a.step", "limits must be above 0", {.memory_limit_mb = 0});
}

TEST_CASE("time and memory are bounded", "[foreign]") {
  const scratch::Folder folder;
  const auto path = written(insert(), folder / "insert.step");
  const auto start = std::chrono::steady_clock::now();
  refused(path, "did not finish with this file in 0.01 s", {.time_limit_s = 0.01});
  CHECK(std::chrono::steady_clock::now() - start < std::chrono::seconds(5));
#if !defined(CHAMBER_SANITIZED)
  refused(path, "", {.memory_limit_mb = 40}); // too little to load the kernel
#endif
}

TEST_CASE("an answer that is not whole is no answer", "[foreign]") {
  solid::wire::Answer answer;
  answer.ok = true;
  answer.measured.unit = "millimetre";
  answer.measured.volume_mm3 = 23.4;
  answer.measured.notes = {"one", "two"};
  answer.measured.plug_holes = {{.radius_mm = 6.4}};
  answer.measured.chain = {profile::line<double>({1, 0}, {0, 2})};
  const auto bytes = solid::wire::pack(answer);
  const auto back = solid::wire::unpack<solid::wire::Answer>(bytes);
  REQUIRE(back);
  CHECK(back->measured.volume_mm3 == 23.4);
  CHECK(back->measured.notes == answer.measured.notes);
  CHECK(back->measured.plug_holes.at(0).radius_mm == 6.4);
  CHECK(back->measured.chain.at(0).end.z == 2);
  for (std::size_t n = 0; n < bytes.size(); ++n)
    CHECK_FALSE(solid::wire::unpack<solid::wire::Answer>(std::string_view(bytes).substr(0, n)));
  CHECK_FALSE(solid::wire::unpack<solid::wire::Answer>(bytes + "x"));
}
