#pragma once
// An outline turned into a kernel solid whose soundness has been checked.
#include "chamber/solid/solid.hpp"
#include <TopoDS_Face.hxx>
#include <TopoDS_Solid.hxx>

namespace chamber::solid {

struct NamedFace {
  TopoDS_Face face;
  std::string name;
  std::size_t segment; ///< of the outline
};

struct Revolved {
  TopoDS_Solid solid;
  std::vector<NamedFace> faces; ///< in the outline's order
};

/// The outline as a chain fit to be revolved: radii within tolerance::point_mm of the axis put on it. Fails when it is
/// empty, not finite, open, clockwise, crosses itself or the axis, or holds an arc whose circle reaches over the axis
/// off its centre.
Result<profile::Chain> checked_outline(const Part& part);

/// Revolves a checked outline about z.
Result<Revolved> revolve(const Part& part, const profile::Chain& outline);

/// One closed valid solid, and for each segment that sweeps a face the surface that belongs to it: plane, cylinder,
/// cone, sphere or torus. The kernel (7.6.3) takes a line that strays less than some hundredths of a degree, or a few
/// 1e-5 mm, from the axis for a cylinder, or sweeps no cone of it: such a line is refused.
Result<void> check(const Part& part, const Revolved& revolved);

/// "insert: bowl, arc (23.000, 2.000) to (9.000, 10.500) about (0.000, -4.000), radius 24.000": for messages.
std::string describe(const Part& part, std::size_t segment);
/// "r 0.000 to 33.000, z 0.000 to 12.000, 14 segments".
std::string describe(const profile::Chain& outline);

} // namespace chamber::solid
