#pragma once
// One entity of a DXF as its groups, and the piece it draws.
#include "chamber/profile/dxf_drawing.hpp"
#include <algorithm>

namespace chamber::profile::detail {

struct Group {
  int code;
  double value;
  int line;
};

struct Entity {
  std::string type, layer = "0", line_type, name;
  int line = 0;
  bool paper = false;
  std::vector<Group> groups;                ///< numbers a profile needs, in the order they stand
  std::vector<std::vector<Group>> vertices; ///< of a POLYLINE

  double number(int code, double otherwise) const {
    for (const auto& g : groups)
      if (g.code == code) return g.value;
    return otherwise;
  }
};

/// A block placed: p -> turned, scaled, mirrored, moved.
struct Placement {
  P x_axis{1, 0}, y_axis{0, 1}, origin{0, 0};
  P operator()(const P& p) const { return x_axis * p.r + y_axis * p.z + origin; }
  Placement after(const Placement& inner) const; ///< first `inner`, then this
  bool mirrors() const { return cross(x_axis, y_axis) < 0; }
};
S placed(const S& s, const Placement& by);

/// Kinds that draw lines or arcs, those that must be refused with a cure, and the rest, which no profile is made of.
bool draws(std::string_view type);
/// The cure for an entity that draws a curve this reader has no room for; empty for others.
std::string_view cure_for(std::string_view type);

/// The chain an entity draws; empty when it draws nothing. Problems carry the line.
Result<Chain> chain_of(const Entity& e);
/// Where an INSERT puts its block (whose base point is `base`).
Result<Placement> placement_of(const Entity& e, const P& base);

} // namespace chamber::profile::detail
