#pragma once
// What an arbitrary chamber shows, whoever drew it: band, mouth, depth, roof, read off its meridian alone.
#include "chamber/profile/segment.hpp"
#include <optional>
#include <string>

namespace chamber::shapes {

/// The squish band of a profile: what lies between its rim and the first edge of the metal that parts it from the bowl.
struct Band {
  profile::Chain sharp;    ///< without rounds, from the bore (or the rim) to the mouth
  profile::P mouth;        ///< sharp corner of band and bowl, mm
  double width_mm = 0;     ///< bore (or rim) to mouth, square to the axis
  double angle_deg = 0;    ///< at mid-band to the sealing face, positive where it opens towards the bowl
  double edge_height = 0;  ///< of the band at the bore (or rim) above the sealing face, mm
  std::size_t bowl_at = 0; ///< index of the first segment beyond the mouth's round
  bool straight = false;
};

/// Lengths mm.
struct Features {
  double rim_radius_mm = 0;
  double depth_mm = 0;         ///< sealing face to the highest point
  double roof_z_mm = 0;        ///< height on the axis: where a flush plug ends
  double roof_radius_mm = 0;   ///< of the level roof round the axis; 0 = none
  double pocket_radius_mm = 0; ///< of the upright wall that leads to the roof; 0 = none
  std::optional<Band> band;
  std::string no_band; ///< why there is none, in a sentence
};

/// Reads a chain from rim to axis. `bore_radius_mm` 0: the rim stands for the bore; a bore wider than the rim has the
/// sealing face over it as its band. Takes rounds away exactly where
/// they are arcs between lines and arcs, and nearly so where the profile is made of many short lines.
Features features(profile::ChainView chain, double bore_radius_mm = 0);

} // namespace chamber::shapes
