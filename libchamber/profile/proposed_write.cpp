#include "chamber/profile/proposed.hpp"
#include "chamber/units/quantity.hpp"
#include <cmath>
#include <fmt/format.h>

namespace chamber::profile {
namespace {

/// Points along a segment without its start, no chord further than `error` from the arc.
void sample(const S& s, double error, std::vector<P>& out) {
  if (s.is_arc()) {
    // Sagitta R (1 - cos(step / 2)) = error.
    const double step = 2 * std::acos(std::max(-1.0, 1 - error / s.radius));
    const int n = std::max(1, static_cast<int>(std::ceil(std::abs(sweep(s)) / step)));
    for (int i = 1; i < n; ++i) out.push_back(point_at(s, static_cast<double>(i) / n));
  }
  out.push_back(s.end);
}

/// DXF group: code and value.
void tag(std::string& out, int code, const std::string& value) {
  out += fmt::format("{:3d}\n{}\n", code, value);
}
void tag(std::string& out, int code, double value) {
  tag(out, code, fmt::format("{:.12g}", value));
}

void vertex(std::string& out, const std::string& layer, const P& p, double bulge) {
  tag(out, 0, "VERTEX");
  tag(out, 8, layer);
  tag(out, 10, p.r);
  tag(out, 20, p.z);
  tag(out, 30, 0.0);
  if (bulge != 0) tag(out, 42, bulge);
}

void polyline(std::string& out, ChainView chain, const std::string& layer, double k) {
  tag(out, 0, "POLYLINE");
  tag(out, 8, layer);
  tag(out, 66, "1");
  for (const int code : {10, 20, 30}) tag(out, code, 0.0);
  // Bulge: tangent of a quarter of the angle turned, positive counter-clockwise.
  for (const auto& s : chain) vertex(out, layer, s.start * k, s.is_arc() ? std::tan(sweep(s) / 4) : 0);
  if (!chain.empty()) vertex(out, layer, chain.back().end * k, 0);
  tag(out, 0, "SEQEND");
  tag(out, 8, layer);
}

void entity(std::string& out, const S& s, const std::string& layer, double k) {
  tag(out, 0, s.is_arc() ? "ARC" : "LINE");
  tag(out, 8, layer);
  const P first = (s.is_arc() ? s.centre : s.start) * k;
  tag(out, 10, first.r);
  tag(out, 20, first.z);
  tag(out, 30, 0.0);
  if (!s.is_arc()) {
    tag(out, 11, s.end.r * k);
    tag(out, 21, s.end.z * k);
    tag(out, 31, 0.0);
    return;
  }
  const auto angle = [&](const P& p) {
    const double deg = units::degrees(std::atan2(p.z - s.centre.z, p.r - s.centre.r));
    return deg < 0 ? deg + 360 : deg;
  };
  tag(out, 40, s.radius * k);
  tag(out, 50, angle(s.kind == Kind::ccw ? s.start : s.end));
  tag(out, 51, angle(s.kind == Kind::ccw ? s.end : s.start));
}

} // namespace

std::string write_points(ChainView chain, const PointsStyle& style) {
  std::string out;
  const char* unit = style.inch ? "in" : "mm";
  if (style.header)
    out += fmt::format("{} ({}){}depth ({})\n", style.diameter ? "diameter" : "radius", unit, style.separator, unit);
  std::vector<P> points;
  if (!chain.empty()) points.push_back(chain.front().start);
  for (const auto& s : chain) sample(s, style.chord_error_mm, points);
  if (style.from_axis) points = {points.rbegin(), points.rend()};
  const double k = style.inch ? 1 / units::mm_per_inch : 1;
  const auto number = [&](double x) {
    auto text = units::fixed(x, style.decimals);
    if (style.decimal_comma && style.separator != ',')
      for (auto& c : text) c = c == '.' ? ',' : c;
    return text;
  };
  for (const auto& p : points)
    out += number(p.r * k * (style.diameter ? 2 : 1)) + style.separator +
           number(p.z * k * (style.depth_down ? -1 : 1)) + "\n";
  return out;
}

std::string write_dxf(ChainView chain, const DxfStyle& style) {
  std::string out;
  const double k = style.inch ? 1 / units::mm_per_inch : 1;
  const auto variable = [&](const char* name, int code, const std::string& value) {
    tag(out, 9, name);
    tag(out, code, value);
  };
  tag(out, 0, "SECTION");
  tag(out, 2, "HEADER");
  variable("$ACADVER", 1, "AC1009");
  variable("$INSUNITS", 70, style.inch ? "1" : "4");
  variable("$MEASUREMENT", 70, style.inch ? "0" : "1");
  tag(out, 0, "ENDSEC");
  tag(out, 0, "SECTION");
  tag(out, 2, "ENTITIES");
  if (style.bulges)
    polyline(out, chain, style.layer, k);
  else
    for (const auto& s : chain) entity(out, s, style.layer, k);
  tag(out, 0, "ENDSEC");
  tag(out, 0, "EOF");
  return out;
}

} // namespace chamber::profile
