#include "chamber/solid/tessellation.hpp"
#include "chamber/units/quantity.hpp"
#include "chamber/units/tolerance.hpp"
#include <BRepAdaptor_Curve.hxx>
#include <BRepAdaptor_Surface.hxx>
#include <BRep_Tool.hxx>
#include <TopExp_Explorer.hxx>
#include <TopTools_IndexedMapOfShape.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Edge.hxx>
#include <fmt/format.h>

namespace chamber::solid {
namespace {

using units::pi;
constexpr double point = tolerance::point_mm;
/// Deflection over largest radius: with it the mesh figure keeps tolerance::mesh_relative on a body of any size.
constexpr double coarsest = 1e-3;

/// One sampled circle about the axis, or (r = 0) the single point it shrinks to.
struct Row {
  double r, z;
  std::uint32_t first;
  bool pole() const { return r < point; }
};

/// An edge of the solid as a row, and how often faces have walked it up (+1) or down (-1).
struct Ring {
  Row row;
  int forward = 0, backward = 0;
};

/// A face as rows from one boundary to the other, and what the bounds need to know of it.
struct Grid {
  std::vector<Row> rows;
  bool outward; ///< (row j at k, row j at k + 1, row j + 1 at k + 1) turns outward
  bool curved;
  BRepAdaptor_Surface surface;
  double v_first, v_last, u_sense;
};

class Builder {
public:
  Builder(const Part& part, const Revolved& revolved, double deflection)
      : part_(part), revolved_(revolved), deflection_(deflection) {}

  Result<Mesh> run() {
    choose_columns();
    for (const auto& named : revolved_.faces)
      if (auto ok = add(named); !ok) return tl::unexpected(ok.error());
    for (const auto& ring : rings_)
      if (ring.forward != 1 || ring.backward != 1)
        return fail(fmt::format("{}: the edge at r {:.4f}, z {:.4f} mm is not shared by two faces of one orientation.",
                                part_.name, ring.row.r, ring.row.z),
                    "check the outline there.");
    mesh_.fine.reserve(2 * mesh_.points.size());
    for (const auto& g : grids_) triangulate(g);
    mesh_.columns = columns_;
    for (std::size_t i = 0; i < grids_.size(); ++i) mesh_.faces.push_back(rows_of(grids_[i], revolved_.faces[i].name));
    measure();
    return std::move(mesh_);
  }

private:
  /// Half the deflection is for the circles, half for the meridian: they add in the middle of a cell. A multiple of 8,
  /// so that the coarse mesh has a vertex on every axis.
  void choose_columns() {
    double r_max = 0;
    for (const auto& s : part_.outline)
      r_max = std::max({r_max, s.segment.start.r, s.segment.end.r, s.segment.centre.r + s.segment.radius});
    deflection_ = std::min(deflection_, coarsest * r_max);
    const double half = std::acos(1 - deflection_ / 2 / r_max);
    columns_ = 8 * static_cast<std::uint32_t>(std::max(4.0, std::ceil(pi / half / 8)));
  }

  double angle(std::uint32_t k) const { return 2 * pi * k / columns_; }

  template <class Curve>
  Row sample(double r, double z, const Curve& at) {
    const Row row{r, z, static_cast<std::uint32_t>(mesh_.points.size())};
    const std::uint32_t n = row.pole() ? 1 : columns_;
    for (std::uint32_t k = 0; k < n; ++k) {
      const gp_Pnt p = at(k);
      mesh_.points.push_back({p.X(), p.Y(), p.Z()});
    }
    return row;
  }

