#include "chamber/solid/revolve.hpp"
#include "chamber/profile/distance.hpp"
#include "chamber/profile/integrals.hpp"
#include "chamber/units/tolerance.hpp"
#include <BRepAdaptor_Surface.hxx>
#include <BRepBuilderAPI_MakeEdge.hxx>
#include <BRepBuilderAPI_MakeFace.hxx>
#include <BRepBuilderAPI_MakeVertex.hxx>
#include <BRepBuilderAPI_MakeWire.hxx>
#include <BRepCheck_Analyzer.hxx>
#include <BRepSweep_Revol.hxx>
#include <BRep_Tool.hxx>
#include <Geom_Circle.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Edge.hxx>
#include <TopoDS_Shell.hxx>
#include <TopoDS_Vertex.hxx>
#include <fmt/format.h>
#include <gp_Pln.hxx>

namespace chamber::solid {
namespace {

using profile::P;
using profile::S;
constexpr double point = tolerance::point_mm;

gp_Pnt space(const P& p) {
  return {p.r, 0, p.z};
}

bool on_axis(const S& s) {
  return !s.is_arc() && s.start.r == 0 && s.end.r == 0;
}

bool finite(const S& s) {
  for (const double x : {s.start.r, s.start.z, s.end.r, s.end.z, s.centre.r, s.centre.z, s.radius})
    if (!std::isfinite(x)) return false;
  return true;
}

/// The segment between two vertices in the plane y = 0.
TopoDS_Edge edge_of(const S& s, const TopoDS_Vertex& from, const TopoDS_Vertex& to) {
  if (!s.is_arc()) {
    BRepBuilderAPI_MakeEdge edge(from, to);
    return edge.IsDone() ? edge.Edge() : TopoDS_Edge();
  }
  // Seen with r to the right and z up, the kernel's -y looks at the reader: a circle about -y runs counter-clockwise.
  const bool ccw = s.kind == profile::Kind::ccw;
  const Handle(Geom_Curve) circle =
      new Geom_Circle(gp_Ax2(space(s.centre), gp_Dir(0, ccw ? -1 : 1, 0), gp_Dir(1, 0, 0)), s.radius);
  const double first = std::atan2(s.start.z - s.centre.z, s.start.r - s.centre.r);
  const double turned = profile::sweep(s);
  BRepBuilderAPI_MakeEdge edge(circle, from, to, ccw ? first : -first, ccw ? first + turned : -(first + turned));
  return edge.IsDone() ? edge.Edge() : TopoDS_Edge();
}

Result<void> check_segment(const Part& part, std::size_t i, const S& s) {
  if (s.start.r < 0 || s.end.r < 0)
    return fail(describe(part, i) + " lies beyond the turning axis.", "keep every radius at or above 0.");
  if (profile::arc_length(s) < point) return fail(describe(part, i) + " has no length.", "leave the segment out.");
  if (!s.is_arc()) return {};
  if (s.radius <= 0) return fail(describe(part, i) + " has no radius.", "give the arc a radius above 0.");
  for (const P& p : {s.start, s.end})
    if (std::abs(profile::length(p - s.centre) - s.radius) > point)
      return fail(describe(part, i) + " does not pass through its ends.", "make centre, radius and ends agree.");
  if (s.centre.r != 0 && s.centre.r <= s.radius)
    return fail(describe(part, i) + ": its ring would close on the turning axis, which is not a torus.",
                "make the radius smaller than the distance of its centre from the axis, or centre it on the axis.");
  if (s.centre.r == 0 && profile::bounding_box(std::span(&s, 1)).r_min < -point)
    return fail(describe(part, i) + " runs across the turning axis.", "end the arc on the axis.");
  return {};
}

/// What the segment sweeps. A step below rounding makes no slope.
GeomAbs_SurfaceType surface_of(const S& s) {
  constexpr double rounding =
      1e-9; // mm: a thousandth of point_mm, a hundred thousand times what doubles round at 100 mm
  if (s.is_arc()) return std::abs(s.centre.r) < point ? GeomAbs_Sphere : GeomAbs_Torus;
  if (std::abs(s.end.z - s.start.z) < rounding) return GeomAbs_Plane;
  return std::abs(s.end.r - s.start.r) < rounding ? GeomAbs_Cylinder : GeomAbs_Cone;
}

Result<void> check_surface(const Part& part, const NamedFace& named) {
  const auto expected = surface_of(part.outline[named.segment].segment);
  if (BRepAdaptor_Surface(named.face, false).GetType() == expected) return {};
  if (expected == GeomAbs_Cone)
    return fail(describe(part, named.segment) + " slopes too little for the CAD kernel to sweep a cone of it.",
                "make it exactly parallel or exactly square to the axis, or slope it more: 0.1 degrees does from 0.3 "
                "mm of length, 0.5 degrees from 0.01 mm.");
  return fail(describe(part, named.segment) + " did not sweep a plane, cylinder, sphere or torus.",
              "an arc's circle must keep clear of the axis or be centred on it.");
}

} // namespace

std::string describe(const Part& part, std::size_t i) {
  const auto& [s, face] = part.outline[i];
  auto text = fmt::format("{}: {} (segment {}), {} ({:.4f}, {:.4f}) to ({:.4f}, {:.4f}) mm", part.name, face, i + 1,
                          s.is_arc() ? "arc" : "line", s.start.r, s.start.z, s.end.r, s.end.z);
  if (s.is_arc()) text += fmt::format(" about ({:.4f}, {:.4f}), radius {:.4f} mm", s.centre.r, s.centre.z, s.radius);
  return text;
}

std::string describe(const profile::Chain& outline) {
  const auto box = profile::bounding_box(outline);
  return fmt::format("outline r {:.3f} to {:.3f} mm, z {:.3f} to {:.3f} mm, {} segments", box.r_min, box.r_max,
                     box.z_min, box.z_max, outline.size());
}

Result<profile::Chain> checked_outline(const Part& part) {
  auto chain = shapes::chain_of(part.outline);
  if (chain.size() < 2) return fail(part.name + ": the outline has fewer than two segments.", "give a closed outline.");
  const auto on = [](double& r) {
    if (std::abs(r) < point) r = 0;
  };
  for (std::size_t i = 0; i < chain.size(); ++i) {
    auto& s = chain[i];
    if (!finite(s)) return fail(describe(part, i) + " is not finite.", "check the dimensions it was built from.");
    on(s.start.r);
    on(s.end.r);
    if (s.is_arc()) on(s.centre.r);
    if (auto ok = check_segment(part, i, s); !ok) return tl::unexpected(ok.error());
  }
  const auto gap = [&](std::size_t i) { return profile::length(chain[(i + 1) % chain.size()].start - chain[i].end); };
  for (std::size_t i = 0; i < chain.size(); ++i)
    if (gap(i) > point)
      return fail(fmt::format("{} ends {:.6f} mm from where the next segment starts.", describe(part, i), gap(i)),
                  "close the outline.");
  if (const auto clash = profile::self_crossing(chain))
    return fail(fmt::format("{} meets {} at ({:.4f}, {:.4f}) mm.", describe(part, clash->first),
                            describe(part, clash->second), clash->at.r, clash->at.z),
                "an outline must not cross or touch itself.");
  if (profile::swept_volume(profile::ChainView(chain)) <= 0)
    return fail(fmt::format("{}: the outline runs clockwise or encloses nothing ({}).", part.name, describe(chain)),
                "walk it with the material on the left.");
  return chain;
}

Result<Revolved> revolve(const Part& part, const profile::Chain& outline) {
  const std::size_t n = outline.size();
  std::vector<TopoDS_Vertex> corners;
  for (const auto& s : outline) corners.push_back(BRepBuilderAPI_MakeVertex(space(s.start)).Vertex());
  std::vector<TopoDS_Edge> edges;
  BRepBuilderAPI_MakeWire wire;
  for (std::size_t i = 0; i < n; ++i) {
    edges.push_back(edge_of(outline[i], corners[i], corners[(i + 1) % n]));
    if (edges.back().IsNull())
      return fail("the CAD kernel could not make an edge of " + describe(part, i) + ".",
                  "check this segment's dimensions.");
    wire.Add(edges.back());
  }
  if (!wire.IsDone())
    return fail(fmt::format("{}: the CAD kernel could not join the outline ({}).", part.name, describe(outline)),
                "check that the outline is closed.");
  // The plane's normal is -y: seen against it the outline runs counter-clockwise.
  BRepBuilderAPI_MakeFace section(gp_Pln(gp_Ax3(gp_Pnt(0, 0, 0), gp_Dir(0, -1, 0), gp_Dir(1, 0, 0))), wire.Wire());
  if (!section.IsDone())
    return fail(fmt::format("{}: the CAD kernel could not fill the outline ({}).", part.name, describe(outline)),
                "check that the outline does not cross itself.");
  // No angle given: a full turn without a seam face. An angle of 2 pi would be rounded to less or more than a turn.
  BRepSweep_Revol turned(section.Face(), gp_Ax1(gp_Pnt(0, 0, 0), gp_Dir(0, 0, 1)));
  const TopoDS_Shape solid = turned.Shape();
  if (solid.IsNull() || solid.ShapeType() != TopAbs_SOLID)
    return fail(fmt::format("{}: the CAD kernel could not revolve the outline into one solid ({}).", part.name,
                            describe(outline)),
                "check that the outline touches the axis only along it.");
  Revolved revolved{TopoDS::Solid(solid), {}};
  for (std::size_t i = 0; i < n; ++i) {
    if (on_axis(outline[i])) continue;
    const TopoDS_Shape swept = turned.Shape(edges[i]);
    if (swept.IsNull() || swept.ShapeType() != TopAbs_FACE)
      return fail(describe(part, i) + " did not sweep exactly one face.", "check this segment's dimensions.");
    revolved.faces.push_back({TopoDS::Face(swept), part.outline[i].face, i});
  }
  return revolved;
}

Result<void> check(const Part& part, const Revolved& revolved) {
  std::size_t faces = 0, shells = 0;
  bool closed = true;
  for (TopExp_Explorer e(revolved.solid, TopAbs_SHELL); e.More(); e.Next(), ++shells)
    closed = closed && BRep_Tool::IsClosed(TopoDS::Shell(e.Current()));
  for (TopExp_Explorer e(revolved.solid, TopAbs_FACE); e.More(); e.Next()) ++faces;
  if (shells != 1 || !closed || faces != revolved.faces.size())
    return fail(fmt::format("{}: the solid has {} shell(s), {}, and {} faces where the outline sweeps {}.", part.name,
                            shells, closed ? "closed" : "open", faces, revolved.faces.size()),
                "check that the outline touches the axis only along it.");
  for (const auto& named : revolved.faces)
    if (auto ok = check_surface(part, named); !ok) return ok;
  if (!BRepCheck_Analyzer(revolved.solid).IsValid())
    return fail(fmt::format("{}: the CAD kernel finds the solid invalid ({}).", part.name,
                            describe(shapes::chain_of(part.outline))),
                "look for segments that touch or nearly touch.");
  return {};
}

} // namespace chamber::solid
