#include "chamber/solid/foreign_skin.hpp"
#include <BRepAdaptor_Surface.hxx>
#include <BRepGProp.hxx>
#include <GProp_GProps.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <algorithm>
#include <math_Jacobi.hxx>
#include <math_Matrix.hxx>
#include <math_Vector.hxx>

namespace chamber::solid::foreign {
namespace {

struct Weighted {
  gp_Ax1 axis;
  double area = 0, heaviest = 0;
};

struct Curved {
  TopoDS_Face face;
  double area = 0;
};

/// Only spheres and planes: through the centre of the largest sphere, square to the largest plane.
std::optional<gp_Ax1> axis_of_spheres(const TopoDS_Solid& solid) {
  struct Largest {
    TopoDS_Face face;
    double area = 0;
  } sphere, plane;
  for (TopExp_Explorer e(solid, TopAbs_FACE); e.More(); e.Next()) {
    const auto& face = TopoDS::Face(e.Current());
    const auto type = BRepAdaptor_Surface(face).GetType();
    if (type != GeomAbs_Sphere && type != GeomAbs_Plane) return std::nullopt;
    GProp_GProps properties;
    BRepGProp::SurfaceProperties(face, properties);
    auto& largest = type == GeomAbs_Sphere ? sphere : plane;
    if (properties.Mass() > largest.area) largest = {face, properties.Mass()};
  }
  if (sphere.face.IsNull() || plane.face.IsNull()) return std::nullopt;
  return gp_Ax1(BRepAdaptor_Surface(sphere.face).Sphere().Location(),
                BRepAdaptor_Surface(plane.face).Plane().Axis().Direction());
}

/// The line that the normals of all these faces meet best. A line with direction a and moment m meets the normal n at p
/// when a.(p x n) + m.n = 0: the smallest eigenvector of the sum of squares, which must be a line (a.m = 0).
std::optional<gp_Ax1> axis_of_normals(const std::vector<Curved>& faces) {
  math_Matrix sum(1, 6, 1, 6, 0.0);
  gp_XYZ middle(0, 0, 0);
  std::vector<Sample> all;
  for (const auto& f : faces)
    for (const auto& s : samples(f.face)) {
      all.push_back(s);
      middle += s.point.XYZ();
    }
  if (all.size() < 12) return std::nullopt;
  middle /= static_cast<double>(all.size());
  double size = 0;
  for (const auto& s : all) size = std::max(size, (s.point.XYZ() - middle).Modulus());
  for (const auto& s : all) {
    const gp_XYZ p = (s.point.XYZ() - middle) / size, n = s.out.XYZ(), c = p.Crossed(n);
    const double row[] = {c.X(), c.Y(), c.Z(), n.X(), n.Y(), n.Z()};
    for (int i = 0; i < 6; ++i)
      for (int j = 0; j < 6; ++j) sum(i + 1, j + 1) += row[i] * row[j] / static_cast<double>(all.size());
  }
  math_Jacobi jacobi(sum);
  if (!jacobi.IsDone()) return std::nullopt;
  int least = 1, second = 2;
  for (int i = 1; i <= 6; ++i)
    if (jacobi.Value(i) < jacobi.Value(least)) least = i;
  for (second = least == 1 ? 2 : 1; const int i : {1, 2, 3, 4, 5, 6})
    if (i != least && jacobi.Value(i) < jacobi.Value(second)) second = i;
  math_Vector v(1, 6);
  jacobi.Vector(least, v);
  const gp_XYZ a(v(1), v(2), v(3)), m(v(4), v(5), v(6));
  constexpr double noise = 1e-9; // squares of relative misses
  if (jacobi.Value(least) > noise || jacobi.Value(second) < 1e3 * noise || a.Modulus() < 1e-3 ||
      std::abs(a.Dot(m)) > 1e-4 * a.Modulus())
    return std::nullopt;
  // The moment of a line about the middle is point x direction.
  const gp_XYZ foot = a.Crossed(m) / a.SquareModulus() * size + middle;
  return gp_Ax1(gp_Pnt(foot), gp_Dir(a));
}

} // namespace

std::optional<gp_Ax1> axis_of(const TopoDS_Face& face) {
  const BRepAdaptor_Surface s(face);
  switch (s.GetType()) {
  case GeomAbs_Cylinder:
    return s.Cylinder().Axis();
  case GeomAbs_Cone:
    return s.Cone().Axis();
  case GeomAbs_Torus:
    return s.Torus().Axis();
  case GeomAbs_SurfaceOfRevolution:
    return s.AxeOfRevolution();
  default:
    return std::nullopt;
  }
}

Result<Turning> find_axis(const TopoDS_Solid& solid, const std::optional<Axis>& given) {
  std::vector<Curved> curved;
  std::vector<Weighted> found;
  double area = 0;
  for (TopExp_Explorer e(solid, TopAbs_FACE); e.More(); e.Next()) {
    const auto& face = TopoDS::Face(e.Current());
    if (BRepAdaptor_Surface(face).GetType() == GeomAbs_Plane) continue;
    GProp_GProps properties;
    BRepGProp::SurfaceProperties(face, properties);
    curved.push_back({face, std::abs(properties.Mass())});
    area += curved.back().area;
    const auto axis = axis_of(face);
    if (!axis) continue;
    auto at = std::find_if(found.begin(), found.end(), [&](const Weighted& w) {
      return w.axis.IsCoaxial(*axis, same_angle, same_place) ||
             w.axis.Reversed().IsCoaxial(*axis, same_angle, same_place);
    });
    if (at == found.end()) at = found.insert(found.end(), {*axis, 0, 0});
    at->area += curved.back().area;
    // The largest face says best where the axis lies.
    if (curved.back().area > at->heaviest) {
      at->heaviest = curved.back().area;
      at->axis = *axis;
    }
  }
  std::optional<gp_Ax1> axis;
  const auto vector = [](const Vector3& v) { return gp_XYZ(v[0], v[1], v[2]); };
  if (given)
    axis = gp_Ax1(gp_Pnt(vector(given->point)), gp_Dir(vector(given->direction)));
  else if (const auto best = std::max_element(found.begin(), found.end(),
                                              [](const auto& a, const auto& b) { return a.area < b.area; });
           best != found.end())
    axis = best->axis;
  else if (axis = axis_of_spheres(solid); !axis)
    axis = axis_of_normals(curved);
  if (!axis)
    return fail("the solid has no turning axis: no cylinder, cone or torus, and no other faces turned about one line.",
                "give the axis: a point and a direction.");
  // The foot of the file's origin, and the sense in which the largest part of the direction is positive.
  const gp_XYZ d = axis->Direction().XYZ(), p = axis->Location().XYZ();
  const double parts[] = {d.X(), d.Y(), d.Z()};
  const double largest =
      *std::max_element(parts, parts + 3, [](double a, double b) { return std::abs(a) < std::abs(b); });
  Turning out{gp_Ax1(gp_Pnt(p - d * p.Dot(d)), largest < 0 ? gp_Dir(d).Reversed() : gp_Dir(d)), 0};
  double turned = 0;
  const gp_XYZ dir = out.axis.Direction().XYZ();
  for (const auto& f : curved) {
    const auto points = samples(f.face);
    const bool all = std::all_of(points.begin(), points.end(), [&](const Sample& s) {
      return std::abs((s.point.XYZ() - out.axis.Location().XYZ()).Crossed(s.out.XYZ()).Dot(dir)) < same_place;
    });
    if (all && !points.empty()) turned += f.area;
  }
  out.share = area > 0 ? turned / area : 0;
  return out;
}

} // namespace chamber::solid::foreign
