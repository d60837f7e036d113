#include "chamber/profile/rise.hpp"
#include "chamber/units/tolerance.hpp"
#include <limits>

namespace chamber::profile {
namespace {

double height_on(const S& s, double r) {
  if (!s.is_arc()) {
    const double run = s.end.r - s.start.r;
    return s.start.z + (s.end.z - s.start.z) * ((r - s.start.r) / run);
  }
  const double x = r - s.centre.r, y = std::sqrt(std::max(0.0, s.radius * s.radius - x * x));
  return s.centre.z + (s.kind == Kind::ccw ? y : -y);
}

const S* over(ChainView chain, double r) {
  for (const auto& s : chain)
    if (s.start.r > r && s.end.r < r) return &s;
  return nullptr;
}

/// Slope dz/dr of an arc at u = (r - centre) / radius is -u / sqrt(1 - u^2), above the centre: parallel places of two
/// curves have the same u, up to its sign.
void add_parallel(const S& a, const S& b, std::vector<double>& out) {
  if (!a.is_arc() && !b.is_arc()) return;
  if (a.is_arc() && b.is_arc()) {
    // (r - ca) / Ra = sign (r - cb) / Rb
    const double sign = a.kind == b.kind ? 1 : -1, down = b.radius - sign * a.radius;
    if (std::abs(down) > 1e-12) out.push_back((b.radius * a.centre.r - sign * a.radius * b.centre.r) / down);
    return;
  }
  const S& arc = a.is_arc() ? a : b;
  const S& line = a.is_arc() ? b : a;
  const P d = unit(line.end - line.start);
  for (const double sign : {1.0, -1.0}) out.push_back(arc.centre.r + sign * arc.radius * d.z);
}

} // namespace

Rise rise_over(ChainView now, ChainView before) {
  std::vector<double> marks;
  for (const auto chain : {now, before})
    for (const auto& s : chain) marks.insert(marks.end(), {s.start.r, s.end.r});
  std::sort(marks.begin(), marks.end());
  Rise out{std::numeric_limits<double>::infinity(), 0, -std::numeric_limits<double>::infinity(), 0};
  for (std::size_t i = 0; i + 1 < marks.size(); ++i) {
    const double a = marks[i], b = marks[i + 1];
    if (b - a < tolerance::point_mm) continue;
    const S* x = over(now, (a + b) / 2);
    const S* y = over(before, (a + b) / 2);
    if (!x || !y) continue;
    std::vector<double> at{a, b, (a + b) / 2};
    add_parallel(*x, *y, at);
    for (const double r : at) {
      if (!(r >= a && r <= b)) continue;
      const double rise = height_on(*x, r) - height_on(*y, r);
      if (rise < out.least) out.least = rise, out.least_r = r;
      if (rise > out.most) out.most = rise, out.most_r = r;
    }
  }
  return out;
}

} // namespace chamber::profile
