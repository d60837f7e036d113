#include "chamber/solid/foreign_cap.hpp"
#include <algorithm>
#include <cmath>
#include <limits>

namespace chamber::solid::foreign {
namespace {

std::size_t index(int i) {
  return static_cast<std::size_t>(i);
}

/// Extent of a loop along an axis.
struct Range {
  double low = std::numeric_limits<double>::infinity(), high = -low;
  double middle() const { return (low + high) / 2; }
};

Range range(const Loop& loop, const gp_Ax1& axis) {
  Range out;
  const auto t = [&](const gp_Pnt& p) { return gp_Vec(axis.Location(), p).Dot(axis.Direction()); };
  for (const auto& edge : loop.edges) {
    out.low = std::min(out.low, -largest(edge, [&](const gp_Pnt& p) { return -t(p); }));
    out.high = std::max(out.high, largest(edge, t));
  }
  return out;
}

std::vector<char> mask(const Skin& skin, const Tunnel& tunnel) {
  std::vector<char> in(skin.faces.size(), 0);
  for (const int face : tunnel.faces) in[index(face)] = 1;
  return in;
}

/// Parameter along the tunnel's axis of a height above the sealing face.
double parameter(const Chamber& chamber, const gp_Ax1& axis, double height) {
  return (chamber.level.z + height * chamber.into() - axis.Location().Z()) / axis.Direction().Z();
}

} // namespace

bool reaches(const Skin& skin, const Tunnel& tunnel, const Chamber& chamber, double plug_end) {
  const double t = parameter(chamber, tunnel.axis, plug_end);
  Range all;
  for (const auto& loop : border(skin, mask(skin, tunnel))) {
    const auto r = range(loop, tunnel.axis);
    all.low = std::min(all.low, r.low);
    all.high = std::max(all.high, r.high);
  }
  return t > all.low - same_place && t < all.high + same_place;
}

std::optional<Closed> close(const Skin& skin, const Tunnel& tunnel, const Chamber& chamber,
                            const std::vector<char>& reached, const std::optional<double>& plug_end) {
  const auto in = mask(skin, tunnel);
  std::optional<Loop> near;
  double far = 0, top = 0;
  const auto touches = [&](const Loop& loop) {
    return std::any_of(loop.joints.begin(), loop.joints.end(), [&](int j) {
      const auto& joint = skin.joints[index(j)];
      return reached[index(in[index(joint.a)] ? joint.b : joint.a)];
    });
  };
  bool has_far = false;
  for (const auto& loop : border(skin, in)) {
    if (std::abs(winding(loop, tunnel.axis)) < 0.5) continue;
    if (touches(loop)) {
      near = loop;
      continue;
    }
    has_far = true;
    far = range(loop, tunnel.axis).middle();
    const auto heights = range(loop, gp_Ax1(gp_Pnt(0, 0, chamber.level.z), gp_Dir(0, 0, chamber.into())));
    top = std::max(top, heights.high);
  }
  if (!near || !has_far) return std::nullopt;
  gp_Ax1 axis = tunnel.axis;
  if (range(*near, axis).middle() > far) axis.Reverse();
  const auto edge = range(*near, axis);
  const double end = plug_end ? parameter(chamber, axis, *plug_end) : edge.high;

  const gp_Vec up(axis.Direction());
  const gp_Vec from_origin(gp_Pnt(0, 0, chamber.level.z), axis.Location());
  double wall = 0, turned = 0;
  for (const auto& one : near->edges)
    along(one, [&](const gp_Pnt& p, const gp_Vec& step) {
      const gp_Vec from(axis.Location(), p);
      const double t = from.Dot(up);
      const gp_Vec radial = (from - up * t).Normalized();
      const double angle = up.Crossed(radial).Dot(step) / tunnel.radius;
      wall += tunnel.radius * (tunnel.radius + from_origin.Dot(radial)) * (end - t) / 3 * angle;
      turned += angle;
    });
  Closed out;
  out.cap.centre = axis.Location().Translated(up * end);
  out.cap.up = axis.Direction();
  out.cap.radius = tunnel.radius;
  out.cap.top_z = top;
  const double disc = (from_origin.Dot(up) + end) * M_PI * tunnel.radius * tunnel.radius / 3;
  out.flux = disc + (turned < 0 ? -wall : wall);
  const bool flat = edge.high - edge.low < same_place && std::abs(end - edge.high) < same_place;
  out.cap.at_roof = flat && std::all_of(near->joints.begin(), near->joints.end(), [&](int j) {
                      const auto& joint = skin.joints[index(j)];
                      const auto& points = skin.samples[index(in[index(joint.a)] ? joint.b : joint.a)];
                      return !points.empty() && std::all_of(points.begin(), points.end(), [&](const Sample& s) {
                        return s.out.IsParallel(axis.Direction(), same_angle);
                      });
                    });
  return out;
}

} // namespace chamber::solid::foreign
