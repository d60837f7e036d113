#include "chamber/profile/dxf_entity.hpp"
#include "chamber/units/quantity.hpp"
#include <fmt/format.h>

namespace chamber::profile::detail {
namespace {

tl::unexpected<Problem> refuse(const Entity& e, std::string message, std::string cure) {
  return tl::unexpected(Problem{{"", e.line, 0}, fmt::format("the {} {}", e.type, message), std::move(cure)});
}

/// Drawn as seen from below, x counts the other way; anything else than above or below is not flat.
Result<bool> seen_from_below(const Entity& e) {
  const double x = e.number(210, 0), y = e.number(220, 0), z = e.number(230, 1);
  if (std::abs(x) > 1e-9 || std::abs(y) > 1e-9 || z == 0)
    return refuse(e, "does not lie in the drawing's plane.", "flatten the drawing into one plane.");
  return z < 0;
}

S arc_by_bulge(const P& a, const P& b, double bulge) {
  const P chord = b - a;
  const double c = length(chord);
  const P centre = (a + b) * 0.5 + left_of(unit(chord)) * (c * (1 - bulge * bulge) / (4 * bulge));
  return arc(bulge > 0 ? Kind::ccw : Kind::cw, a, b, centre, c * (1 + bulge * bulge) / (4 * std::abs(bulge)));
}

struct Vertex {
  P at;
  double bulge = 0;
};

Chain through(const std::vector<Vertex>& v, bool closed) {
  Chain out;
  for (std::size_t i = 0; i + (closed ? 0 : 1) < v.size(); ++i) {
    const P a = v[i].at, b = v[(i + 1) % v.size()].at;
    if (length(b - a) < 1e-9) continue;
    // Flatter than a ten millionth of its chord an arc is a line, and its centre too far away to say where.
    out.push_back(std::abs(v[i].bulge) < 1e-7 ? line(a, b) : arc_by_bulge(a, b, v[i].bulge));
  }
  return out;
}

Result<Chain> lw_polyline(const Entity& e) {
  std::vector<Vertex> v;
  for (const auto& g : e.groups) {
    if (g.code == 10) v.push_back({{g.value, 0}, 0});
    if (v.empty()) continue;
    if (g.code == 20) v.back().at.z = g.value;
    if (g.code == 42) v.back().bulge = g.value;
  }
  return through(v, static_cast<int>(e.number(70, 0)) & 1);
}

Result<Chain> polyline(const Entity& e) {
  constexpr int closed = 1, spline_fit = 4, mesh = 16 | 64, frame_point = 16;
  const int flags = static_cast<int>(e.number(70, 0));
  if (flags & mesh) return Chain{};
  if (flags & spline_fit) return refuse(e, "is smoothed to a spline.", "turn it into arcs or short lines.");
  std::vector<Vertex> v;
  double height = 0;
  for (const auto& groups : e.vertices) {
    Entity one;
    one.groups = groups;
    if (static_cast<int>(one.number(70, 0)) & frame_point) continue;
    if (!v.empty() && std::abs(one.number(30, 0) - height) > 1e-6)
      return refuse(e, "is not flat.", "flatten the drawing into one plane.");
    height = one.number(30, 0);
    v.push_back({{one.number(10, 0), one.number(20, 0)}, one.number(42, 0)});
  }
  return through(v, flags & closed);
}

Result<Chain> arc_entity(const Entity& e) {
  const P centre{e.number(10, 0), e.number(20, 0)};
  const double radius = e.number(40, 0), from = units::radians(e.number(50, 0)), to = units::radians(e.number(51, 0));
  if (radius <= 0) return refuse(e, "has no radius.", "draw it again.");
  const auto at = [&](double phi) { return P{centre.r + radius * std::cos(phi), centre.z + radius * std::sin(phi)}; };
  const S s = arc(Kind::ccw, at(from), at(to), centre, radius);
  if (length(s.end - s.start) < 1e-9)
    return refuse(e, "goes all the way round.", "cut it where the profile leaves it.");
  return Chain{s};
}

} // namespace

Placement Placement::after(const Placement& inner) const {
  return {x_axis * inner.x_axis.r + y_axis * inner.x_axis.z, x_axis * inner.y_axis.r + y_axis * inner.y_axis.z,
          (*this)(inner.origin)};
}

S placed(const S& s, const Placement& by) {
  S t = s;
  t.start = by(s.start);
  t.end = by(s.end);
  if (!s.is_arc()) return t;
  t.centre = by(s.centre);
  t.radius = s.radius * length(by.x_axis);
  if (by.mirrors()) t.kind = s.kind == Kind::ccw ? Kind::cw : Kind::ccw;
  return t;
}

bool draws(std::string_view type) {
  return type == "LINE" || type == "ARC" || type == "LWPOLYLINE" || type == "POLYLINE";
}

std::string_view cure_for(std::string_view type) {
  if (type == "SPLINE") return "export splines as arcs or as polylines within 0.001 mm.";
  if (type == "ELLIPSE") return "export ellipses as arcs or as polylines within 0.001 mm.";
  if (type == "CIRCLE") return "trim it to the arc that belongs to the profile, or put it on another layer.";
  if (type == "MLINE" || type == "HELIX" || type == "REGION" || type == "3DSOLID" || type == "BODY")
    return "explode it into lines and arcs.";
  return {};
}

Result<Chain> chain_of(const Entity& e) {
  if (e.type == "LINE") {
    if (std::abs(e.number(30, 0) - e.number(31, 0)) > 1e-6)
      return refuse(e, "is not flat.", "flatten the drawing into one plane.");
    const P a{e.number(10, 0), e.number(20, 0)}, b{e.number(11, 0), e.number(21, 0)};
    return length(b - a) < 1e-9 ? Chain{} : Chain{line(a, b)};
  }
  auto chain = e.type == "ARC" ? arc_entity(e) : e.type == "LWPOLYLINE" ? lw_polyline(e) : polyline(e);
  if (!chain) return chain;
  const auto below = seen_from_below(e);
  if (!below) return tl::unexpected(below.error());
  if (*below)
    for (auto& s : *chain) s = placed(s, {{-1, 0}, {0, 1}, {0, 0}});
  return chain;
}

Result<Placement> placement_of(const Entity& e, const P& base) {
  const double sx = e.number(41, 1), sy = e.number(42, 1), turn = units::radians(e.number(50, 0));
  if (std::abs(std::abs(sx) - std::abs(sy)) > 1e-9 * std::abs(sx) || sx == 0)
    return refuse(e, "distorts its block.", "explode the block.");
  if (e.number(70, 1) > 1 || e.number(71, 1) > 1) return refuse(e, "repeats its block.", "explode it.");
  const auto below = seen_from_below(e);
  if (!below) return tl::unexpected(below.error());
  const double c = std::cos(turn), s = std::sin(turn);
  const Placement at_base{{1, 0}, {0, 1}, base * -1.0};
  const Placement turned{{sx * c, sx * s}, {-sy * s, sy * c}, {e.number(10, 0), e.number(20, 0)}};
  const auto p = turned.after(at_base);
  return *below ? Placement{{-1, 0}, {0, 1}, {0, 0}}.after(p) : p;
}

} // namespace chamber::profile::detail
