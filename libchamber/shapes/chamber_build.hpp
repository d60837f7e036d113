#pragma once
// The construction behind shapes::build. Every family lists its sharp-cornered segments; one pass then rounds them.
#include "chamber/profile/fillet.hpp"
#include "chamber/shapes/chamber.hpp"
#include "chamber/units/tolerance.hpp"

namespace chamber::shapes {
namespace detail {

using profile::Kind;
using profile::Point;
using profile::Segment;

/// A margin kept where a construction would degenerate (mm): the grid of the drawing.
inline constexpr double keep_mm = 0.05;

template <class T>
struct Corner {
  double radius = 0; ///< round at the end of the segment, 0 = sharp or tangent
  Role role{};
  std::string_view before, after; ///< room names
};

template <class T>
struct Sharp {
  profile::FixedChain<T, 10> chain;
  std::array<Role, 10> roles{};
  std::array<Corner<T>, 10> corners{};
  void push(const Segment<T>& s, Role role, const Corner<T>& corner = {}) {
    roles[chain.size()] = role;
    corners[chain.size()] = corner;
    chain.push(s);
  }
};

template <class T>
void need(Chamber<T>& c, std::string_view what, const T& room) {
  if (c.room_count == c.rooms.size()) throw std::logic_error("shapes::build: too many rooms");
  c.rooms[c.room_count++] = {what, room};
}

template <class T>
T safe_root(const T& x) {
  bool met = true;
  return profile::detail::safe_sqrt(x, met);
}

/// The band before rounding, from the rim to the mouth.
template <class T>
Segment<T> band_of(const Frame& f, const Dimensions<T>& d, Chamber<T>& c) {
  using std::asin;
  using std::sin;
  using std::tan;
  constexpr double rad = 3.14159265358979323846 / 180.0;
  const double b = f.bore_radius, h = f.edge_height;
  const T mouth = T(b) - d.squish_width;
  need<T>(c, "width of the squish band", T(d.squish_width - keep_mm));
  const T angle = d.squish_angle_deg * rad;
  if (!f.follow_crown || f.crown_radius <= 0) {
    const T slope = tan(angle);
    return profile::line<T>({T(f.rim_radius), T(h) - slope * (f.rim_radius - b)},
                            {mouth, T(h) + d.squish_width * slope});
  }
  // An arc centred on the axis whose tangent at mid-band opens by `angle` beyond the crown's.
  const T mid = (mouth + b) * 0.5;
  const T sine = sin(T(asin(T(mid * (1.0 / f.crown_radius))) + angle));
  const T radius = mid / sine;
  need<T>(c, "room for a band that follows the crown", T(radius - (f.rim_radius + keep_mm)));
  const T centre_z = T(h) - safe_root(T(radius * radius - b * b));
  const Point<T> start{T(f.rim_radius), centre_z + safe_root(T(radius * radius - f.rim_radius * f.rim_radius))};
  const Point<T> end{mouth, centre_z + safe_root(T(radius * radius - mouth * mouth))};
  return profile::arc<T>(Kind::ccw, start, end, {T(0), centre_z}, radius);
}

/// The bowl from the mouth to the pocket wall; returns the point on the pocket wall where the bowl ends.
template <class T>
Point<T> add_bowl(const Frame& f, const Dimensions<T>& d, Chamber<T>& c, Sharp<T>& out) {
  using std::cos;
  using std::sin;
  using std::tan;
  constexpr double rad = 3.14159265358979323846 / 180.0;
  const auto m = c.mouth;
  const double rp = f.pocket_radius;
  const T& R = d.bowl_radius;
  const Corner<T> edge{f.pocket_edge, Role::pocket_edge, "room for the pocket edge round on the bowl",
                       "room for the pocket edge round on the pocket wall"};
  const double draft = f.draft_deg * rad;
  const double cd = std::cos(draft), sd = std::sin(draft), td = std::tan(draft);

  switch (f.family) {
  case Family::spherical: {
    need<T>(c, "bowl radius over mouth radius", T(R - m.r - keep_mm));
    need<T>(c, "width of the bowl outside the pocket", T(m.r - (rp + keep_mm)));
    const T zc = m.z - safe_root(T(R * R - m.r * m.r));
    const Point<T> end{T(rp), zc + safe_root(T(R * R - rp * rp))};
    c.bowl_top_z = end.z;
    out.push(profile::arc<T>(Kind::ccw, m, end, {T(0), zc}, R), Role::bowl, edge);
    return end;
  }
  case Family::two_radius: {
    const double w = f.wall_radius;
    const Point<T> c2{m.r - w * cd, m.z - w * sd};
    need<T>(c, "wall radius under half the mouth radius, so that its ring does not close on the axis",
            T(c2.r - (w + keep_mm)));
    const T k = R - w;
    need<T>(c, "bowl radius over what the wall radius leaves", T(k - c2.r - keep_mm));
    const T z1 = c2.z - safe_root(T(k * k - c2.r * c2.r));
    const T grow = R / k;
    const Point<T> joint{c2.r * grow, z1 + (c2.z - z1) * grow};
    const Point<T> end{T(rp), z1 + safe_root(T(R * R - rp * rp))};
    need<T>(c, "length of the roof arc outside the pocket", T(joint.r - (rp + keep_mm)));
    need<T>(c, "length of the wall arc", T(joint.z - m.z - keep_mm));
    c.bowl_top_z = end.z;
    out.push(profile::arc<T>(Kind::ccw, m, joint, c2, T(w)), Role::bowl_wall);
    out.push(profile::arc<T>(Kind::ccw, joint, end, {T(0), z1}, R), Role::bowl_roof, edge);
    return end;
  }
  case Family::flat_roof: {
    const T roof = m.z + d.bowl_depth;
    // Corner arc tangent to the drafted wall and to the roof.
    const T wall_height = d.bowl_depth - R * (1.0 - sd);
    const Point<T> wall_end{m.r - wall_height * td, m.z + wall_height};
    const Point<T> centre{wall_end.r - R * cd, wall_end.z - R * sd};
    const Point<T> roof_start{centre.r, roof};
    need<T>(c, "bowl radius over nothing", T(R - keep_mm));
    need<T>(c, "height of the wall under the bowl radius", T(wall_height - keep_mm));
    need<T>(c, "bowl radius small enough that its ring does not close on the axis", T(centre.r - (R + keep_mm)));
    need<T>(c, "width of the flat roof outside the pocket", T(centre.r - (rp + keep_mm)));
    c.bowl_top_z = roof;
    out.push(profile::line<T>(m, wall_end), Role::bowl_wall);
    out.push(profile::arc<T>(Kind::ccw, wall_end, roof_start, centre, R), Role::bowl_corner);
    out.push(profile::line<T>(roof_start, {T(rp), roof}), Role::bowl_roof, edge);
    return {T(rp), roof};
  }
  case Family::toroidal: {
    const T top = m.z + d.bowl_depth;
    const T wall_height = d.bowl_depth - R * (1.0 - sd);
    const Point<T> wall_end{m.r - wall_height * td, m.z + wall_height};
    const Point<T> centre{wall_end.r - R * cd, top - R};
    const T boss_z = top - f.boss_drop;
    const T rise = boss_z - centre.z;
    need<T>(c, "height of the wall under the trough", T(wall_height - keep_mm));
    need<T>(c, "trough radius small enough that its ring does not close on the axis", T(centre.r - (R + keep_mm)));
    need<T>(c, "trough radius over the boss drop, so that the boss is not undercut", T(rise - keep_mm));
    need<T>(c, "boss face above the mouth", T(boss_z - m.z - keep_mm));
    const Point<T> foot{centre.r - safe_root(T(R * R - rise * rise)), boss_z};
    c.bowl_top_z = top;
    out.push(profile::line<T>(m, wall_end), Role::bowl_wall);
    out.push(profile::arc<T>(Kind::ccw, wall_end, foot, centre, R), Role::trough,
             {f.boss_round, Role::boss_round, "room for the boss round on the trough",
              "room for the boss round on the boss face"});
    need<T>(c, "width of the boss face outside the pocket", T(foot.r - (rp + keep_mm)));
    out.push(profile::line<T>(foot, {T(rp), boss_z}), Role::boss_face, edge);
    return {T(rp), boss_z};
  }
  }
  throw std::logic_error("shapes::build: unknown family");
}

/// Rounds the corners of the sharp outline into the chamber's chain.
template <class T>
void round_corners(Sharp<T>& sharp, Chamber<T>& c, bool rooms) {
  auto push = [&](const Segment<T>& s, Role role) {
    c.roles[c.chain.size()] = role;
    c.chain.push(s);
  };
  const std::size_t n = sharp.chain.size();
  for (std::size_t i = 0; i < n; ++i) {
    auto& corner = sharp.corners[i];
    if (i + 1 == n || corner.radius <= 0) {
      push(sharp.chain[i], sharp.roles[i]);
      continue;
    }
    auto f = profile::fillet(sharp.chain[i], sharp.chain[i + 1], T(corner.radius), rooms);
    if (rooms) {
      // What a round leaves of its neighbours must be long enough to be written as a move of its own.
      need<T>(c, corner.before, T(f.before_left - tolerance::coordinate_mm));
      need<T>(c, corner.after, T(f.after_left - tolerance::coordinate_mm));
    }
    push(f.before, sharp.roles[i]);
    push(f.round, corner.role);
    sharp.chain[i + 1] = f.after;
  }
}

} // namespace detail

template <class T>
Chamber<T> build(const Frame& f, const Dimensions<T>& d, bool rooms) {
  using namespace detail;
  Chamber<T> c;
  Sharp<T> sharp;
  c.band = band_of(f, d, c);
  c.mouth = c.band.end;
  // A recess wider than the bore carries a rising band on outwards and down: not below the sealing face.
  if (f.rim_radius > f.bore_radius) need<T>(c, "height of the band at the rim over the sealing face", c.band.start.z);
  if (profile::plain(c.band.start.z) > 1e-9 || f.rim_round > 0)
    sharp.push(profile::line<T>({T(f.rim_radius), T(0)}, c.band.start), Role::rim_wall,
               {f.rim_round, Role::rim_round, "room for the rim round on the recess wall",
                "room for the rim round on the band"});
  sharp.push(c.band, Role::band,
             {f.mouth_round, Role::mouth_round, "room for the mouth round on the band",
              "room for the mouth round on the bowl"});
  const std::size_t bowl = sharp.chain.size();
  const auto on_wall = add_bowl(f, d, c, sharp);
  // The bowl must turn away from the band (a convex corner of the metal).
  if (rooms)
    need<T>(c, "bowl steeper than the band at the mouth",
            T(-cross(profile::detail::tangent(c.band, c.mouth), profile::detail::tangent(sharp.chain[bowl], c.mouth)) -
              0.02));
  need<T>(c, "depth of the pocket", T(d.pocket_depth - keep_mm));
  c.roof_z = on_wall.z + d.pocket_depth;
  const Point<T> corner{T(f.pocket_radius), c.roof_z};
  sharp.push(profile::line<T>(on_wall, corner), Role::pocket_wall,
             {f.pocket_corner, Role::pocket_corner, "room for the pocket corner round on the pocket wall",
              "room for the pocket corner round on the pocket roof"});
  sharp.push(profile::line<T>(corner, {T(0), c.roof_z}), Role::pocket_roof);
  round_corners(sharp, c, rooms);
  return c;
}

} // namespace chamber::shapes