  /// The ring of a circular edge, sampled once however many faces share it; the index into rings_.
  Result<std::size_t> ring_of(const TopoDS_Edge& edge) {
    const int before = edges_.Extent(), i = edges_.Add(edge);
    if (edges_.Extent() == before) return static_cast<std::size_t>(i - 1);
    const BRepAdaptor_Curve curve(edge);
    const bool circle = curve.GetType() == GeomAbs_Circle;
    const gp_Ax2 axes = circle ? curve.Circle().Position() : gp_Ax2();
    const gp_Pnt c = axes.Location();
    if (!circle || std::hypot(c.X(), c.Y()) > point || axes.XDirection().X() < 1 - 1e-12 ||
        std::abs(curve.LastParameter() - curve.FirstParameter() - 2 * pi) > 1e-9)
      return fail(part_.name + ": a face is bounded by something other than a full circle about the axis.",
                  "this outline cannot be meshed.");
    const double sense = axes.Direction().Z() > 0 ? 1 : -1;
    rings_.push_back(
        {sample(curve.Circle().Radius(), c.Z(), [&](std::uint32_t k) { return curve.Value(sense * angle(k)); })});
    return static_cast<std::size_t>(i - 1);
  }

  Result<void> add(const NamedFace& named) {
    std::vector<std::size_t> around;
    for (TopExp_Explorer e(named.face, TopAbs_EDGE); e.More(); e.Next()) {
      const TopoDS_Edge& edge = TopoDS::Edge(e.Current());
      if (BRep_Tool::Degenerated(edge) || BRep_Tool::IsClosed(edge, named.face)) continue; // pole, seam
      const auto ring = ring_of(edge);
      if (!ring) return tl::unexpected(ring.error());
      around.push_back(*ring);
    }
    Grid g{{}, true, false, BRepAdaptor_Surface(named.face, true), 0, 0, 1};
    const bool plane = g.surface.GetType() == GeomAbs_Plane;
    if (around.size() > 2 || (plane && around.empty()))
      return fail(fmt::format("{}: the {} is bounded by {} circles.", part_.name, named.name, around.size()),
                  "this outline cannot be meshed.");
    if (plane)
      plane_rows(g, around);
    else if (auto ok = curved_rows(g, around, named.name); !ok)
      return ok;
    g.outward = outward(g, named.face);
    for (const auto i : around)
      ++((rings_[i].row.first == g.rows.front().first) == g.outward ? rings_[i].forward : rings_[i].backward);
    grids_.push_back(std::move(g));
    return {};
  }

  void plane_rows(Grid& g, const std::vector<std::size_t>& around) {
    g.rows.push_back(rings_[around[0]].row);
    if (around.size() == 2)
      g.rows.push_back(rings_[around[1]].row);
    else
      g.rows.push_back(pole(g.rows[0].z));
  }

  Row pole(double z) {
    return sample(0, z, [&](std::uint32_t) { return gp_Pnt(0, 0, z); });
  }

  Result<void> curved_rows(Grid& g, const std::vector<std::size_t>& around, const std::string& face) {
    g.v_first = g.surface.FirstVParameter();
    g.v_last = g.surface.LastVParameter();
    const auto type = g.surface.GetType();
    const double radius = type == GeomAbs_Sphere  ? g.surface.Sphere().Radius()
                          : type == GeomAbs_Torus ? g.surface.Torus().MinorRadius()
                                                  : 0;
    const gp_Pnt quarter = g.surface.Value(pi / 2, (g.v_first + g.v_last) / 2);
    g.u_sense = quarter.Y() > 0 ? 1 : -1;
    g.curved = radius > 0;
    int steps = 1;
    if (g.curved) {
      const double turned = g.v_last - g.v_first;
      const double chord = std::min(2 * std::acos(1 - std::min(deflection_ / 2 / radius, 0.1)), 0.35);
      steps = 2 * std::max(1, static_cast<int>(std::ceil(turned / chord / 2)));
      arcs_.push_back(
          {radius, type == GeomAbs_Torus ? g.surface.Torus().MajorRadius() : 0, turned, turned / steps * 2});
    }
    for (int j = 0; j <= steps; ++j) {
      const double v = g.v_first + (g.v_last - g.v_first) * j / steps;
      const gp_Pnt p = g.surface.Value(0, v);
      if (p.X() < -point || std::abs(p.Y()) > point) return no_grid(face);
      if (j > 0 && j < steps)
        g.rows.push_back(
            sample(p.X(), p.Z(), [&](std::uint32_t k) { return g.surface.Value(g.u_sense * angle(k), v); }));
      else if (p.X() < point)
        g.rows.push_back(pole(p.Z()));
      else {
        const Row* found = nullptr;
        for (const auto i : around)
          if (std::hypot(rings_[i].row.r - p.X(), rings_[i].row.z - p.Z()) < point) found = &rings_[i].row;
        if (!found) return no_grid(face);
        g.rows.push_back(*found);
      }
    }
    return {};
  }

