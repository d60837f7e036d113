#pragma once
// The solid's faces as a watertight mesh, and the volume two nested meshes tell.
#include "chamber/solid/revolve.hpp"
#include <array>
#include <cstdint>
#include <cstdio>

namespace chamber::solid {

using Point3 = std::array<double, 3>;
using Triangle = std::array<std::uint32_t, 3>; ///< outward by the right-hand rule

/// One ring of points of a face, and the face's own outward normal along it, as seen at angle 0.
struct FaceRow {
  std::uint32_t first = 0; ///< index of its first point; the others follow
  bool pole = false;       ///< on the axis: one point only
  double normal_r = 0, normal_z = 0;
};

/// A face as rings of points from one boundary to the other; neighbours share the points of their common ring.
struct FaceRows {
  std::string name;
  bool outward = true; ///< (row j at k, row j at k + 1, row j + 1 at k + 1) turns outward
  std::vector<FaceRow> rows;
};

/// Faces of a body of revolution sampled on one grid: rings of `columns` points at equal angles, shared between
/// neighbouring faces through the solid's own edges. Every second column and every second row of a curved meridian
/// make the coarse mesh, so that the two meshes are nested.
struct Mesh {
  std::vector<Point3> points;
  std::vector<Triangle> fine;
  std::uint32_t columns = 0; ///< points of a ring that is no pole
  std::vector<FaceRows> faces;
  double fine_volume_mm3 = 0, coarse_volume_mm3 = 0;
  double fine_deflection_mm = 0, coarse_deflection_mm = 0;
  double fine_bound_mm3 = 0; ///< of fine_volume_mm3

  /// Both volumes extrapolated to deflection 0, and its bound.
  ///
  /// Why it is that good. Rings share their angles, so a cell between two rings is a plane trapezium, and a mesh of
  /// angular step x and chord angle d encloses exactly s(x) (V - sum D(d)): s(x) = sin x / x for the regular polygon
  /// that stands for each circle, and for each arc of radius R about (r_c, z_c), turned from phi_0 to phi_1 = phi_0 +
  /// Phi, by Pappus' theorem on the circular segments its chords cut off,
  ///   D(d) = 2 pi [ r_c R^2 Phi (d - sin d)/(2 d) + (R^3/3) sin^2(d/2) (sin phi_1 - sin phi_0) ].
  /// Both are alternating series in x^2 and d^2. (4 fine - coarse)/3 removes the second-order terms whatever their
  /// size; of the fourth-order ones a quarter is left, and an alternating series is in error by no more than its first
  /// missing term:
  ///   bound = V x^4/480 + sum A R (d^4/576 + d^2 x^2/288),   A = 2 pi (r_c + R) R Phi,
  /// x and d those of the coarse mesh, R, r_c, Phi read off the solid's faces. It falls with the square of the
  /// deflection.
  double extrapolated_mm3 = 0, extrapolated_bound_mm3 = 0;
};

/// Meshes to the given deflection (mm, > 0), or to a thousandth of the largest radius if that is finer. Fails where a
/// face is not bounded by circles about the axis, or where edges are not shared by two faces of agreeing orientation.
Result<Mesh> tessellate(const Part& part, const Revolved& revolved, double deflection_mm);

/// Binary STL, millimetres, coordinates rounded to single precision. The same mesh gives the same bytes. False when the
/// file does not take them.
bool write_stl(std::FILE* file, const Mesh& mesh, const std::string& name);

/// Binary glTF 2.0: metres, Y along the turning axis away from the piston, the faces' own normals, so that it is shaded
/// round. Two materials: "chamber" on the faces named, "body" on the others. The same mesh gives the same bytes. False
/// when the file does not take them.
/// `coarse`: every second column, and every second row where a face has more than two.
bool write_glb(std::FILE* file, const Mesh& mesh, const std::string& name, const std::vector<std::string>& chamber,
               bool coarse = false);

/// What rounding to single precision can do to the enclosed volume, mm3: area x half a unit in the last place.
double stl_rounding_mm3(const Mesh& mesh, double area_mm2);

} // namespace chamber::solid
