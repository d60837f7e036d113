#pragma once
// Random lines, arcs and chains for the property tests: coordinates on a grid, so that shrinking leads to plain
// numbers.
#include "chamber/profile/segment.hpp"
#include <rapidcheck.h>

namespace chamber::profile::testing {

/// A multiple of 1/100 in [low, high].
inline double real(double low, double high) {
  return low + *rc::gen::inRange(0, static_cast<int>((high - low) * 100) + 1) / 100.0;
}

inline S random_line(double r_low = 0, double r_high = 40) {
  const P a{real(r_low, r_high), real(-20, 20)};
  P b{real(r_low, r_high), real(-20, 20)};
  if (length(b - a) < 0.5) b.z = a.z + 3;
  return line(a, b);
}

/// An arc that turns between `least` and `most` radians, wholly at r >= 0 when centred at r >= radius.
inline S random_arc(double least = 0.05, double most = 6.2) {
  const double radius = real(0.5, 15);
  const P centre{radius + real(0, 25), real(-20, 20)};
  const double from = real(-3.1, 3.1), turned = real(least, most);
  const bool ccw = *rc::gen::arbitrary<bool>();
  const double to = from + (ccw ? turned : -turned);
  const auto at = [&](double phi) { return P{centre.r + radius * std::cos(phi), centre.z + radius * std::sin(phi)}; };
  return arc(ccw ? Kind::ccw : Kind::cw, at(from), at(to), centre, radius);
}

inline S random_segment() {
  return *rc::gen::arbitrary<bool>() ? random_line() : random_arc();
}

/// Segments that need not touch: the integrals and distances do not ask for it.
inline Chain random_segments() {
  Chain out;
  const int n = *rc::gen::inRange(1, 7);
  for (int i = 0; i < n; ++i) out.push_back(random_segment());
  return out;
}

/// A staircase from a rim at z = 0 towards the axis, always inwards and upwards or downwards, each step a line or an
/// arc of at most a third of a turn: the height is a function of the radius, so it can't cross itself.
inline Chain random_chain() {
  Chain out;
  P at{real(20, 40), 0};
  const int n = *rc::gen::inRange(1, 6);
  const double step = at.r / n;
  for (int i = 0; i < n; ++i) {
    const P to{i + 1 == n ? 0.0 : at.r - step, at.z + real(-4, 6)};
    const P chord = to - at;
    const double bulge = real(0, 0.5); // half the angle an arc turns
    const int kind = *rc::gen::inRange(0, 3);
    if (kind == 0 || bulge < 0.05) {
      out.push_back(line(at, to));
    } else {
      const double radius = length(chord) / 2 / std::sin(bulge);
      const P mid = (at + to) * 0.5, normal = left_of(unit(chord));
      const P centre = mid + normal * (kind == 1 ? radius * std::cos(bulge) : -radius * std::cos(bulge));
      out.push_back(arc(kind == 1 ? Kind::ccw : Kind::cw, at, to, centre, radius));
    }
    at = to;
  }
  return out;
}

/// The closed outline of the region between a chain and z = floor, counter-clockwise when the chain lies above.
inline Chain closed_below(Chain chain, double floor) {
  const P rim = chain.front().start, top = chain.back().end;
  chain.push_back(line(top, P{top.r, floor}));
  chain.push_back(line(P{top.r, floor}, P{rim.r, floor}));
  chain.push_back(line(P{rim.r, floor}, rim));
  return chain;
}

} // namespace chamber::profile::testing
