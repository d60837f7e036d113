// The finished insert as one closed meridian, and what of it has to be cut.
#include "chamber/turning/prove_detail.hpp"
#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <optional>

namespace chamber::turning::detail {

using profile::Chain;
using profile::Kind;
using profile::P;
using profile::S;

namespace {

constexpr double same_mm = 1e-6;
constexpr double near_mm = 1e-3; ///< a groove's mouth lies on its face within this

/// Rim -> hole: the chamber less what the plug hole takes of its roof.
Chain chamber_outside_hole(const Work& work) {
  Chain out;
  const double hole = work.plug_hole_radius_mm;
  for (auto s : work.chamber) {
    if (s.start.r <= hole) continue;
    if (s.end.r < hole) {
      const double x = hole - s.centre.r;
      s.end = s.is_arc() ? P{hole, s.centre.z + std::copysign(std::sqrt(std::max(0.0, s.radius * s.radius - x * x)),
                                                              s.kind == Kind::ccw ? 1.0 : -1.0)}
                         : s.start + (s.end - s.start) * ((s.start.r - hole) / (s.start.r - s.end.r));
    }
    out.push_back(s);
  }
  return out;
}

void append_line(Chain& chain, const P& to) {
  const P from = chain.back().end;
  if (std::hypot(to.r - from.r, to.z - from.z) > same_mm) chain.push_back(profile::line(from, to));
}

/// Cuts the groove into the line of the outside that its mouth lies on; false when there is none.
bool cut_groove(Chain& outside, const Groove& g) {
  for (std::size_t i = 0; i < outside.size(); ++i) {
    const S s = outside[i];
    if (s.is_arc()) continue;
    const bool lies = g.in_face
                          ? std::abs(s.start.z - g.z_low_mm) < near_mm && std::abs(s.end.z - g.z_low_mm) < near_mm
                          : std::abs(s.start.r - g.r_outer_mm) < near_mm && std::abs(s.end.r - g.r_outer_mm) < near_mm;
    const double low = g.in_face ? std::min(s.start.r, s.end.r) : std::min(s.start.z, s.end.z);
    const double high = g.in_face ? std::max(s.start.r, s.end.r) : std::max(s.start.z, s.end.z);
    const double from = g.in_face ? g.r_inner_mm : g.z_low_mm, to = g.in_face ? g.r_outer_mm : g.z_high_mm;
    if (!lies || from < low - near_mm || to > high + near_mm) continue;
    const double mouth = g.in_face ? s.start.z : s.start.r, floor = g.in_face ? g.z_high_mm : g.r_inner_mm;
    const auto at = [&](double along, double depth) { return g.in_face ? P{along, depth} : P{depth, along}; };
    const bool forward = g.in_face ? s.end.r > s.start.r : s.end.z > s.start.z;
    const double first = forward ? from : to, second = forward ? to : from;
    Chain with{profile::line(s.start, at(first, mouth)), profile::line(at(first, mouth), at(first, floor)),
               profile::line(at(first, floor), at(second, floor)), profile::line(at(second, floor), at(second, mouth)),
               profile::line(at(second, mouth), s.end)};
    std::erase_if(with, [](const S& x) { return profile::arc_length(x) < same_mm; });
    outside.erase(outside.begin() + static_cast<std::ptrdiff_t>(i));
    outside.insert(outside.begin() + static_cast<std::ptrdiff_t>(i), with.begin(), with.end());
    return true;
  }
  return false;
}

/// Inner corners (metal on the left: the way turns right) between lines, each with the round that may be left in it.
Chain rounded(const Chain& outside, double radius) {
  Chain out = outside;
  for (std::size_t i = 0; i + 1 < out.size(); ++i) {
    S& a = out[i];
    S& b = out[i + 1];
    if (a.is_arc() || b.is_arc()) continue;
    const P d = profile::unit(a.end - a.start), e = profile::unit(b.end - b.start);
    const double turn = -profile::angle_between(d, e);
    if (turn < 0.01) continue;
    // A wall shallower than the round, square to the floor and to the face before it: the round ends in its edge.
    if (const double deep = profile::arc_length(a);
        i > 0 && deep < radius && std::abs(profile::dot(d, e)) < 1e-9 && !out[i - 1].is_arc() &&
        std::abs(profile::dot(profile::unit(out[i - 1].end - out[i - 1].start), d)) < 1e-9 &&
        profile::cross(profile::unit(out[i - 1].end - out[i - 1].start), d) > 0) {
      const double across = std::sqrt(deep * (2 * radius - deep));
      if (across < profile::arc_length(b) - near_mm) {
        const P to = a.end + e * across;
        b.start = to;
        a = profile::arc(Kind::cw, a.start, to, to - profile::left_of(e) * radius, radius);
        continue;
      }
    }
    // What the neighbours hold; one with a round at either end, half of it.
    const bool again = i + 2 < out.size() && !out[i + 2].is_arc() &&
                       profile::angle_between(e, profile::unit(out[i + 2].end - out[i + 2].start)) < -0.01;
    const double room = std::min(profile::arc_length(a), profile::arc_length(b) * (again ? 0.5 : 1));
    const double taken = std::min(radius * std::tan(turn / 2), room - near_mm), r = taken / std::tan(turn / 2);
    if (taken <= near_mm) continue;
    const P corner = a.end, from = corner - d * taken, to = corner + e * taken;
    a.end = from;
    b.start = to;
    const P centre = from - profile::left_of(d) * r;
    out.insert(out.begin() + static_cast<std::ptrdiff_t>(i) + 1, profile::arc(Kind::cw, from, to, centre, r));
    ++i;
  }
  return out;
}

} // namespace

Outline outline_of(const Work& work, double blank_radius, double blank_height, std::vector<Failure>& failures) {
  Outline o;
  o.whole = !work.outside.empty();
  o.hole_radius_mm = work.plug_hole_radius_mm;
  o.closed = o.cut = chamber_outside_hole(work);
  o.chamber_count = o.cut.size();
  const double hole = work.plug_hole_radius_mm;
  if (!o.whole) {
    append_line(o.closed, {hole, blank_height});
    append_line(o.closed, {blank_radius, blank_height});
    append_line(o.closed, {blank_radius, 0});
    append_line(o.closed, o.closed.front().start);
    return o;
  }
  Chain outside = work.outside;
  for (const auto& g : work.grooves)
    if (!cut_groove(outside, g))
      failures.push_back({FailureKind::metal_left, 0, 0, g.r_outer_mm, g.z_low_mm,
                          fmt::format("the groove \"{}\" lies on no face of the outside.", g.name),
                          "check its place on the drawing."});
  const Chain corners = rounded(outside, work.inner_corner_mm);
  o.cut.insert(o.cut.end(), corners.begin(), corners.end());
  const Chain back = profile::reversed(outside);
  append_line(o.closed, back.front().start);
  o.closed.insert(o.closed.end(), back.begin(), back.end());
  append_line(o.closed, o.closed.front().start);
  return o;
}

sweep::Path path_of(const S& s) {
  return {s.kind, s.start, s.end, s.centre, s.radius};
}

double box_gap(const sweep::Box& a, const sweep::Box& b) {
  const double dr = std::max({0.0, a.r_min - b.r_max, b.r_min - a.r_max});
  const double dz = std::max({0.0, a.z_min - b.z_max, b.z_min - a.z_max});
  return std::sqrt(dr * dr + dz * dz);
}

Spans finished_spans(const Outline& o, double r) {
  // Half a billionth of a millimetre aside, so that no column runs along an upright line.
  r += 5e-10;
  std::vector<double> z;
  for (const auto& s : o.closed) {
    if (!s.is_arc()) {
      if ((s.start.r > r) != (s.end.r > r))
        z.push_back(s.start.z + (s.end.z - s.start.z) * (r - s.start.r) / (s.end.r - s.start.r));
      continue;
    }
    const double x = r - s.centre.r, y2 = s.radius * s.radius - x * x;
    if (y2 <= 0) continue;
    // Crossings alternate between going out and in; whether the ends lie on either side fixes how many there are.
    const auto on = [&](double y) {
      const P w{x, y}, u = s.start - s.centre, v = s.end - s.centre;
      const double sense = s.kind == Kind::ccw ? 1 : -1;
      const double uv = sense * profile::cross(u, v), uw = sense * profile::cross(u, w),
                   wv = sense * profile::cross(w, v);
      return uv >= 0 ? uw >= 0 && wv > 0 : uw >= 0 || wv > 0;
    };
    const double y = std::sqrt(y2);
    for (const double one : {y, -y})
      if (on(one)) z.push_back(s.centre.z + one);
  }
  std::sort(z.begin(), z.end());
  Spans out;
  for (std::size_t i = 0; i + 1 < z.size(); i += 2) out.push_back({z[i], z[i + 1]});
  return out;
}

bool inside_metal(const Outline& o, const P& p) {
  if (p.r < 0) return inside_metal(o, {-p.r, p.z});
  for (const auto& s : finished_spans(o, p.r))
    if (p.z > s.low && p.z < s.high) return true;
  return false;
}

} // namespace chamber::turning::detail
