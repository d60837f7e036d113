#include "chamber/shapes/features.hpp"
#include "chamber/profile/distance.hpp"
#include "chamber/profile/fillet.hpp"
#include "chamber/units/quantity.hpp"
#include <algorithm>
#include <fmt/format.h>

namespace chamber::shapes {
namespace {

using profile::ChainView;
using profile::P;
using profile::S;

// What tells a band from rounds and bowls; all chosen wide of every chamber turned so far (common practice, no source).
constexpr double least_edge_rad = 5 * units::pi / 180; ///< the metal turns at least so far at the mouth
constexpr double steepest_rad = 40 * units::pi / 180;  ///< a band nowhere rises more than this
constexpr double tightest_mm = 8;                      ///< what curves more than this radius is a round, no band
constexpr double sharpest_rad = 20 * units::pi / 180;  ///< what turns more than this at once is a corner, no band
constexpr double longest_chamfer_mm = 1;               ///< a longer straight ends the mouth's edge
constexpr double least_width_mm = 1;
constexpr double least_overhang_mm = 0.05;
constexpr double least_mouth = 0.4; ///< of the rim's radius

/// Rise over the way inwards, radians: 0 level, pi/2 straight up.
double rise(const P& direction) {
  return std::atan2(direction.z, -direction.r);
}
/// Turn from the end of one segment to the start of the next, radians; negative: an edge of the metal.
double turn(const S& a, const S& b) {
  return profile::angle_between(profile::direction_at(a, 1), profile::direction_at(b, 0));
}

/// Segments `from` up to `to` (exclusive) belong to the mouth's edge; the band ends before, the bowl begins at `to`.
struct Edge {
  std::size_t from = 0, to = 0;
  double turned = 0;
};

/// Next run of the chain that turns about metal, from segment i on; `from` may equal `to`: a sharp corner.
Edge next_edge(ChainView c, std::size_t i) {
  constexpr double nothing = 1e-6;
  Edge e{i, i, 0};
  const auto part_of_edge = [&](const S& s) {
    return s.kind == profile::Kind::cw ||
           (!s.is_arc() && e.turned < -nothing && profile::arc_length(s) < longest_chamfer_mm);
  };
  for (; i < c.size(); ++i) {
    if (part_of_edge(c[i])) {
      // A short straight is part of it only if another turn about metal follows.
      if (c[i].kind == profile::Kind::cw) e.turned += profile::sweep(c[i]), e.to = i + 1;
    } else if (e.turned <= -least_edge_rad) {
      return e;
    } else {
      e = {i + 1, i + 1, 0};
    }
    if (i + 1 == c.size()) break;
    const double t = turn(c[i], c[i + 1]);
    if (t > nothing && e.turned <= -least_edge_rad) return e;
    if (t > nothing) e = {i + 1, i + 1, 0};
    if (t < -nothing) e.turned += t, e.to = i + 1;
  }
  return {c.size(), c.size(), 0};
}

/// Index of the outermost segment that still belongs to the band ending before `end`.
std::size_t band_from(ChainView c, std::size_t end) {
  std::size_t i = end - 1;
  const auto calm = [&](const S& s) { return !s.is_arc() || s.radius >= tightest_mm; };
  if (!calm(c[i])) return end;
  while (i > 0 && calm(c[i - 1])) {
    const double t = std::abs(turn(c[i - 1], c[i]));
    const double way = std::min(profile::arc_length(c[i - 1]), profile::arc_length(c[i]));
    if (t > sharpest_rad || t * tightest_mm > way + 1e-9) break;
    --i;
  }
  return i;
}

/// The segment with its start moved along its own line or circle to radius r; unmoved where that is not reached.
S reaching_out(S s, double r) {
  using namespace profile::detail;
  if (!s.is_arc()) {
    const P d = s.end - s.start;
    if (std::abs(d.r) > 1e-9) s.start = {r, s.start.z + d.z * (r - s.start.r) / d.r};
    return s;
  }
  const double x = r - s.centre.r, yy = s.radius * s.radius - x * x;
  if (yy <= 0) return s;
  const double y = std::sqrt(yy);
  s.start = {r, s.centre.z + (s.start.z >= s.centre.z ? y : -y)};
  return s;
}

/// Where the two segments' lines or circles meet.
std::optional<P> sharp_corner(const S& a, const S& b, const P& near) {
  using namespace profile::detail;
  bool met = true;
  const auto p = meet(beside(a, heading(a), 0.0), beside(b, heading(b), 0.0), near, met);
  if (!met || !std::isfinite(p.r) || !std::isfinite(p.z)) return std::nullopt;
  return p;
}

/// The band without its rounds, from radius `outer` to the mouth; empty where it cannot be one.
std::optional<Band> band_before(ChainView c, const Edge& e, double outer) {
  if (e.from == 0 || e.to >= c.size()) return std::nullopt;
  const std::size_t first = band_from(c, e.from);
  if (first >= e.from) return std::nullopt;
  Band b;
  b.sharp.assign(c.begin() + static_cast<std::ptrdiff_t>(first), c.begin() + static_cast<std::ptrdiff_t>(e.from));
  const P end = b.sharp.back().end;
  const auto corner = e.from == e.to ? end : sharp_corner(b.sharp.back(), c[e.to], end);
  // A corner far from its round is none: the two run nearly along each other.
  b.mouth = corner && length(*corner - end) < 5 ? *corner : end;
  b.sharp.back().end = b.mouth;
  while (b.sharp.size() > 1 && b.sharp.front().end.r > outer) b.sharp.erase(b.sharp.begin());
  b.sharp.front() = reaching_out(b.sharp.front(), outer);
  b.width_mm = outer - b.mouth.r;
  b.edge_height = b.sharp.front().start.z;
  b.bowl_at = e.to;
  b.straight = b.sharp.size() == 1 && !b.sharp[0].is_arc();
  if (b.width_mm < least_width_mm || b.mouth.r < least_mouth * c.front().start.r) return std::nullopt;
  for (const auto& s : b.sharp)
    for (const double u : {0.0, 1.0})
      if (std::abs(rise(profile::direction_at(s, u))) > steepest_rad) return std::nullopt;
  return b;
}

double angle_at(const Band& b, double r) {
  for (const auto& s : b.sharp) {
    if (r < s.end.r) continue;
    if (!s.is_arc()) return units::degrees(rise(profile::direction_at(s, 0)));
    const auto h = profile::heights_at(ChainView(&s, 1), r);
    if (!h) continue;
    const P radial{r - s.centre.r, h->high - s.centre.z};
    const P along = s.kind == profile::Kind::ccw ? left_of(radial) : left_of(radial) * -1.0;
    return units::degrees(rise(along));
  }
  return units::degrees(rise(b.sharp.back().end - b.sharp.front().start));
}

void find_roof(ChainView c, Features& f) {
  f.roof_z_mm = c.back().end.z;
  std::size_t i = c.size();
  const auto level = [](const S& s) { return !s.is_arc() && std::abs(s.end.z - s.start.z) < 1e-3; };
  while (i > 0 && level(c[i - 1])) --i;
  if (i < c.size()) f.roof_radius_mm = c[i].start.r;
  // Past the concave round at the roof, however many pieces it has.
  while (i > 0 && c[i - 1].start.r - f.roof_radius_mm < 3 && rise(direction_at(c[i - 1], 0.5)) < 1.5) --i;
  if (i > 0 && !c[i - 1].is_arc() && std::abs(c[i - 1].end.r - c[i - 1].start.r) < 1e-3)
    f.pocket_radius_mm = c[i - 1].end.r;
}

} // namespace

Features features(ChainView chain, double bore_radius_mm) {
  Features f;
  if (chain.empty()) throw std::logic_error("features: empty chain");
  f.rim_radius_mm = chain.front().start.r;
  f.depth_mm = profile::bounding_box(chain).z_max;
  find_roof(chain, f);
  const double outer = bore_radius_mm > 0 ? bore_radius_mm : f.rim_radius_mm;
  // A bore wider than the rim has the sealing face over it: that ring is band too.
  const bool overhung = outer > f.rim_radius_mm + least_overhang_mm;
  profile::Chain whole(chain.begin(), chain.end());
  if (overhung) whole.insert(whole.begin(), profile::line(P{outer, 0}, chain.front().start));
  for (auto e = next_edge(whole, 0); e.from < whole.size(); e = next_edge(whole, std::max(e.to, e.from + 1)))
    if ((f.band = band_before(whole, e, outer))) break;
  if (f.band && overhung) --f.band->bowl_at;
  if (!f.band)
    f.no_band = "No edge in the profile parts a squish band from a bowl.";
  else
    f.band->angle_deg = angle_at(*f.band, (outer + f.band->mouth.r) / 2);
  return f;
}

} // namespace chamber::shapes