  Result<void> no_grid(const std::string& face) const {
    return fail(fmt::format("{}: the {} does not end on the circles that bound it.", part_.name, face),
                "this outline cannot be meshed.");
  }

  Point3 at(const Row& row, std::uint32_t k) const { return mesh_.points[row.first + (row.pole() ? 0 : k % columns_)]; }

  static Point3 minus(const Point3& a, const Point3& b) { return {a[0] - b[0], a[1] - b[1], a[2] - b[2]}; }
  static Point3 cross(const Point3& a, const Point3& b) {
    return {a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]};
  }
  static double dot(const Point3& a, const Point3& b) { return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]; }
  /// Not unit: the area vector of the cell's outline.
  Point3 cell_normal(const Row& a, const Row& b, std::uint32_t k, std::uint32_t step) const {
    const auto d1 = minus(at(b, k + step), at(a, k)), d2 = minus(at(b, k), at(a, k + step));
    const auto n = cross(d1, d2);
    return {n[0] / 2, n[1] / 2, n[2] / 2};
  }

  /// Asks the face itself which way is out.
  bool outward(const Grid& g, const TopoDS_Face& face) const {
    const auto& a = g.rows[0];
    const auto& b = g.rows[1];
    gp_Pnt p;
    gp_Vec du, dv;
    g.surface.D1(g.u_sense * angle(1) / 2,
                 g.v_first + (g.v_last - g.v_first) / (2.0 * static_cast<double>(g.rows.size() - 1)), p, du, dv);
    gp_Vec n = du.Crossed(dv);
    if (face.Orientation() == TopAbs_REVERSED) n.Reverse();
    return dot(cell_normal(a, b, 0, 1), {n.X(), n.Y(), n.Z()}) > 0;
  }

  template <class Emit>
  void cells(const Grid& g, std::uint32_t step, const Emit& emit) const {
    const std::size_t stride = g.curved ? step : 1;
    for (std::size_t j = 0; j + stride < g.rows.size(); j += stride) {
      const Row &a = g.rows[j], &b = g.rows[j + stride];
      const auto index = [&](const Row& row, std::uint32_t k) { return row.first + (row.pole() ? 0 : k % columns_); };
      for (std::uint32_t k = 0; k < columns_; k += step) {
        const std::uint32_t a0 = index(a, k), a1 = index(a, k + step), b0 = index(b, k), b1 = index(b, k + step);
        if (!a.pole()) g.outward ? emit(a0, a1, b1) : emit(a0, b1, a1);
        if (!b.pole()) g.outward ? emit(a0, b1, b0) : emit(a0, b0, b1);
      }
    }
  }

  void triangulate(const Grid& g) {
    cells(g, 1, [&](std::uint32_t a, std::uint32_t b, std::uint32_t c) { mesh_.fine.push_back({a, b, c}); });
  }

  FaceRows rows_of(const Grid& g, const std::string& name) const {
    FaceRows out{name, g.outward, {}};
    const double sense = g.outward ? 1 : -1;
    const bool plane = g.surface.GetType() == GeomAbs_Plane;
    for (std::size_t j = 0; j < g.rows.size(); ++j) {
      // A quarter turn of the meridian's direction; that of a plane is known from its rings.
      gp_Vec du, along(g.rows[1].r - g.rows[0].r, 0, g.rows[1].z - g.rows[0].z);
      gp_Pnt p;
      const double u = static_cast<double>(j) / static_cast<double>(g.rows.size() - 1);
      if (!plane) g.surface.D1(0, g.v_first + (g.v_last - g.v_first) * u, p, du, along);
      along.Normalize();
      out.rows.push_back({g.rows[j].first, g.rows[j].pole(), sense * along.Z(), -sense * along.X()});
    }
    return out;
  }

