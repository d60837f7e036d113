#pragma once
// Random feasible chambers of every family, and the plain ones that hand calculations start from.
#include "chamber/profile/integrals.hpp"
#include "chamber/shapes/chamber.hpp"
#include <rapidcheck.h>
#include <sstream>

namespace chamber::shapes::testing {

inline constexpr double pi = 3.14159265358979323846;
inline constexpr Family families[] = {Family::spherical, Family::flat_roof, Family::toroidal, Family::two_radius};

struct Sample {
  Frame frame;
  Dimensions<double> dimensions;
};

/// Put into the log of a failing property: the drawn integers say little.
inline std::string to_text(const Sample& s) {
  const auto& f = s.frame;
  std::ostringstream out;
  out << name(f.family) << " bore " << f.bore_radius << " rim " << f.rim_radius << " edge " << f.edge_height
      << " follow " << f.follow_crown << " crown " << f.crown_radius << " rounds: rim " << f.rim_round << " mouth "
      << f.mouth_round << " pocket " << f.pocket_edge << " corner " << f.pocket_corner << " boss " << f.boss_round
      << " pocket " << f.pocket_radius << " draft " << f.draft_deg << " wall " << f.wall_radius << " drop "
      << f.boss_drop;
  for (std::size_t i = 0; i < dimension_count; ++i) out << ' ' << dimension_names[i] << ' ' << at(s.dimensions, i);
  out << '\n';
  const auto c = build(f, s.dimensions);
  for (const auto& seg : c.chain)
    out << (seg.is_arc() ? "  arc " : "  line ") << seg.start.r << ',' << seg.start.z << " -> " << seg.end.r << ','
        << seg.end.z << " R " << seg.radius << '\n';
  return out.str();
}

inline double volume(const Sample& s) {
  return profile::swept_volume(build(s.frame, s.dimensions).chain);
}
inline double room(const Sample& s) {
  return tightest(build(s.frame, s.dimensions)).room;
}

/// Bore radius 33, flat band in the sealing plane, pocket radius 7.5, every corner sharp.
inline Frame plain_frame(Family family) {
  Frame f;
  f.family = family;
  f.bore_radius = f.rim_radius = 33;
  f.pocket_radius = 7.5;
  return f;
}

/// A multiple of 1/100 in [low, high], uniform whatever rapidcheck's size.
inline double uniform(double low, double high) {
  const int steps = static_cast<int>((high - low) * 100 + 0.5);
  return low + *rc::gen::resize(rc::kNominalSize, rc::gen::inRange(0, steps + 1)) / 100.0;
}
inline bool coin() {
  return *rc::gen::inRange(0, 2) == 1;
}

/// Any chamber of the family, feasible or not.
inline Sample any(Family family) {
  Sample s;
  auto& f = s.frame;
  f.family = family;
  f.bore_radius = uniform(24, 45);
  f.rim_radius = f.bore_radius + (coin() ? uniform(0, 1) : 0);
  f.edge_height = coin() ? uniform(0.3, 3) : 0;
  f.follow_crown = coin();
  f.crown_radius = coin() ? uniform(70, 250) : 0;
  f.rim_round = f.edge_height > 0 && coin() ? uniform(0.1, f.edge_height) : 0;
  f.mouth_round = coin() ? uniform(0.2, 2) : 0;
  f.pocket_radius = uniform(6, 9);
  f.pocket_edge = coin() ? uniform(0.2, 1) : 0;
  f.pocket_corner = coin() ? uniform(0.2, 1) : 0;
  f.draft_deg = uniform(0, 15);
  f.wall_radius = uniform(2, 9);
  f.boss_drop = uniform(0.5, 4);
  f.boss_round = coin() ? uniform(0.2, 2) : 0;
  auto& d = s.dimensions;
  d.bowl_radius = family == Family::flat_roof  ? uniform(1, 6)
                  : family == Family::toroidal ? uniform(2, 7)
                                               : uniform(15, 60);
  d.bowl_depth = uniform(3, 15);
  d.squish_width = uniform(3, 15);
  d.squish_angle_deg = f.follow_crown && f.crown_radius > 0 ? uniform(0, 3) : uniform(0, 15);
  d.pocket_depth = uniform(0.5, 6);
  return s;
}

/// Draws until the construction holds; a family that hardly ever does is a failure of its own.
inline Sample feasible(Family family) {
  for (int i = 0; i < 300; ++i)
    if (const auto s = any(family); room(s) >= 0) {
      RC_LOG() << to_text(s);
      return s;
    }
  throw std::logic_error("no feasible sample among 300");
}

} // namespace chamber::shapes::testing
