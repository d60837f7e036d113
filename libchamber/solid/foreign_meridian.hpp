#pragma once
// The exact meridian of a turned chamber, read off its faces.
#include "chamber/solid/foreign_chamber.hpp"

namespace chamber::solid::foreign {

struct Meridian {
  std::string not_turned;    ///< why the chamber is no body of revolution; empty if it is
  profile::Chain chain;      ///< rim -> axis, z = 0 the sealing face; empty without one
  profile::Chain turned_rim; ///< as in Measured
  std::string no_chain;      ///< why it is empty
};
Meridian meridian(const Skin& skin, const Chamber& chamber);

} // namespace chamber::solid::foreign