  /// Largest distance of the face from its cells of this mesh, mm, and the sum of area x distance, mm3. Seen along one
  /// column: the others are the same turned. Distance is taken at the middle of the cell and of its sides, where chords
  /// are farthest.
  double measure_deflection(const Grid& g, std::uint32_t step, double& volume) const {
    if (g.surface.GetType() == GeomAbs_Plane) return 0;
    double largest = 0;
    const std::size_t stride = g.curved ? step : 1, last = g.rows.size() - 1;
    const double u = angle(step) / 2;
    for (std::size_t j = 0; j + stride <= last; j += stride) {
      const auto n = cell_normal(g.rows[j], g.rows[j + stride], 0, step);
      const double area = std::sqrt(dot(n, n));
      double d = 0;
      for (const auto& [i, column] : {std::pair{0.0, u}, {0.5, u}, {1.0, u}, {0.5, 0.0}}) {
        const double v = g.v_first + (g.v_last - g.v_first) *
                                         (static_cast<double>(j) + i * static_cast<double>(stride)) /
                                         static_cast<double>(last);
        const gp_Pnt p = g.surface.Value(g.u_sense * column, v);
        d = std::max(d, std::abs(dot(minus({p.X(), p.Y(), p.Z()}, at(g.rows[j], 0)), n)) / area);
      }
      largest = std::max(largest, d);
      volume += area * d * columns_ / step;
    }
    return largest;
  }

  double enclosed(std::uint32_t step) const {
    // About a point on the axis; compensated, so that tens of thousands of terms cost no digits.
    double sum = 0, lost = 0;
    const auto emit = [&](std::uint32_t a, std::uint32_t b, std::uint32_t c) {
      const double term = dot(mesh_.points[a], cross(mesh_.points[b], mesh_.points[c])) - lost;
      const double next = sum + term;
      lost = (next - sum) - term;
      sum = next;
    };
    for (const auto& g : grids_) cells(g, step, emit);
    return sum / 6;
  }

  void measure() {
    mesh_.fine_volume_mm3 = enclosed(1);
    mesh_.coarse_volume_mm3 = enclosed(2);
    double unused = 0;
    for (const auto& g : grids_) {
      mesh_.fine_deflection_mm = std::max(mesh_.fine_deflection_mm, measure_deflection(g, 1, mesh_.fine_bound_mm3));
      mesh_.coarse_deflection_mm = std::max(mesh_.coarse_deflection_mm, measure_deflection(g, 2, unused));
    }
    const double v = mesh_.fine_volume_mm3 + (mesh_.fine_volume_mm3 - mesh_.coarse_volume_mm3) / 3;
    const double x2 = angle(2) * angle(2);
    double bound = std::abs(v) * (x2 * x2 / 480 + 1e-12); // 1e-12: rounding of the sums
    for (const auto& arc : arcs_) {
      const double d2 = arc.chord * arc.chord, area = 2 * pi * (arc.centre_r + arc.radius) * arc.radius * arc.turned;
      bound += area * arc.radius * (d2 * d2 / 576 + d2 * x2 / 288);
    }
    mesh_.extrapolated_mm3 = v;
    mesh_.extrapolated_bound_mm3 = bound;
  }

  struct Arc {
    double radius, centre_r, turned, chord; ///< chord: angle of the coarse mesh
  };

  const Part& part_;
  const Revolved& revolved_;
  double deflection_;
  std::uint32_t columns_ = 0;
  TopTools_IndexedMapOfShape edges_;
  std::vector<Ring> rings_;
  std::vector<Grid> grids_;
  std::vector<Arc> arcs_;
  Mesh mesh_;
};

} // namespace

Result<Mesh> tessellate(const Part& part, const Revolved& revolved, double deflection_mm) {
  return Builder(part, revolved, deflection_mm).run();
}

} // namespace chamber::solid
