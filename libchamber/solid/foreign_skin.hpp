#pragma once
// A solid's faces, how they hang together, and the two patterns a chamber is found by: planes square to the axis and
// round tunnels. The turning axis is z.
#include "chamber/solid/foreign_parts.hpp"
#include <TopoDS_Edge.hxx>
#include <TopoDS_Face.hxx>
#include <TopoDS_Vertex.hxx>
#include <functional>
#include <gp_Pnt.hxx>
#include <gp_Vec.hxx>

namespace chamber::solid::foreign {

/// A point inside a face and the direction out of the material there.
struct Sample {
  gp_Pnt point;
  gp_Dir out;
  double u = 0, v = 0; ///< the surface's parameters
};
/// Some dozens of them.
std::vector<Sample> samples(const TopoDS_Face& face);

/// Calls f(point, step) so that the sums over `step` are line integrals along the edge, exact to rounding for lines and
/// circles.
void along(const TopoDS_Edge& edge, const std::function<void(const gp_Pnt&, const gp_Vec&)>& f);

/// Largest value of f on the edge, to about 1e-9 of its variation.
double largest(const TopoDS_Edge& edge, const std::function<double(const gp_Pnt&)>& f);

/// An edge and the faces at it; a seam has one face twice. `edge` is oriented as in face a, material on its left as
/// seen from outside.
struct Joint {
  TopoDS_Edge edge;
  int a = -1, b = -1;
  int other(int face) const { return face == a ? b : a; }
};

/// Largest value of f on the face, its edges included.
double largest(const TopoDS_Face& face, const std::vector<Sample>& samples,
               const std::function<double(const gp_Pnt&)>& f);

struct Skin {
  std::vector<TopoDS_Face> faces;
  std::vector<std::vector<Sample>> samples; ///< of each face
  std::vector<Joint> joints;
  std::vector<std::vector<int>> joints_of; ///< of each face
};
/// Fails where an edge has not two faces.
Result<Skin> skin_of(const TopoDS_Solid& solid);

/// "cylinder of radius 6.400 mm": for messages.
std::string describe(const TopoDS_Face& face);

/// All faces in one plane square to the axis, material on one side.
struct Level {
  double z = 0;
  int out = 1; ///< +1: the material lies below
  std::vector<int> faces;
  double area = 0;
};
std::vector<Level> levels(const Skin& skin);

/// A closed run of joints between faces that belong to a set and faces that do not.
struct Loop {
  std::vector<int> joints;
  std::vector<TopoDS_Edge> edges; ///< the same, material on the left as seen from outside the set's faces
};
/// `in`: for each face, whether it belongs to the set.
std::vector<Loop> border(const Skin& skin, const std::vector<char>& in);

/// Turns the loop makes about the axis, whole unless it meets it.
double winding(const Loop& loop, const gp_Ax1& axis);

/// A round hole's wall: concave cylinder faces of one axis and radius that close a full turn.
struct Tunnel {
  gp_Ax1 axis;
  double radius = 0;
  std::vector<int> faces;
};
std::vector<Tunnel> tunnels(const Skin& skin);

} // namespace chamber::solid::foreign
