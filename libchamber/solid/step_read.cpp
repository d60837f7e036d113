#include "chamber/solid/step_file.hpp"
#include "chamber/units/tolerance.hpp"
#include <BRepBndLib.hxx>
#include <BRepGProp.hxx>
#include <Bnd_Box.hxx>
#include <GProp_GProps.hxx>
#include <STEPControl_Reader.hxx>
#include <StepBasic_Product.hxx>
#include <StepData_StepModel.hxx>
#include <TColStd_SequenceOfAsciiString.hxx>
#include <TopExp_Explorer.hxx>
#include <array>
#include <fmt/format.h>

namespace chamber::solid {
namespace {

std::array<double, 6> box_of(const TopoDS_Shape& shape) {
  Bnd_Box box;
  box.SetGap(0);
  BRepBndLib::Add(shape, box, false);
  std::array<double, 6> b{};
  if (!box.IsVoid()) box.Get(b[0], b[1], b[2], b[3], b[4], b[5]);
  return b;
}

std::size_t count(const TopoDS_Shape& shape, TopAbs_ShapeEnum what) {
  std::size_t n = 0;
  for (TopExp_Explorer e(shape, what); e.More(); e.Next()) ++n;
  return n;
}

/// Name of the one product; empty if there is not exactly one.
std::string product_name(const STEPControl_Reader& reader) {
  std::string name;
  int products = 0;
  const auto model = reader.StepModel();
  for (int i = 1; i <= model->NbEntities(); ++i)
    if (const auto p = Handle(StepBasic_Product)::DownCast(model->Entity(i)); !p.IsNull()) {
      name = p->Name()->ToCString();
      ++products;
    }
  return products == 1 ? name : std::string();
}

Result<void> disagree(const Part& part, const std::string& what) {
  return fail(
      fmt::format("{}: the STEP file, read back, {} ({}).", part.name, what, describe(shapes::chain_of(part.outline))),
      "report this with the specification that led to it.");
}

} // namespace

Measures measure(const TopoDS_Shape& shape) {
  GProp_GProps volume, area;
  BRepGProp::VolumeProperties(shape, volume);
  BRepGProp::SurfaceProperties(shape, area);
  return {volume.Mass(), area.Mass(), volume.CentreOfMass()};
}

Result<TopoDS_Shape> reread(const Part& part, const Revolved& revolved, const FileOptions& options) {
  const auto wrong = [&](const std::string& what) -> Result<TopoDS_Shape> {
    return tl::unexpected(disagree(part, what).error());
  };
  STEPControl_Reader reader;
  if (reader.ReadFile(part.step_path.c_str()) != IFSelect_RetDone) return wrong("cannot be parsed");
  TColStd_SequenceOfAsciiString lengths, angles, solid_angles;
  reader.FileUnits(lengths, angles, solid_angles);
  const char* const unit = options.unit == LengthUnit::inch ? "INCH" : "millimetre";
  if (lengths.Length() != 1 || !lengths.First().IsEqual(unit))
    return wrong(
        fmt::format("has length unit \"{}\", not \"{}\"", lengths.IsEmpty() ? "" : lengths.First().ToCString(), unit));
  if (const auto name = product_name(reader); name != part.name)
    return wrong(fmt::format("names the product \"{}\"", name));
  if (reader.TransferRoots() != 1 || reader.NbShapes() != 1) return wrong("does not hold exactly one shape");
  const TopoDS_Shape shape = reader.Shape(1);
  if (const auto solids = count(shape, TopAbs_SOLID); solids != 1) return wrong(fmt::format("holds {} solids", solids));
  if (const auto faces = count(shape, TopAbs_FACE); faces != revolved.faces.size())
    return wrong(fmt::format("holds {} faces instead of {}", faces, revolved.faces.size()));
  return shape;
}

Result<double> volume_of_reread_mm3(const Part& part, const Revolved& revolved, const TopoDS_Shape& shape) {
  const auto before = box_of(revolved.solid), after = box_of(shape);
  for (std::size_t i = 0; i < before.size(); ++i)
    if (std::abs(before[i] - after[i]) > tolerance::point_mm)
      return tl::unexpected(
          disagree(part, fmt::format("has a box that ends at {:.7f} mm instead of {:.7f} mm", after[i], before[i]))
              .error());
  GProp_GProps volume;
  BRepGProp::VolumeProperties(shape, volume);
  return volume.Mass();
}

} // namespace chamber::solid
