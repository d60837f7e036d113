#include "chamber/solid/foreign_meridian.hpp"
#include "chamber/profile/integrals.hpp"
#include <BRepAdaptor_Curve.hxx>
#include <BRepAdaptor_Surface.hxx>
#include <BRep_Tool.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Vertex.hxx>
#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace chamber::solid::foreign {
namespace {

using profile::Chain;
using profile::P;
using profile::S;

std::size_t index(int i) {
  return static_cast<std::size_t>(i);
}

P meridian_point(const Chamber& c, const gp_Pnt& p) {
  return {std::hypot(p.X(), p.Y()), c.height(p)};
}

bool near(const P& a, const P& b) {
  return std::abs(a.r - b.r) < same_place && std::abs(a.z - b.z) < same_place;
}

/// Why a face is not turned about the axis; empty if it is: the normals of a turned face meet the axis.
std::string not_turned(const Skin& skin, int face) {
  double miss = 0;
  for (const auto& s : skin.samples[index(face)])
    miss = std::max(miss, std::abs(s.point.X() * s.out.Y() - s.point.Y() * s.out.X()));
  if (miss <= same_place && !skin.samples[index(face)].empty()) return {};
  const auto& shape = skin.faces[index(face)];
  const BRepAdaptor_Surface surface(shape);
  const auto beside = [](const gp_Pnt& p) { return std::hypot(p.X(), p.Y()); };
  if (surface.GetType() == GeomAbs_Sphere)
    return fmt::format("the centre of a {} lies {:.3f} mm beside the turning axis.", describe(shape),
                       beside(surface.Sphere().Location()));
  if (const auto own = axis_of(shape)) {
    const double tilt = std::hypot(own->Direction().X(), own->Direction().Y());
    if (tilt <= same_angle)
      return fmt::format("the axis of a {} lies {:.3f} mm beside the turning axis.", describe(shape),
                         beside(own->Location()));
    return fmt::format("the axis of a {} is tilted by {:.2f} degrees to the turning axis.", describe(shape),
                       std::asin(std::min(tilt, 1.0)) * 180 / M_PI);
  }
  return fmt::format("a {} is not turned about the axis: its normals miss it by up to {:.3f} mm.", describe(shape),
                     miss);
}

/// The circle about the axis that the edge lies on, as a meridian point.
std::optional<P> ring(const Chamber& c, const TopoDS_Edge& edge) {
  P low{INFINITY, INFINITY}, high{-INFINITY, -INFINITY};
  along(edge, [&](const gp_Pnt& p, const gp_Vec&) {
    const auto m = meridian_point(c, p);
    low = {std::min(low.r, m.r), std::min(low.z, m.z)};
    high = {std::max(high.r, m.r), std::max(high.z, m.z)};
  });
  if (!(high.r - low.r < same_place && high.z - low.z < same_place)) return std::nullopt;
  const BRepAdaptor_Curve curve(edge);
  if (curve.GetType() == GeomAbs_Circle) return P{curve.Circle().Radius(), c.height(curve.Circle().Location())};
  return (low + high) * 0.5;
}

bool along_meridian(const TopoDS_Edge& edge) {
  bool same = true;
  gp_XY first(0, 0);
  along(edge, [&](const gp_Pnt& p, const gp_Vec&) {
    const gp_XY at(p.X(), p.Y());
    if (at.Modulus() < same_place) return;
    if (first.Modulus() < same_place) first = at;
    same = same && std::abs(first.Crossed(at)) < same_place * first.Modulus() && first.Dot(at) > 0;
  });
  return same;
}

/// Where a turned face with one ring meets the axis.
std::optional<P> pole(const Skin& skin, const Chamber& c, int face) {
  const auto& shape = skin.faces[index(face)];
  const BRepAdaptor_Surface surface(shape);
  if (surface.GetType() == GeomAbs_Sphere) {
    const double centre = c.height(surface.Sphere().Location()), radius = surface.Sphere().Radius();
    // The pole of the side on which the sample nearest the axis lies.
    const auto& all = skin.samples[index(face)];
    const auto at = std::min_element(all.begin(), all.end(), [&](const Sample& a, const Sample& b) {
      return meridian_point(c, a.point).r < meridian_point(c, b.point).r;
    });
    return P{0, centre + (c.height(at->point) > centre ? radius : -radius)};
  }
  for (TopExp_Explorer e(shape, TopAbs_VERTEX); e.More(); e.Next())
    if (const auto p = meridian_point(c, BRep_Tool::Pnt(TopoDS::Vertex(e.Current()))); p.r < same_place)
      return P{0, p.z};
  const auto& all = skin.samples[index(face)];
  const double z = c.height(all.front().point);
  const bool flat = std::all_of(all.begin(), all.end(),
                                [&](const Sample& s) { return std::abs(c.height(s.point) - z) < same_place; });
  return flat ? std::optional(P{0, z}) : std::nullopt;
}

/// Of the two arcs between the ends that on which the points lie.
S arc_over(const P& a, const P& b, const P& centre, double radius, const std::vector<P>& on) {
  const S ccw = profile::arc(profile::Kind::ccw, a, b, centre, radius);
  const double whole = profile::sweep(ccw);
  int ahead = 0;
  for (const auto& p : on) {
    double angle = profile::angle_between(a - centre, p - centre);
    if (angle < 0) angle += 2 * M_PI;
    ahead += angle < whole ? 1 : -1;
  }
  return ahead > 0 ? ccw : profile::arc(profile::Kind::cw, a, b, centre, radius);
}

/// Line or arc through the ends and all the points, within same_place.
std::optional<S> fitted(const P& a, const P& b, const std::vector<P>& on) {
  const P chord = b - a;
  const double length = profile::length(chord);
  P far = a;
  double most = 0;
  for (const auto& p : on)
    if (const double off = std::abs(profile::cross(chord, p - a)) / length; off > most) most = off, far = p;
  if (most < same_place) return profile::line(a, b);
  // Centre of the circle through three points, relative to a.
  const P q = far - a;
  const double d = 2 * profile::cross(chord, q);
  const double cc = profile::dot(chord, chord), qq = profile::dot(q, q);
  const P centre = a + P{(q.z * cc - chord.z * qq) / d, (chord.r * qq - q.r * cc) / d};
  const double radius = profile::length(a - centre);
  for (const auto& p : on)
    if (std::abs(profile::length(p - centre) - radius) > same_place) return std::nullopt;
  return arc_over(a, b, centre, radius, on);
}

/// The face's meridian between two of its points.
std::optional<S> segment(const Skin& skin, const Chamber& c, int face, const P& a, const P& b) {
  const BRepAdaptor_Surface surface(skin.faces[index(face)]);
  std::vector<P> on;
  for (const auto& s : skin.samples[index(face)]) on.push_back(meridian_point(c, s.point));
  switch (surface.GetType()) {
  case GeomAbs_Plane:
  case GeomAbs_Cylinder:
  case GeomAbs_Cone:
    return profile::line(a, b);
  case GeomAbs_Sphere:
    return arc_over(a, b, {0, c.height(surface.Sphere().Location())}, surface.Sphere().Radius(), on);
  case GeomAbs_Torus:
    return arc_over(a, b, {surface.Torus().MajorRadius(), c.height(surface.Torus().Location())},
                    surface.Torus().MinorRadius(), on);
  default:
    return fitted(a, b, on);
  }
}

/// A face between two rings, or a ring and the axis.
struct Strip {
  int face;
  P ends[2];
};

Result<std::vector<Strip>> strips(const Skin& skin, const Chamber& c) {
  const std::string cure; // these become reasons, not failures of the measuring
  std::vector<Strip> out;
  for (const int face : c.faces) {
    std::vector<P> rings;
    for (const int j : skin.joints_of[index(face)]) {
      const auto& joint = skin.joints[index(j)];
      if (const auto at = ring(c, joint.edge)) {
        if (std::none_of(rings.begin(), rings.end(), [&](const P& p) { return near(p, *at); })) rings.push_back(*at);
      } else if (joint.a != joint.b && !along_meridian(joint.edge))
        return fail(fmt::format("the edge between a {} and a {} is no circle about the axis.",
                                describe(skin.faces[index(joint.a)]), describe(skin.faces[index(joint.b)])),
                    cure);
    }
    if (rings.size() == 1)
      if (const auto p = pole(skin, c, face)) rings.push_back(*p);
    if (rings.size() != 2)
      return fail(fmt::format("a {} is not bounded by two circles about the axis.", describe(skin.faces[index(face)])),
                  cure);
    out.push_back({face, {rings[0], rings[1]}});
  }
  return out;
}

/// The second continues the first on the same line or circle.
bool continues(const S& a, const S& b) {
  if (a.kind != b.kind) return false;
  if (a.is_arc())
    return near(a.centre, b.centre) && std::abs(a.radius - b.radius) < same_place &&
           std::abs(profile::sweep(a) + profile::sweep(b)) < 2 * M_PI;
  const P u = profile::unit(a.end - a.start), v = b.end - a.start;
  return std::abs(profile::cross(u, v)) < 1e-7 && profile::dot(u, v) > profile::length(a.end - a.start);
}

void append(Chain& chain, S s) {
  if (profile::length(s.end - s.start) < same_place / 10) return;
  if (!chain.empty() && continues(chain.back(), s))
    chain.back().end = s.end;
  else
    chain.push_back(s);
}

/// Walks the strips from the mouth to the axis or the plug hole. Empty, with the reason, where they do not follow.
Meridian walk(const Skin& skin, const Chamber& c, std::vector<Strip> left, const P& mouth) {
  Meridian out;
  P at = mouth;
  at.z = 0;
  const auto next = [&] {
    return std::find_if(left.begin(), left.end(),
                        [&](const Strip& s) { return near(s.ends[0], at) || near(s.ends[1], at); });
  };
  for (auto it = next(); it != left.end(); it = next()) {
    const Strip strip = *it;
    const P to = near(strip.ends[0], at) ? strip.ends[1] : strip.ends[0];
    const auto s = segment(skin, c, strip.face, at, to);
    if (!s) {
      out.no_chain =
          fmt::format("a {}'s meridian is neither a line nor an arc.", describe(skin.faces[index(strip.face)]));
      return out;
    }
    append(out.chain, *s);
    // The other halves of a face that its program has cut along the axis.
    std::erase_if(left, [&](const Strip& o) {
      return (near(o.ends[0], at) && near(o.ends[1], to)) || (near(o.ends[1], at) && near(o.ends[0], to));
    });
    at = to;
  }
  if (!left.empty()) out.no_chain = "the chamber's faces do not follow each other in one line.";
  if (at.r > 0 && c.caps.size() == 1) {
    const P end{c.caps[0].radius, c.height(c.caps[0].centre)};
    append(out.chain, profile::line<double>(at, {at.r, end.z}));
    append(out.chain, profile::line<double>({at.r, end.z}, {0, end.z}));
  } else if (at.r > 0)
    out.no_chain = "the chamber's meridian does not reach the axis.";
  if (!out.no_chain.empty()) out.chain.clear();
  return out;
}

/// The one ring that all the mouth's edges lie on.
std::optional<P> mouth_ring(const Chamber& c) {
  std::optional<P> mouth;
  for (const auto& edge : c.mouth.edges) {
    const auto at = ring(c, edge);
    if (!at || (mouth && !near(*mouth, *at))) return std::nullopt;
    mouth = at;
  }
  return mouth;
}

/// The edge's meridian point nearest to another.
P nearest(const Chamber& c, const TopoDS_Edge& edge, const P& to) {
  P best = to;
  double least = INFINITY;
  largest(edge, [&](const gp_Pnt& p) {
    const P m = meridian_point(c, p);
    if (const double d = profile::length(m - to); d < least) least = d, best = m;
    return -profile::length(m - to);
  });
  return best;
}

/// A turned face of which one border is the ring `at`; nothing otherwise. Where the other is no ring, the face's
/// straight meridian ends at the border's point that is nearest along it.
struct Inwards {
  S segment;
  bool whole;
};
std::optional<Inwards> inwards(const Skin& skin, const Chamber& c, int face, const P& at) {
  std::vector<P> rings, rest;
  for (const int j : skin.joints_of[index(face)]) {
    const auto& joint = skin.joints[index(j)];
    if (const auto r = ring(c, joint.edge))
      rings.push_back(*r);
    else if (!along_meridian(joint.edge))
      rest.push_back(nearest(c, joint.edge, at));
  }
  if (std::none_of(rings.begin(), rings.end(), [&](const P& p) { return near(p, at); })) return std::nullopt;
  std::erase_if(rings, [&](const P& p) { return near(p, at); });
  if (rest.empty() && rings.empty()) return std::nullopt;
  if (rest.empty()) {
    const auto s = segment(skin, c, face, at, rings[0]);
    return s ? std::optional(Inwards{*s, true}) : std::nullopt;
  }
  const auto distance = [&](const P& p) { return profile::length(p - at); };
  const auto end =
      *std::min_element(rest.begin(), rest.end(), [&](const P& a, const P& b) { return distance(a) < distance(b); });
  const auto type = BRepAdaptor_Surface(skin.faces[index(face)]).GetType();
  if ((type != GeomAbs_Plane && type != GeomAbs_Cylinder && type != GeomAbs_Cone) || distance(end) < same_place)
    return std::nullopt;
  return Inwards{profile::line(at, end), false};
}

Chain turned_rim(const Skin& skin, const Chamber& c) {
  Chain out;
  auto at = mouth_ring(c);
  if (!at) return out;
  at->z = 0;
  std::vector<int> left = c.faces;
  for (bool more = true; more;) {
    more = false;
    for (std::size_t i = 0; i < left.size() && !more; ++i) {
      if (!not_turned(skin, left[i]).empty()) continue;
      const auto found = inwards(skin, c, left[i], *at);
      if (!found) continue;
      append(out, found->segment);
      if (!found->whole) return out;
      at = found->segment.end;
      left.erase(left.begin() + static_cast<std::ptrdiff_t>(i));
      more = true;
    }
  }
  return out;
}

/// Why the chamber is no body of revolution, as far as its faces, plug hole and mouth tell.
std::string why_not_turned(const Skin& skin, const Chamber& c) {
  for (const int face : c.faces)
    if (auto why = not_turned(skin, face); !why.empty()) return why;
  for (const auto& cap : c.caps) {
    const double off = std::hypot(cap.centre.X(), cap.centre.Y());
    const double tilt = std::hypot(cap.up.X(), cap.up.Y());
    if (off > same_place || tilt > same_angle)
      return fmt::format("the plug hole's end lies {:.3f} mm beside the turning axis, tilted by {:.2f} degrees.", off,
                         std::asin(std::min(tilt, 1.0)) * 180 / M_PI);
  }
  return mouth_ring(c) ? "" : "the chamber's mouth is no circle about the axis.";
}

} // namespace

Meridian meridian(const Skin& skin, const Chamber& c) {
  Meridian out;
  out.not_turned = why_not_turned(skin, c);
  auto all = strips(skin, c);
  if (out.not_turned.empty() && !all) out.not_turned = all.error().message;
  if (!out.not_turned.empty()) {
    out.turned_rim = turned_rim(skin, c);
    return out;
  }
  out = walk(skin, c, std::move(*all), *mouth_ring(c));
  if (out.chain.empty()) return out;
  // Two ways to the same volume: the one shares nothing with the other but the faces.
  const double swept = profile::swept_volume(profile::ChainView(out.chain));
  if (std::abs(swept - c.volume) > 1e-6 * c.volume) {
    out.no_chain =
        fmt::format("the meridian read off the faces sweeps {:.3f} mm3, but they hold {:.3f} mm3.", swept, c.volume);
    out.chain.clear();
  }
  return out;
}

} // namespace chamber::solid::foreign
