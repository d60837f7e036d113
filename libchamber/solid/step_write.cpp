#include "chamber/solid/step_file.hpp"
#include "chamber/units/calendar.hpp"
#include "chamber/units/quantity.hpp"
#include <APIHeaderSection_MakeHeader.hxx>
#include <Interface_CheckIterator.hxx>
#include <Interface_HArray1OfHAsciiString.hxx>
#include <Interface_Static.hxx>
#include <STEPConstruct.hxx>
#include <STEPConstruct_ValidationProps.hxx>
#include <STEPControl_Controller.hxx>
#include <STEPControl_Writer.hxx>
#include <StepBasic_LengthMeasureWithUnit.hxx>
#include <StepBasic_MeasureValueMember.hxx>
#include <StepBasic_Product.hxx>
#include <StepData_Protocol.hxx>
#include <StepData_StepModel.hxx>
#include <StepData_StepWriter.hxx>
#include <StepRepr_RepresentationItem.hxx>
#include <TCollection_HAsciiString.hxx>
#include <Transfer_FinderProcess.hxx>
#include <XSControl_TransferWriter.hxx>
#include <XSControl_WorkSession.hxx>
#include <ctime>
#include <fmt/format.h>
#include <sstream>

namespace chamber::solid {
namespace {

Handle(TCollection_HAsciiString) ascii(const std::string& text) {
  return new TCollection_HAsciiString(text.c_str());
}

Handle(Interface_HArray1OfHAsciiString) list(const std::string& text) {
  Handle(Interface_HArray1OfHAsciiString) array = new Interface_HArray1OfHAsciiString(1, 1);
  array->SetValue(1, ascii(text));
  return array;
}

Result<void> set(const char* parameter, const char* value) {
  if (!Interface_Static::SetCVal(parameter, value))
    return fail(fmt::format("the CAD kernel refuses {} = {}.", parameter, value),
                "this is a fault of the installation: reinstall the OpenCASCADE libraries.");
  return {};
}

/// The kernel's settings are process-wide: set all of them that matter, every time.
Result<void> set_options(const FileOptions& options) {
  const char* const schema = options.schema == Schema::ap203   ? "AP203"
                             : options.schema == Schema::ap214 ? "AP214IS"
                                                               : "AP242DIS";
  const char* const unit = options.unit == LengthUnit::inch ? "INCH" : "MM";
  // Curves in parameter space repeat what analytic surfaces already say, and cost a third of the file.
  for (const auto& [parameter, value] : {std::pair{"write.step.schema", schema},
                                         {"write.step.unit", unit},
                                         {"write.surfacecurve.mode", "Off"},
                                         {"write.step.assembly", "Off"}})
    if (auto ok = set(parameter, value); !ok) return ok;
  return {};
}

void fill_header(const Handle(StepData_StepModel) & model, const Part& part, const FileOptions& options,
                 const std::string& stamp) {
  APIHeaderSection_MakeHeader header(model);
  header.SetDescription(list(options.description));
  header.SetName(ascii(part.name + ".step"));
  header.SetTimeStamp(ascii(stamp));
  header.SetAuthor(list(options.author));
  header.SetOrganization(list(options.organization));
  header.SetOriginatingSystem(ascii(options.originating_system));
  header.SetAuthorisation(ascii(""));
  header.Apply(model);
}

/// Two things the kernel leaves: it numbers its products through the life of the process, where the given name belongs;
/// and it writes the inch's 25.4 without the type that ISO 10303-21 asks of a selected value.
Result<void> tidy(const Handle(StepData_StepModel) & model, const std::string& name) {
  int products = 0;
  for (int i = 1; i <= model->NbEntities(); ++i) {
    if (const auto product = Handle(StepBasic_Product)::DownCast(model->Entity(i)); !product.IsNull()) {
      product->SetId(ascii(name));
      product->SetName(ascii(name));
      ++products;
    } else if (const auto length = Handle(StepBasic_LengthMeasureWithUnit)::DownCast(model->Entity(i));
               !length.IsNull()) {
      length->ValueComponentMember()->SetName("LENGTH_MEASURE");
    }
  }
  if (products != 1)
    return fail(fmt::format("{}: the CAD kernel made {} products of one solid.", name, products),
                "report this with the specification that led to it.");
  return {};
}

Result<void> add_properties(STEPControl_Writer& writer, const Part& part, const Revolved& revolved,
                            const Measures& measures, LengthUnit unit) {
  const auto& finder = writer.WS()->TransferWriter()->FinderProcess();
  for (const auto& named : revolved.faces)
    if (const auto item = STEPConstruct::FindEntity(finder, named.face); !item.IsNull())
      item->SetName(ascii(named.name));
  if (const auto item = STEPConstruct::FindEntity(finder, revolved.solid); !item.IsNull())
    item->SetName(ascii(part.name));
  // Volume and area carry their own unit, cubic and square millimetres; the centroid is a point in the file's unit.
  const double scale = unit == LengthUnit::inch ? 1 / units::mm_per_inch : 1.0;
  const gp_Pnt centroid(measures.centroid.XYZ() * scale);
  STEPConstruct_ValidationProps properties(writer.WS());
  if (!properties.AddVolume(revolved.solid, measures.volume_mm3) ||
      !properties.AddArea(revolved.solid, measures.area_mm2) || !properties.AddCentroid(revolved.solid, centroid))
    return fail(part.name + ": the CAD kernel could not attach volume, area and centroid to the solid.",
                "report this with the specification that led to it.");
  return {};
}

} // namespace

bool prepare_step() {
  return STEPControl_Controller::Init();
}

Result<std::string> time_stamp() {
  const auto date = source_date();
  if (!date) return tl::unexpected(date.error());
  return iso_8601(date->value_or(std::time(nullptr)));
}

Result<std::string> step_text(const Part& part, const Revolved& revolved, const FileOptions& options,
                              const std::function<Result<Measures>()>& measures) {
  const auto stamp = time_stamp();
  if (!stamp) return tl::unexpected(stamp.error());
  if (!prepare_step())
    return fail("the CAD kernel's STEP layer does not start.", "reinstall the OpenCASCADE libraries.");
  if (auto ok = set_options(options); !ok) return tl::unexpected(ok.error());
  STEPControl_Writer writer;
  if (writer.Transfer(revolved.solid, STEPControl_ManifoldSolidBrep) != IFSelect_RetDone)
    return fail(fmt::format("{}: the CAD kernel could not translate the solid to STEP ({}).", part.name,
                            describe(shapes::chain_of(part.outline))),
                "report this with the specification that led to it.");
  const auto known = measures();
  if (!known) return tl::unexpected(known.error());
  if (auto ok = add_properties(writer, part, revolved, *known, options.unit); !ok) return tl::unexpected(ok.error());
  const auto model = writer.Model();
  if (auto ok = tidy(model, part.name); !ok) return tl::unexpected(ok.error());
  fill_header(model, part, options, *stamp);
  StepData_StepWriter text(model);
  text.SendModel(Handle(StepData_Protocol)::DownCast(model->Protocol()));
  std::ostringstream out;
  if (!text.Print(out) || !text.CheckList().IsEmpty(true))
    return fail(part.name + ": the CAD kernel could not write the STEP text.",
                "report this with the specification that led to it.");
  return std::move(out).str();
}

} // namespace chamber::solid
