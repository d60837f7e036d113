#include "chamber/profile/integrals.hpp"
#include "chamber/solid/foreign_cap.hpp"
#include "chamber/solid/foreign_meridian.hpp"
#include "chamber/solid/step_file.hpp"
#include <BRepAlgoAPI_Common.hxx>
#include <BRepBndLib.hxx>
#include <BRepPrimAPI_MakeBox.hxx>
#include <Bnd_Box.hxx>
#include <Standard_Failure.hxx>
#include <TopExp.hxx>
#include <TopLoc_Location.hxx>
#include <TopTools_IndexedMapOfShape.hxx>
#include <TopoDS.hxx>
#include <algorithm>
#include <fmt/format.h>
#include <gp_Ax3.hxx>
#include <gp_Trsf.hxx>
#include <limits>

namespace chamber::solid {
namespace foreign {
namespace {

std::size_t at(int i) {
  return static_cast<std::size_t>(i);
}

double from_axis(const gp_Pnt& p) {
  return std::hypot(p.X(), p.Y());
}

/// The part of the solid on the chamber's side of a plane square to the axis; the largest piece of it.
Result<TopoDS_Solid> cut(const TopoDS_Solid& solid, double z, int into) {
  Bnd_Box box;
  BRepBndLib::Add(solid, box, false);
  double x0, y0, z0, x1, y1, z1;
  box.Get(x0, y0, z0, x1, y1, z1);
  const double size = std::max({std::abs(x0), x1, std::abs(y0), y1, std::abs(z0 - z), std::abs(z1 - z)}) + 10;
  const gp_Pnt corner(-size, -size, into > 0 ? z : z - 2 * size);
  BRepAlgoAPI_Common common(solid, BRepPrimAPI_MakeBox(corner, 2 * size, 2 * size, 2 * size).Shape());
  TopTools_IndexedMapOfShape pieces;
  if (common.IsDone() && !common.Shape().IsNull()) TopExp::MapShapes(common.Shape(), TopAbs_SOLID, pieces);
  TopoDS_Solid best;
  double most = 0;
  for (int i = 1; i <= pieces.Extent(); ++i)
    if (const double v = measure(pieces(i)).volume_mm3; v > most) most = v, best = TopoDS::Solid(pieces(i));
  if (best.IsNull())
    return fail("nothing of the solid lies beyond the sealing face told.", "tell its place along the axis in mm.");
  return best;
}

struct Found {
  Skin skin;
  Chamber chamber;
};

Result<Found> found_in(const TopoDS_Solid& solid, Skin skin, const Wanted& wanted) {
  auto chamber = find_chamber(solid, skin, wanted);
  if (!chamber) return tl::unexpected(chamber.error());
  return Found{std::move(skin), std::move(*chamber)};
}

/// A told sealing face that is no face of the solid: cut there, on the side where the search finds the chamber.
Result<Found> find(const TopoDS_Solid& solid, const Skin& skin, const Wanted& wanted, std::vector<std::string>& notes) {
  auto found = found_in(solid, skin, wanted);
  if (found || !wanted.sealing) return found;
  Wanted free = wanted;
  free.sealing.reset();
  const auto side = found_in(solid, skin, free);
  if (!side) return found;
  const int into = side->chamber.into();
  const auto piece = cut(solid, *wanted.sealing * into, into);
  if (!piece) return tl::unexpected(piece.error());
  notes.push_back(
      fmt::format("there is no chamber face at {:.3f} mm along the axis: the solid was cut there.", *wanted.sealing));
  Wanted same = wanted;
  same.body = side->chamber.body;
  auto cut_skin = skin_of(*piece);
  if (!cut_skin) return tl::unexpected(cut_skin.error());
  return found_in(*piece, std::move(*cut_skin), same);
}

PlugHole plug_hole(const Chamber& c, const Cap& cap) {
  PlugHole out;
  out.radius_mm = cap.radius;
  out.end_mm = c.height(cap.centre);
  out.top_mm = cap.top_z;
  out.tilt_deg = std::atan2(std::hypot(cap.up.X(), cap.up.Y()), std::abs(cap.up.Z())) * 180 / M_PI;
  out.offset_mm = std::hypot(cap.centre.X(), cap.centre.Y());
  out.at_roof = cap.at_roof;
  return out;
}

void fill_geometry(Measured& out, const Found& f, const gp_Trsf& back) {
  const auto& c = f.chamber;
  const int into = c.into();
  const gp_Pnt origin = gp_Pnt(0, 0, 0).Transformed(back);
  const gp_Dir direction = gp_Dir(0, 0, into).Transformed(back);
  out.axis = {{origin.X(), origin.Y(), origin.Z()}, {direction.X(), direction.Y(), direction.Z()}};
  out.body = c.body;
  out.sealing_mm = c.level.z * into;
  for (const int face : c.level.faces)
    out.sealing_radius_mm =
        std::max(out.sealing_radius_mm, largest(f.skin.faces[at(face)], f.skin.samples[at(face)], from_axis));
  out.mouth_area_mm2 = c.mouth_area;
  for (const auto& edge : c.mouth.edges) out.mouth_radius_mm = std::max(out.mouth_radius_mm, largest(edge, from_axis));
  out.volume_mm3 = c.volume;
  out.volume_doubt_mm3 = c.doubt;
  for (const int face : c.faces)
    out.depth_mm = std::max(out.depth_mm, largest(f.skin.faces[at(face)], f.skin.samples[at(face)],
                                                  [&](const gp_Pnt& p) { return c.height(p); }));
  for (const auto& cap : c.caps) {
    out.plug_holes.push_back(plug_hole(c, cap));
    out.depth_mm = std::max(out.depth_mm, c.height(cap.centre) + cap.radius * std::hypot(cap.up.X(), cap.up.Y()));
  }
}

/// Of the whole solid, whatever was cut off it.
void fill_size(Measured& out, const Skin& whole) {
  constexpr double none = -std::numeric_limits<double>::infinity();
  double top = none, bottom = none;
  for (std::size_t i = 0; i < whole.faces.size(); ++i) {
    top = std::max(top, largest(whole.faces[i], whole.samples[i], [](const gp_Pnt& p) { return p.Z(); }));
    bottom = std::max(bottom, largest(whole.faces[i], whole.samples[i], [](const gp_Pnt& p) { return -p.Z(); }));
    out.largest_diameter_mm =
        std::max(out.largest_diameter_mm, 2 * largest(whole.faces[i], whole.samples[i], from_axis));
  }
  out.height_mm = top + bottom;
}

void say(Measured& out, const Found& f) {
  const auto& d = out.axis.direction;
  const auto& p = out.axis.point;
  auto& notes = out.notes;
  notes.push_back(
      fmt::format("the file's unit is {}.", out.unit.empty() ? "not said: millimetres were taken" : out.unit));
  notes.push_back(fmt::format("the solid was taken for {}.", out.body == Body::insert ? "an insert" : "a cavity"));
  notes.push_back(
      fmt::format("turning axis: through ({:.3f}, {:.3f}, {:.3f}) mm along ({:.4f}, {:.4f}, {:.4f}), which leads "
                  "from the piston into the insert; {:.1f} % of the curved faces are turned about it.",
                  p[0], p[1], p[2], d[0], d[1], d[2], 100 * out.axis_share));
  notes.push_back(
      fmt::format("sealing face: {:.3f} mm along the axis, out to radius {:.3f} mm, with a mouth of {:.1f} mm².",
                  out.sealing_mm, out.sealing_radius_mm, out.mouth_area_mm2));
  for (const auto& hole : out.plug_holes)
    notes.push_back(fmt::format(
        "plug hole of radius {:.3f} mm closed {:.3f} mm above the sealing face, {}.", hole.radius_mm, hole.end_mm,
        hole.at_roof ? "at the flat roof of its pocket" : "in the hole's own cylinder: it has no flat roof there"));
  if (out.body == Body::insert && out.plug_holes.empty()) notes.push_back("no plug hole leads into the chamber.");
  const auto forms = std::count_if(f.chamber.faces.begin(), f.chamber.faces.end(),
                                   [&](int i) { return describe(f.skin.faces[at(i)]) == "free-form surface"; });
  if (forms > 0)
    notes.push_back(fmt::format("{} of the chamber's {} faces are free-form surfaces.", forms, f.chamber.faces.size()));
}

Result<Measured> measured(const std::string& path, const MeasureOptions& options) {
  if (!prepare_step())
    return fail("the CAD kernel's STEP layer does not start.", "reinstall the OpenCASCADE libraries.");
  auto read = read_solid(path, options.solid);
  if (!read) return tl::unexpected(read.error());
  const auto turning = find_axis(read->solid, options.axis);
  if (!turning) return tl::unexpected(turning.error());
  gp_Trsf to_axis;
  to_axis.SetTransformation(gp_Ax3(turning->axis.Location(), turning->axis.Direction()));
  const TopoDS_Solid upright = TopoDS::Solid(read->solid.Moved(TopLoc_Location(to_axis)));
  Measured out;
  out.notes = std::move(read->notes);
  const auto skin = skin_of(upright);
  if (!skin) return tl::unexpected(skin.error());
  const auto found = find(upright, *skin, {options.body, options.sealing_mm, options.plug_end_mm}, out.notes);
  if (!found) return tl::unexpected(found.error());
  out.unit = read->unit;
  out.solids = read->solids;
  out.solid = read->taken;
  out.axis_share = turning->share;
  fill_geometry(out, *found, to_axis.Inverted());
  fill_size(out, *skin);
  auto curve = meridian(found->skin, found->chamber);
  out.turned = curve.not_turned.empty();
  out.not_turned = std::move(curve.not_turned);
  out.chain = std::move(curve.chain);
  if (!out.chain.empty()) {
    out.volume_mm3 = profile::swept_volume(profile::ChainView(out.chain));
    out.volume_doubt_mm3 = std::max(out.volume_doubt_mm3, std::abs(out.volume_mm3 - found->chamber.volume));
  }
  out.turned_rim = std::move(curve.turned_rim);
  out.no_chain = out.turned ? std::move(curve.no_chain) : "the chamber is not turned.";
  say(out, *found);
  return out;
}

} // namespace
} // namespace foreign

Result<Measured> measure_here(const std::string& path, const MeasureOptions& options) {
  try {
    return foreign::measured(path, options);
  } catch (const Standard_Failure& failure) {
    return fail(fmt::format("the CAD kernel gave up on this file ({}: {}).", failure.DynamicType()->Name(),
                            failure.GetMessageString()),
                "the solid is damaged: repair it in the program it comes from and export it again.");
  }
}

} // namespace chamber::solid
