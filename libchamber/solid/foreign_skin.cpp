#include "chamber/solid/foreign_skin.hpp"
#include <BRepAdaptor_Curve.hxx>
#include <BRepAdaptor_Surface.hxx>
#include <BRepClass_FaceClassifier.hxx>
#include <BRepGProp.hxx>
#include <BRepTools.hxx>
#include <BRep_Tool.hxx>
#include <GProp_GProps.hxx>
#include <TColStd_Array1OfReal.hxx>
#include <TopExp.hxx>
#include <TopExp_Explorer.hxx>
#include <TopTools_IndexedDataMapOfShapeListOfShape.hxx>
#include <TopTools_IndexedMapOfShape.hxx>
#include <TopoDS.hxx>
#include <algorithm>
#include <fmt/format.h>
#include <gp_Cylinder.hxx>
#include <limits>

namespace chamber::solid::foreign {

std::vector<Sample> samples(const TopoDS_Face& face) {
  const BRepAdaptor_Surface surface(face);
  double u0, u1, v0, v1;
  BRepTools::UVBounds(face, u0, u1, v0, v1);
  std::vector<Sample> out;
  // A narrow face between wide bounds needs the finer grid. Odd steps keep off seams and symmetric corners.
  for (const int n : {7, 31}) {
    for (int i = 0; i < n; ++i)
      for (int j = 0; j < n; ++j) {
        const double u = u0 + (u1 - u0) * (i + 0.47) / n, v = v0 + (v1 - v0) * (j + 0.53) / n;
        gp_Pnt p;
        gp_Vec du, dv;
        surface.D1(u, v, p, du, dv);
        gp_Vec normal = du.Crossed(dv);
        if (normal.Magnitude() < 1e-12 || BRepClass_FaceClassifier(face, gp_Pnt2d(u, v), 1e-9).State() != TopAbs_IN)
          continue;
        if (face.Orientation() == TopAbs_REVERSED) normal.Reverse();
        out.push_back({p, gp_Dir(normal), u, v});
      }
    if (out.size() >= 4) break;
  }
  return out;
}

void along(const TopoDS_Edge& edge, const std::function<void(const gp_Pnt&, const gp_Vec&)>& f) {
  // Five-point Gauss-Legendre on 32 panels of every smooth piece (nodes and weights: Abramowitz and Stegun,
  // table 25.4).
  constexpr double node[] = {0, 0.538469310105683091, 0.906179845938663993};
  constexpr double weight[] = {0.568888888888888889, 0.478628670499366468, 0.236926885056189088};
  constexpr int panels = 32;
  BRepAdaptor_Curve curve(edge);
  const double sign = edge.Orientation() == TopAbs_REVERSED ? -1 : 1;
  const int pieces = curve.NbIntervals(GeomAbs_CN);
  TColStd_Array1OfReal knots(1, pieces + 1);
  curve.Intervals(knots, GeomAbs_CN);
  for (int piece = 1; piece <= pieces; ++piece) {
    const double half = (knots(piece + 1) - knots(piece)) / (2 * panels);
    for (int panel = 0; panel < panels; ++panel)
      for (int k = -2; k <= 2; ++k) {
        const double x = k < 0 ? -node[-k] : node[k];
        gp_Pnt p;
        gp_Vec d;
        curve.D1(knots(piece) + half * (2 * panel + 1 + x), p, d);
        f(p, d * (sign * half * weight[std::abs(k)]));
      }
  }
}

double largest(const TopoDS_Edge& edge, const std::function<double(const gp_Pnt&)>& f) {
  BRepAdaptor_Curve curve(edge);
  const auto at = [&](double u) { return f(curve.Value(u)); };
  constexpr int steps = 96;
  const double first = curve.FirstParameter(), step = (curve.LastParameter() - first) / steps;
  int best = 0;
  double most = at(first);
  for (int i = 1; i <= steps; ++i)
    if (const double value = at(first + i * step); value > most) most = value, best = i;
  // Golden section between the neighbours.
  constexpr double golden = 0.6180339887498949;
  double low = first + std::max(best - 1, 0) * step, high = first + std::min(best + 1, steps) * step;
  for (int i = 0; i < 40; ++i) {
    const double a = high - golden * (high - low), b = low + golden * (high - low);
    (at(a) > at(b) ? high : low) = at(a) > at(b) ? b : a;
  }
  return std::max(most, at((low + high) / 2));
}

double largest(const TopoDS_Face& face, const std::vector<Sample>& samples,
               const std::function<double(const gp_Pnt&)>& f) {
  double most = -std::numeric_limits<double>::infinity();
  for (TopExp_Explorer e(face, TopAbs_EDGE); e.More(); e.Next())
    if (const auto& edge = TopoDS::Edge(e.Current()); !BRep_Tool::Degenerated(edge))
      most = std::max(most, largest(edge, f));
  if (samples.empty()) return most;
  // From the best sample uphill in ever smaller steps, within the face.
  const auto best = std::max_element(samples.begin(), samples.end(),
                                     [&](const Sample& a, const Sample& b) { return f(a.point) < f(b.point); });
  const BRepAdaptor_Surface surface(face);
  double u0, u1, v0, v1;
  BRepTools::UVBounds(face, u0, u1, v0, v1);
  double u = best->u, v = best->v, here = f(best->point);
  for (double step = 0.25; step > 1e-7; step /= 2)
    for (bool better = true; better;) {
      better = false;
      for (const auto& [du, dv] : {std::pair{step, 0.0}, {-step, 0.0}, {0.0, step}, {0.0, -step}}) {
        const double x = u + du * (u1 - u0), y = v + dv * (v1 - v0), there = f(surface.Value(x, y));
        if (there <= here + 1e-12 || BRepClass_FaceClassifier(face, gp_Pnt2d(x, y), 1e-9).State() != TopAbs_IN)
          continue;
        u = x, v = y, here = there;
        better = true;
      }
    }
  return std::max(most, here);
}

Result<Skin> skin_of(const TopoDS_Solid& solid) {
  Skin skin;
  TopTools_IndexedMapOfShape faces;
  TopExp::MapShapes(solid, TopAbs_FACE, faces);
  for (int i = 1; i <= faces.Extent(); ++i) {
    skin.faces.push_back(TopoDS::Face(faces(i)));
    skin.samples.push_back(samples(skin.faces.back()));
  }
  skin.joints_of.resize(skin.faces.size());
  TopTools_IndexedMapOfShape edges;
  for (int f = 0; f < faces.Extent(); ++f)
    for (TopExp_Explorer e(skin.faces[static_cast<std::size_t>(f)], TopAbs_EDGE); e.More(); e.Next()) {
      const auto& edge = TopoDS::Edge(e.Current());
      if (BRep_Tool::Degenerated(edge)) continue;
      const auto known = static_cast<std::size_t>(edges.Extent());
      const auto at = static_cast<std::size_t>(edges.Add(edge) - 1);
      if (at == known)
        skin.joints.push_back({edge, f, -1});
      else if (skin.joints[at].b < 0)
        skin.joints[at].b = f;
      else
        return fail("more than two faces meet at one edge of the solid.", "export the part as one clean solid.");
      if (at == known || skin.joints[at].a != f)
        skin.joints_of[static_cast<std::size_t>(f)].push_back(static_cast<int>(at));
    }
  for (const auto& joint : skin.joints)
    if (joint.b < 0)
      return fail("the solid is not closed: an edge has one face only.", "export it as one closed solid.");
  return skin;
}

std::string describe(const TopoDS_Face& face) {
  const BRepAdaptor_Surface s(face);
  switch (s.GetType()) {
  case GeomAbs_Plane:
    return "plane";
  case GeomAbs_Cylinder:
    return fmt::format("cylinder of radius {:.3f} mm", s.Cylinder().Radius());
  case GeomAbs_Cone:
    return "cone";
  case GeomAbs_Sphere:
    return fmt::format("sphere of radius {:.3f} mm", s.Sphere().Radius());
  case GeomAbs_Torus:
    return fmt::format("torus of radii {:.3f} and {:.3f} mm", s.Torus().MajorRadius(), s.Torus().MinorRadius());
  default:
    return "free-form surface";
  }
}

namespace {

/// Its height, and which way is out, if the face lies in a plane square to the axis.
std::optional<std::pair<double, int>> level_of(const Skin& skin, std::size_t face) {
  const auto& points = skin.samples[face];
  if (points.empty()) return std::nullopt;
  const double z = points[0].point.Z();
  const int out = points[0].out.Z() > 0 ? 1 : -1;
  for (const auto& s : points)
    if (std::hypot(s.out.X(), s.out.Y()) > same_angle || std::abs(s.point.Z() - z) > same_place) return std::nullopt;
  return std::pair{z, out};
}

/// The cylinder the face is part of, if its material lies outside. Splines only about the turning axis.
std::optional<std::pair<gp_Ax1, double>> hole_wall(const Skin& skin, std::size_t face) {
  const auto& points = skin.samples[face];
  if (points.empty()) return std::nullopt;
  const BRepAdaptor_Surface surface(skin.faces[face]);
  gp_Ax1 axis(gp_Pnt(0, 0, 0), gp_Dir(0, 0, 1));
  double radius = std::hypot(points[0].point.X(), points[0].point.Y());
  if (surface.GetType() == GeomAbs_Cylinder) {
    axis = surface.Cylinder().Axis();
    radius = surface.Cylinder().Radius();
    if (axis.Direction().Z() < 0) axis.Reverse();
  }
  for (const auto& s : points) {
    const gp_Vec from(axis.Location(), s.point);
    const gp_Vec radial = from - gp_Vec(axis.Direction()) * from.Dot(axis.Direction());
    if (std::abs(radial.Magnitude() - radius) > same_place || radial.Dot(s.out) > -radius * (1 - same_angle))
      return std::nullopt;
  }
  return std::pair{axis, radius};
}

bool same(const std::pair<gp_Ax1, double>& a, const std::pair<gp_Ax1, double>& b) {
  return std::abs(a.second - b.second) < same_place && a.first.IsCoaxial(b.first, same_angle, same_place);
}

} // namespace

std::vector<Level> levels(const Skin& skin) {
  std::vector<Level> out;
  for (std::size_t i = 0; i < skin.faces.size(); ++i) {
    const auto found = level_of(skin, i);
    if (!found) continue;
    GProp_GProps area;
    BRepGProp::SurfaceProperties(skin.faces[i], area);
    auto at = std::find_if(out.begin(), out.end(), [&](const Level& l) {
      return l.out == found->second && std::abs(l.z - found->first) < same_place;
    });
    if (at == out.end()) at = out.insert(out.end(), {found->first, found->second, {}, 0});
    at->faces.push_back(static_cast<int>(i));
    at->area += area.Mass();
  }
  return out;
}

std::vector<Loop> border(const Skin& skin, const std::vector<char>& in) {
  TopTools_IndexedMapOfShape corners;
  std::vector<int> parent;
  const std::function<int(int)> root = [&](int i) {
    while (parent[static_cast<std::size_t>(i)] != i) i = parent[static_cast<std::size_t>(i)];
    return i;
  };
  std::vector<std::pair<int, int>> found; // joint and one of its corners
  for (std::size_t j = 0; j < skin.joints.size(); ++j) {
    const auto& joint = skin.joints[j];
    if (in[static_cast<std::size_t>(joint.a)] == in[static_cast<std::size_t>(joint.b)]) continue;
    int ends[2];
    for (const bool last : {false, true}) {
      const auto corner = last ? TopExp::LastVertex(joint.edge) : TopExp::FirstVertex(joint.edge);
      const int at = corners.Add(corner) - 1;
      if (static_cast<std::size_t>(at) == parent.size()) parent.push_back(at);
      ends[last] = at;
    }
    parent[static_cast<std::size_t>(root(ends[0]))] = root(ends[1]);
    found.push_back({static_cast<int>(j), ends[0]});
  }
  std::vector<Loop> loops;
  std::vector<int> loop_of(parent.size(), -1);
  for (const auto& [joint, corner] : found) {
    auto& at = loop_of[static_cast<std::size_t>(root(corner))];
    if (at < 0) {
      at = static_cast<int>(loops.size());
      loops.emplace_back();
    }
    auto& loop = loops[static_cast<std::size_t>(at)];
    const auto& one = skin.joints[static_cast<std::size_t>(joint)];
    loop.joints.push_back(joint);
    loop.edges.push_back(in[static_cast<std::size_t>(one.a)] ? one.edge : TopoDS::Edge(one.edge.Reversed()));
  }
  return loops;
}

double winding(const Loop& loop, const gp_Ax1& axis) {
  double turned = 0;
  const gp_Vec a(axis.Direction());
  for (const auto& edge : loop.edges)
    along(edge, [&](const gp_Pnt& p, const gp_Vec& step) {
      const gp_Vec from(axis.Location(), p);
      const gp_Vec radial = from - a * from.Dot(a);
      turned += a.Crossed(radial).Dot(step) / std::max(radial.SquareMagnitude(), 1e-12);
    });
  return turned / (2 * M_PI);
}

std::vector<Tunnel> tunnels(const Skin& skin) {
  const std::size_t n = skin.faces.size();
  std::vector<std::optional<std::pair<gp_Ax1, double>>> wall(n);
  for (std::size_t i = 0; i < n; ++i) wall[i] = hole_wall(skin, i);
  std::vector<char> seen(n, 0);
  std::vector<Tunnel> out;
  for (std::size_t first = 0; first < n; ++first) {
    if (!wall[first] || seen[first]) continue;
    std::vector<char> in(n, 0);
    std::vector<int> todo{static_cast<int>(first)};
    in[first] = seen[first] = 1;
    for (std::size_t k = 0; k < todo.size(); ++k)
      for (const int j : skin.joints_of[static_cast<std::size_t>(todo[k])]) {
        const auto next = static_cast<std::size_t>(skin.joints[static_cast<std::size_t>(j)].other(todo[k]));
        if (seen[next] || !wall[next] || !same(*wall[first], *wall[next])) continue;
        in[next] = seen[next] = 1;
        todo.push_back(static_cast<int>(next));
      }
    int turns = 0;
    for (const auto& loop : border(skin, in)) turns += std::abs(std::abs(winding(loop, wall[first]->first)) - 1) < 0.1;
    if (turns >= 2) out.push_back({wall[first]->first, wall[first]->second, todo});
  }
  return out;
}

} // namespace chamber::solid::foreign
