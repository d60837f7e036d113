#include "chamber/solid/foreign_parts.hpp"
#include <BRepCheck_Analyzer.hxx>
#include <BRepGProp.hxx>
#include <BRep_Tool.hxx>
#include <GProp_GProps.hxx>
#include <Interface_Check.hxx>
#include <Interface_CheckIterator.hxx>
#include <STEPControl_Reader.hxx>
#include <ShapeAnalysis_ShapeTolerance.hxx>
#include <TColStd_SequenceOfAsciiString.hxx>
#include <TopExp.hxx>
#include <TopExp_Explorer.hxx>
#include <TopTools_IndexedMapOfShape.hxx>
#include <TopoDS.hxx>
#include <XSControl_WorkSession.hxx>
#include <cmath>
#include <fmt/format.h>

namespace chamber::solid::foreign {
namespace {

/// mm. A sound export closes its edges to a thousandth; past this an edge is somewhere else than its face.
constexpr double largest_gap = 0.05;

double volume_of(const TopoDS_Shape& shape) {
  GProp_GProps properties;
  BRepGProp::VolumeProperties(shape, properties);
  return properties.Mass();
}

std::string sizes(const TopTools_IndexedMapOfShape& solids) {
  std::string out;
  for (int i = 1; i <= solids.Extent() && i <= 8; ++i)
    out += fmt::format("{}{}: {:.3f} cc", i == 1 ? "" : ", ", i, std::abs(volume_of(solids(i))) / 1000);
  return out + (solids.Extent() > 8 ? ", ..." : "");
}

Result<void> check(const TopoDS_Solid& solid) {
  const std::string cure = "repair it in the program it comes from and export it again as one closed solid.";
  for (TopExp_Explorer e(solid, TopAbs_SHELL); e.More(); e.Next())
    if (!BRep_Tool::IsClosed(e.Current())) return fail("the solid is not closed: faces are missing.", cure);
  if (!BRepCheck_Analyzer(solid).IsValid())
    return fail("the CAD kernel finds the solid invalid (faces that cross, or edges off their faces).", cure);
  ShapeAnalysis_ShapeTolerance tolerance;
  if (const double gap = tolerance.Tolerance(solid, 1); !(gap <= largest_gap))
    return fail(fmt::format("the solid's edges lie up to {:.3f} mm off its faces (allowed {:g} mm).", gap, largest_gap),
                cure);
  return {};
}

/// In the file's words; several if its parts differ.
std::string unit_of(STEPControl_Reader& reader) {
  TColStd_SequenceOfAsciiString lengths, angles, solid_angles;
  reader.FileUnits(lengths, angles, solid_angles);
  std::string out;
  for (const auto& length : lengths) {
    const std::string one = length.ToCString();
    if (out.find(one) == std::string::npos) out += (out.empty() ? "" : ", ") + one;
  }
  return out;
}

int failed_entities(STEPControl_Reader& reader) {
  int failures = 0;
  Interface_CheckIterator checks = reader.WS()->ModelCheckList(false);
  for (checks.Start(); checks.More(); checks.Next()) failures += checks.Value()->HasFailed();
  return failures;
}

} // namespace

Result<Read> read_solid(const std::string& path, const std::optional<std::size_t>& wanted) {
  STEPControl_Reader reader;
  if (reader.ReadFile(path.c_str()) != IFSelect_RetDone)
    return fail("the STEP file cannot be parsed.", "export it again; AP214 as one solid is understood best.");
  Read out;
  out.unit = unit_of(reader);
  if (const int failures = failed_entities(reader); failures > 0)
    out.notes.push_back(fmt::format(
        "entities of the file that break the standard's rules and were left out or guessed: {}.", failures));
  reader.TransferRoots();
  const TopoDS_Shape all = reader.OneShape();
  if (all.IsNull()) return fail("the STEP file holds no shape.", "export the part itself, as a solid (AP214).");
  TopTools_IndexedMapOfShape solids, faces;
  TopExp::MapShapes(all, TopAbs_SOLID, solids);
  TopExp::MapShapes(all, TopAbs_FACE, faces);
  if (solids.IsEmpty())
    return fail(fmt::format("the STEP file holds {} surface(s) but no solid.", faces.Extent()),
                "join the surfaces to a closed solid and export that.");
  out.solids = static_cast<std::size_t>(solids.Extent());
  if (!wanted && out.solids > 1)
    return fail(fmt::format("the STEP file holds {} solids ({}).", out.solids, sizes(solids)),
                "say which one is meant, or export it alone.");
  out.taken = wanted.value_or(1);
  if (out.taken > out.solids)
    return fail(
        fmt::format("solid {} was asked for, but the file holds {} ({}).", out.taken, out.solids, sizes(solids)),
        "choose one of these.");
  if (out.solids > 1)
    out.notes.push_back(fmt::format("solid {} of {} was taken ({}).", out.taken, out.solids, sizes(solids)));
  out.solid = TopoDS::Solid(solids(static_cast<int>(out.taken)));
  if (auto ok = check(out.solid); !ok) return tl::unexpected(ok.error());
  const double volume = volume_of(out.solid);
  if (!std::isfinite(volume) || std::abs(volume) < 1e-6)
    return fail("the solid has no volume.", "export the part as a solid.");
  if (volume < 0) {
    out.solid.Reverse();
    out.notes.push_back("the solid was inside out in the file and was turned.");
  }
  return out;
}

} // namespace chamber::solid::foreign
