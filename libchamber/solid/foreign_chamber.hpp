#pragma once
// Where the chamber is, what bounds it, and what it holds.
#include "chamber/solid/foreign_skin.hpp"

namespace chamber::solid::foreign {

/// The disc that closes a plug hole. `up` points out of the chamber.
struct Cap {
  gp_Pnt centre;
  gp_Dir up;
  double radius = 0;
  double top_z = 0; ///< farthest end of the hole's wall, as a height in the direction into the insert
  bool at_roof = false;
};

struct Chamber {
  Body body = Body::insert;
  Level level;            ///< the sealing face
  Loop mouth;             ///< in it
  std::vector<int> faces; ///< the chamber's own
  std::vector<Cap> caps;
  double mouth_area = 0, volume = 0, doubt = 0;

  int into() const { return -level.out; } ///< sense of z that leads into the insert
  double height(const gp_Pnt& p) const { return (p.Z() - level.z) * into(); }
};

/// What the search may take.
struct Wanted {
  std::optional<Body> body;
  std::optional<double> sealing; ///< place along the axis, counted in the sense that leads into the insert
  std::optional<double> plug_end;
};

/// The chamber with the largest mouth. An insert's mouth is an inner border of a level behind which the solid is
/// hollow; a cavity's is the largest level at one of its ends. Fails, saying what stood in the way of the likeliest.
Result<Chamber> find_chamber(const TopoDS_Solid& solid, const Skin& skin, const Wanted& wanted);

} // namespace chamber::solid::foreign
