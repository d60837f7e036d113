#pragma once
// An insert whose every volume can be worked out by hand: flat-roof chamber, one or more outside steps, M14 plug.
#include "chamber/shapes/body.hpp"
#include "samples.hpp"

namespace chamber::shapes::testing {

/// Flat roof at z = 11, pocket roof at z = 14, every corner sharp: mouth radius 24, pocket radius 7.5.
inline Chamber<double> plain_chamber() {
  return build(plain_frame(Family::flat_roof), Dimensions<double>{5, 11, 9, 0, 3});
}

/// 19 mm reach, 1.5 mm washer: the seat lies 17.5 over the roof, at z = 31.5.
inline Plug plain_plug() {
  return {"M14x1.25", 14, 1.25, 19, 1.5, 24};
}

/// One step, 90 mm across and 40 mm high, sharp edges, no grooves.
inline BodySpec plain_body() {
  return {{{90, 40}}, {}, {}, 0};
}

inline double metal_mm3(const Insert& insert) {
  return profile::swept_volume(profile::ChainView(chain_of(insert.outline)));
}
inline double cavity_mm3(const Chamber<double>& c) {
  return profile::swept_volume(profile::ChainView(chain_of(cavity_outline(c))));
}

} // namespace chamber::shapes::testing
