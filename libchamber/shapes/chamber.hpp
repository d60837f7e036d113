#pragma once
// The chamber's parametric families as exact meridians: squish band, mouth round, bowl, plug pocket.
// Templated on the number type so that one construction serves both values and gradients.
#include "chamber/profile/segment.hpp"
#include <string_view>

namespace chamber::shapes {

enum class Family {
  spherical,  ///< one arc centred on the axis
  flat_roof,  ///< drafted wall, corner round, flat roof
  toroidal,   ///< ring trough about a lower plug boss
  two_radius, ///< roof radius centred on the axis, tangent to a smaller wall radius at the mouth
};
inline constexpr std::string_view family_names[] = {"spherical", "flat-roof", "toroidal", "two-radius"};
inline std::string_view name(Family f) {
  return family_names[static_cast<std::size_t>(f)];
}

/// What the solver may move. Lengths mm, from the sharp (unrounded) corners.
template <class T>
struct Dimensions {
  T bowl_radius;      ///< spherical, two-radius: the roof arc; flat roof: the corner; toroidal: the trough's section
  T bowl_depth;       ///< flat roof, toroidal: mouth to roof or trough top along the axis; unused by the others
  T squish_width;     ///< bore radius to mouth, measured square to the axis
  T squish_angle_deg; ///< straight band: to the sealing face; band following the crown: opening beyond the crown's
                      ///< tangent
  T pocket_depth;     ///< bowl (at the pocket wall) to pocket roof
};
inline constexpr std::size_t dimension_count = 5;
inline constexpr std::string_view dimension_names[dimension_count] = {"bowl_radius", "bowl_depth", "squish_width",
                                                                      "squish_angle", "pocket_depth"};
template <class T>
T& at(Dimensions<T>& d, std::size_t i) {
  T* const all[] = {&d.bowl_radius, &d.bowl_depth, &d.squish_width, &d.squish_angle_deg, &d.pocket_depth};
  return *all[i];
}
template <class T>
const T& at(const Dimensions<T>& d, std::size_t i) {
  return at(const_cast<Dimensions<T>&>(d), i);
}
/// False where the family has no such dimension (bowl depth of an arc family).
inline bool has_dimension(Family f, std::size_t i) {
  return i != 1 || f == Family::flat_roof || f == Family::toroidal;
}

/// What stays fixed while the solver works. Lengths mm.
struct Frame {
  Family family = Family::spherical;
  double bore_radius = 0;
  double rim_radius = 0;  ///< of the recess at the sealing face, >= bore_radius
  double edge_height = 0; ///< of the band at the bore above the sealing face, >= 0
  bool follow_crown = false;
  double crown_radius = 0; ///< of a domed crown; 0 = flat
  double rim_round = 0;    ///< concave, where the recess wall meets the band
  double mouth_round = 0;  ///< convex, band to bowl
  double pocket_radius = 0;
  double pocket_edge = 0;   ///< convex round, bowl to pocket
  double pocket_corner = 0; ///< concave round, pocket wall to roof
  double draft_deg = 0;     ///< wall to axis, opening towards the piston: flat roof, toroidal, two-radius
  double wall_radius = 0;   ///< two-radius
  double boss_drop = 0;     ///< toroidal: trough top to boss face
  double boss_round = 0;    ///< toroidal: convex, trough to boss face
};

/// What a segment of the chamber is; names it in messages, in the solid and on the drawing.
enum class Role {
  rim_wall,
  rim_round,
  band,
  mouth_round,
  bowl_wall,
  bowl_corner,
  bowl_roof,
  bowl,
  trough,
  boss_round,
  boss_face,
  pocket_edge,
  pocket_wall,
  pocket_corner,
  pocket_roof,
};
std::string_view name(Role role);

/// How far a construction is from failing: `room` (mm) must not be negative.
template <class T>
struct Room {
  std::string_view what; ///< "room for the mouth round on the band"
  T room;
};

template <class T>
struct Chamber {
  profile::FixedChain<T> chain; ///< rim -> axis, cavity on the left
  std::array<Role, 16> roles{};
  std::array<Room<T>, 24> rooms;
  std::size_t room_count = 0;
  profile::Segment<T> band; ///< sharp, from the rim to the mouth, before any rounding
  profile::Point<T> mouth;  ///< sharp corner of band and bowl
  T roof_z{};               ///< pocket roof = plug end
  T bowl_top_z{};           ///< highest point of the bowl itself (pocket left out)
};

/// Builds the family's meridian. Always finite; where a room is negative the meridian must not be used. `rooms` false
/// leaves the rooms of the rounds out: for dimensions already known to be sound.
template <class T>
Chamber<T> build(const Frame& frame, const Dimensions<T>& d, bool rooms = true);

/// Plain-number copy of the meridian.
profile::Chain chain_of(const Chamber<double>& chamber);

/// The smallest room, negative if the construction fails.
Room<double> tightest(const Chamber<double>& chamber);

} // namespace chamber::shapes

#include "chamber/shapes/chamber_build.hpp"
