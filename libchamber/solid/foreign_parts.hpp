#pragma once
// The steps of measuring a foreign solid, inside the process that may crash. Frame: from foreign_skin.hpp on, the
// turning axis is z.
#include "chamber/solid/foreign.hpp"
#include <TopoDS_Face.hxx>
#include <TopoDS_Solid.hxx>
#include <gp_Ax1.hxx>

namespace chamber::solid {

/// measure_step without the process of its own and without its limits.
Result<Measured> measure_here(const std::string& path, const MeasureOptions& options);

namespace foreign {

/// Directions nearer than this are one, radians; places nearer than this are one, mm. Other programs write some seven
/// figures; a chamber's offset or tilt that matters is a hundred times as large.
inline constexpr double same_angle = 1e-5, same_place = 1e-4;

/// One solid of the file, sound, closed and not inside out, in millimetres.
struct Read {
  TopoDS_Solid solid;
  std::size_t solids = 1, taken = 1;
  std::string unit;
  std::vector<std::string> notes;
};
Result<Read> read_solid(const std::string& path, const std::optional<std::size_t>& wanted);

/// The axis of a cylinder, cone, torus or surface of revolution.
std::optional<gp_Ax1> axis_of(const TopoDS_Face& face);

struct Turning {
  gp_Ax1 axis;
  double share = 0; ///< of the curved faces' area
};
/// From the surfaces of revolution, weighted by area; where there are none, from the normals of all curved faces, which
/// meet the axis of a turned body.
Result<Turning> find_axis(const TopoDS_Solid& solid, const std::optional<Axis>& given);

} // namespace foreign
} // namespace chamber::solid
