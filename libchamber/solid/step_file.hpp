#pragma once
// The STEP file: written with its names, header and validation properties, and read back.
#include "chamber/solid/revolve.hpp"
#include <functional>
#include <gp_Pnt.hxx>

namespace chamber::solid {

/// What the kernel integrates over a solid's faces.
struct Measures {
  double volume_mm3 = 0, area_mm2 = 0;
  gp_Pnt centroid;
};
/// Gauss integration with the number of points the kernel derives from each face: for analytic faces bounded by
/// parameter lines it is exact to rounding (tests/solid), and twenty times quicker than the adaptive form.
Measures measure(const TopoDS_Shape& shape);

/// Prepares the kernel's STEP layer; make() does it when needed, a caller may do it earlier. Safe to repeat.
bool prepare_step();

/// The text of the STEP file. `measures` is asked late, so that they may be reckoned meanwhile; its failure is handed
/// on.
Result<std::string> step_text(const Part& part, const Revolved& revolved, const FileOptions& options,
                              const std::function<Result<Measures>()>& measures);

/// Reads the part's file and fails unless it holds one solid of this name, unit and number of faces.
Result<TopoDS_Shape> reread(const Part& part, const Revolved& revolved, const FileOptions& options);
/// Of the solid read, unless its bounding box is another. Needs nothing of the STEP layer.
Result<double> volume_of_reread_mm3(const Part& part, const Revolved& revolved, const TopoDS_Shape& shape);

/// "2026-01-31T12:00:00", UTC: SOURCE_DATE_EPOCH if set (fails when it is not a number of seconds), else now.
Result<std::string> time_stamp();

} // namespace chamber::solid
