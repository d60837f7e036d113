#include "chamber/shapes/chamber.hpp"
#include <limits>

namespace chamber::shapes {

std::string_view name(Role role) {
  switch (role) {
  case Role::rim_wall:
    return "recess wall";
  case Role::rim_round:
    return "rim round";
  case Role::band:
    return "squish band";
  case Role::mouth_round:
    return "mouth round";
  case Role::bowl_wall:
    return "bowl wall";
  case Role::bowl_corner:
    return "bowl corner";
  case Role::bowl_roof:
    return "bowl roof";
  case Role::bowl:
    return "bowl";
  case Role::trough:
    return "trough";
  case Role::boss_round:
    return "boss round";
  case Role::boss_face:
    return "boss face";
  case Role::pocket_edge:
    return "pocket edge round";
  case Role::pocket_wall:
    return "pocket wall";
  case Role::pocket_corner:
    return "pocket corner round";
  case Role::pocket_roof:
    return "pocket roof";
  }
  return "chamber";
}

profile::Chain chain_of(const Chamber<double>& chamber) {
  return {chamber.chain.begin(), chamber.chain.end()};
}

Room<double> tightest(const Chamber<double>& chamber) {
  Room<double> worst = chamber.rooms[0];
  for (std::size_t i = 0; i < chamber.room_count; ++i) {
    const auto& r = chamber.rooms[i];
    // A dimension of exactly 0 leaves a segment without direction: no number is no room.
    if (!std::isfinite(r.room)) return {r.what, -std::numeric_limits<double>::infinity()};
    if (r.room < worst.room) worst = r;
  }
  return worst;
}

} // namespace chamber::shapes
