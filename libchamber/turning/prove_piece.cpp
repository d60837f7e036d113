// The piece in the chuck: columns of metal, and what is taken out of them.
#include "chamber/turning/prove_detail.hpp"
#include <algorithm>
#include <cmath>

namespace chamber::turning::detail {

namespace {
constexpr double sliver_mm = 1e-9;
}

double front_of(const Spans& column) {
  return column.empty() ? nothing : column.front().low;
}

double take(Spans& column, double low, double high) {
  double taken = 0;
  for (std::size_t i = 0; i < column.size();) {
    Span& s = column[i];
    const double from = std::max(s.low, low), to = std::min(s.high, high);
    if (to <= from) {
      ++i;
      continue;
    }
    taken += to - from;
    const Span after{to, s.high};
    s.high = from;
    if (s.high - s.low > sliver_mm) {
      if (after.high - after.low > sliver_mm) {
        column.insert(column.begin() + static_cast<std::ptrdiff_t>(i) + 1, after);
        ++i;
      }
      ++i;
    } else if (after.high - after.low > sliver_mm) {
      s = after;
      ++i;
    } else {
      column.erase(column.begin() + static_cast<std::ptrdiff_t>(i));
    }
  }
  return taken;
}

double overlap(const Spans& column, double low, double high) {
  double most = 0;
  for (const auto& s : column) most = std::max(most, std::min(s.high, high) - std::max(s.low, low));
  return most;
}

double standing_at(const Clamping& c, double r) {
  for (const auto& s : c.standing) {
    if (r > s.start.r || r < s.end.r || s.start.r - s.end.r < sliver_mm) continue;
    if (!s.is_arc()) return s.start.z + (s.end.z - s.start.z) * (s.start.r - r) / (s.start.r - s.end.r);
    const double x = r - s.centre.r, y = std::sqrt(std::max(0.0, s.radius * s.radius - x * x));
    return s.centre.z + (s.kind == profile::Kind::ccw ? y : -y);
  }
  return 0;
}

Piece blank_of(const Clamping& c, double grid) {
  Piece p;
  p.grid_mm = grid;
  p.columns.resize(static_cast<std::size_t>(c.diameter_mm / 2 / grid));
  for (std::size_t i = 0; i < p.columns.size(); ++i)
    if (const double front = c.standing.empty() ? -c.front_mm : standing_at(c, p.column(i));
        p.column(i) >= c.bore_mm / 2)
      p.columns[i] = {{front, c.length_mm - c.front_mm}};
  return p;
}

Piece turned_round(Piece p, double height) {
  for (auto& column : p.columns) {
    std::reverse(column.begin(), column.end());
    for (auto& s : column) s = {height - s.high, height - s.low};
  }
  return p;
}

} // namespace chamber::turning::detail
