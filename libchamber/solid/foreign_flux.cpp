// The flux of (P - O)/3 through a face, over its own parameters.
//
// Not the kernel's integrators: the plain one may be a percent off on splines, the adaptive one asks for relative
// accuracy and runs for minutes where the flux is nearly nothing.
#include "chamber/solid/foreign_cap.hpp"
#include <BRepAdaptor_Surface.hxx>
#include <BRepTools.hxx>
#include <BRep_Tool.hxx>
#include <Geom2dAdaptor_Curve.hxx>
#include <Geom2d_Curve.hxx>
#include <TColStd_Array1OfReal.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <algorithm>

namespace chamber::solid::foreign {
namespace {

// Five-point Gauss-Legendre (Abramowitz and Stegun, table 25.4).
constexpr double node[] = {-0.906179845938663993, -0.538469310105683091, 0, 0.538469310105683091, 0.906179845938663993};
constexpr double weight[] = {0.236926885056189088, 0.478628670499366468, 0.568888888888888889, 0.478628670499366468,
                             0.236926885056189088};

template <class F>
double gauss(double a, double b, const F& f) {
  const double middle = (a + b) / 2, half = (b - a) / 2;
  double sum = 0;
  for (int i = 0; i < 5; ++i) sum += weight[i] * f(middle + half * node[i]);
  return sum * half;
}

/// A face's surface with the places where its pieces meet.
struct Field {
  BRepAdaptor_Surface surface;
  gp_Pnt origin;
  std::vector<double> u_knots, v_knots;
  double u_start = 0, u_width = 0; ///< extent of the face
  int panels = 0;                  ///< over the whole extent in u

  double density(double u, double v) const {
    gp_Pnt p;
    gp_Vec du, dv;
    surface.D1(u, v, p, du, dv);
    return gp_Vec(origin, p).Dot(du.Crossed(dv)) / 3;
  }

  /// Integral of the density from u_start to u.
  double up_to(double u, double v) const {
    double sum = 0, from = u_start;
    const auto piece = [&](double to) {
      const int n = std::max(1, static_cast<int>(std::ceil(panels * std::abs(to - from) / u_width)));
      for (int i = 0; i < n; ++i)
        sum += gauss(from + (to - from) * i / n, from + (to - from) * (i + 1) / n,
                     [&](double x) { return density(x, v); });
      from = to;
    };
    for (const double knot : u_knots)
      if (knot > from && knot < u) piece(knot);
    piece(u);
    return sum;
  }
};

std::vector<double> knots(const BRepAdaptor_Surface& s, bool u) {
  const int n = u ? s.NbUIntervals(GeomAbs_CN) : s.NbVIntervals(GeomAbs_CN);
  TColStd_Array1OfReal all(1, n + 1);
  u ? s.UIntervals(all, GeomAbs_CN) : s.VIntervals(all, GeomAbs_CN);
  return {all.begin(), all.end()};
}

/// Where panels begin and end: evenly, at the curve's own knots, and where it crosses the surface's knots in v.
std::vector<double> stops(const Geom2dAdaptor_Curve& curve, double first, double last, const Field& field, int panels) {
  std::vector<double> out;
  for (int i = 0; i <= panels; ++i) out.push_back(first + (last - first) * i / panels);
  const int n = curve.NbIntervals(GeomAbs_CN);
  TColStd_Array1OfReal own(1, n + 1);
  curve.Intervals(own, GeomAbs_CN);
  for (const double t : own)
    if (t > first && t < last) out.push_back(t);
  std::sort(out.begin(), out.end());
  const std::size_t even = out.size();
  for (std::size_t i = 0; i + 1 < even; ++i)
    for (const double knot : field.v_knots) {
      double a = out[i], b = out[i + 1];
      const bool below = curve.Value(a).Y() < knot;
      if (below == (curve.Value(b).Y() < knot)) continue;
      for (int k = 0; k < 50; ++k) ((curve.Value((a + b) / 2).Y() < knot) == below ? a : b) = (a + b) / 2;
      out.push_back(a);
    }
  std::sort(out.begin(), out.end());
  return out;
}

/// By Green's theorem in the parameters: the boundary integral of up_to(u, v) dv.
double through(const TopoDS_Face& shape, const gp_Pnt& origin, int panels) {
  const auto face = TopoDS::Face(shape.Oriented(TopAbs_FORWARD));
  Field field{BRepAdaptor_Surface(face), origin, {}, {}, 0, 0, panels};
  field.u_knots = knots(field.surface, true);
  field.v_knots = knots(field.surface, false);
  double u1, v0, v1;
  BRepTools::UVBounds(face, field.u_start, u1, v0, v1);
  field.u_width = std::max(u1 - field.u_start, 1e-12);
  double sum = 0;
  for (TopExp_Explorer e(face, TopAbs_EDGE); e.More(); e.Next()) {
    const auto& edge = TopoDS::Edge(e.Current());
    double first, last;
    const Handle(Geom2d_Curve) line = BRep_Tool::CurveOnSurface(edge, face, first, last);
    if (line.IsNull()) throw Standard_Failure("an edge without its curve on the surface");
    const Geom2dAdaptor_Curve curve(line, first, last);
    const auto at = stops(curve, first, last, field, panels);
    double own = 0;
    for (std::size_t i = 0; i + 1 < at.size(); ++i)
      own += gauss(at[i], at[i + 1], [&](double t) {
        gp_Pnt2d p;
        gp_Vec2d d;
        curve.D1(t, p, d);
        return d.Y() == 0 ? 0.0 : field.up_to(p.X(), p.Y()) * d.Y();
      });
    sum += edge.Orientation() == TopAbs_REVERSED ? -own : own;
  }
  return shape.Orientation() == TopAbs_REVERSED ? -sum : sum;
}

} // namespace

Flux flux(const Skin& skin, const std::vector<int>& faces, const gp_Pnt& origin) {
  Flux out;
  for (const int i : faces) {
    const auto& face = skin.faces[static_cast<std::size_t>(i)];
    const double coarse = through(face, origin, 12), fine = through(face, origin, 24);
    out.value += fine;
    out.doubt += std::abs(fine - coarse);
  }
  return out;
}

} // namespace chamber::solid::foreign
