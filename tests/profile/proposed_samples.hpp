#pragma once
// Bodies of known volume and ways to hand them to the readers.
#include "chamber/profile/integrals.hpp"
#include "chamber/profile/proposed.hpp"
#include <sstream>

namespace chamber::profile::testing {

inline constexpr double pi = 3.14159265358979323846;

/// Machinery's Handbook, 31st ed., pp. 90-93: spherical segment, height 50, chord 125. Its formula pi h (c^2/8 + h^2/6)
/// gives 372246.0045; the handbook prints 372,247 with pi = 3.1416.
inline constexpr double segment_mm3 = pi * 50 * (125.0 * 125 / 8 + 50.0 * 50 / 6);
inline Chain spherical_segment() {
  const double radius = (62.5 * 62.5 + 50 * 50) / 100;
  return {arc(Kind::ccw, P{62.5, 0}, P{0, 50}, P{0, 50 - radius}, radius)};
}

/// A chamber of cylinders, a frustum and a quarter round: recess 33 x 0.8, flat band in to 24, frustum to 12 over 10,
/// round of radius 4 about (12, 14.8), pocket of radius 8 to 16.8.
inline Chain plain_chamber() {
  return {line(P{33, 0}, P{33, 0.8}),    line(P{33, 0.8}, P{24, 0.8}),
          line(P{24, 0.8}, P{12, 10.8}), arc(Kind::cw, P{12, 10.8}, P{8, 14.8}, P{12, 14.8}, 4.0),
          line(P{8, 14.8}, P{8, 16.8}),  line(P{8, 16.8}, P{0, 16.8})};
}
/// By the elementary formulas; the ring inside the round: integral of pi (12 - 4 sqrt(1 - t^2))^2 4 dt over 0 to 1.
inline constexpr double plain_chamber_mm3 =
    pi * (33 * 33 * 0.8 + 10.0 / 3 * (24 * 24 + 24 * 12 + 12 * 12) + 4 * (144 - 24 * pi + 16 * 2.0 / 3) + 64 * 2);

inline Results<Proposed> points(const std::string& text, const ProposedOptions& o = {}) {
  std::istringstream in(text);
  return read_points(in, "points.csv", o);
}
inline Results<Proposed> dxf(const std::string& text, const ProposedOptions& o = {}) {
  std::istringstream in(text);
  return read_dxf(in, "drawing.dxf", o);
}
inline double volume(const Proposed& p) {
  return swept_volume(ChainView(p.chain));
}
inline bool says(const std::vector<std::string>& lines, std::string_view what) {
  for (const auto& l : lines)
    if (l.find(what) != std::string::npos) return true;
  return false;
}
inline std::string complaint(const Results<Proposed>& r) {
  if (r) return "";
  std::string out;
  for (const auto& p : r.error()) out += to_text(p);
  return out;
}

} // namespace chamber::profile::testing
