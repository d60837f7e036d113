#include "chamber/drawing/board.hpp"
#include <algorithm>
#include <cmath>

namespace chamber::drawing::detail {
namespace {

constexpr double spacing = 2.2; ///< mm on the sheet
using Spans = std::vector<std::pair<double, double>>;

/// A hatching line: points p(t) = foot + t * along, with `along` at 45 degrees.
struct Ray {
  Point foot, along;
  double t_of(Point p) const { return (p.x - foot.x) * along.x + (p.y - foot.y) * along.y; }
  double off(Point p) const { return along.x * (p.y - foot.y) - along.y * (p.x - foot.x); }
};

/// Where the ray crosses the closed chain, sorted.
std::vector<double> crossings(const Ray& ray, profile::ChainView closed, double scale) {
  std::vector<double> out;
  for (const auto& s : closed) {
    const Point a{s.start.r * scale, s.start.z * scale}, b{s.end.r * scale, s.end.z * scale};
    if (!s.is_arc()) {
      const double u = ray.off(a), v = ray.off(b);
      if ((u > 0) != (v > 0)) out.push_back(ray.t_of(a + (b - a) * (u / (u - v))));
      continue;
    }
    const Point c{s.centre.r * scale, s.centre.z * scale};
    const double d = ray.off(c), r = s.radius * scale;
    if (std::abs(d) >= r) continue;
    const double half = std::sqrt(r * r - d * d);
    const double sweep = profile::sweep(s), from = std::atan2(a.y - c.y, a.x - c.x);
    for (const double t : {ray.t_of(c) - half, ray.t_of(c) + half}) {
      const Point p = ray.foot + ray.along * t;
      double turned = std::atan2(p.y - c.y, p.x - c.x) - from;
      if (sweep > 0 && turned < 0) turned += 2 * std::numbers::pi;
      if (sweep < 0 && turned > 0) turned -= 2 * std::numbers::pi;
      if (std::abs(turned) <= std::abs(sweep)) out.push_back(t);
    }
  }
  std::sort(out.begin(), out.end());
  return out;
}

/// The ray inside a box; empty (first >= second) where it misses.
std::pair<double, double> inside(const Ray& ray, const Box& box) {
  double low = -1e9, high = 1e9;
  const auto cut = [&](double from, double step, double least, double most) {
    double u = (least - from) / step, v = (most - from) / step;
    if (u > v) std::swap(u, v);
    low = std::max(low, u);
    high = std::min(high, v);
  };
  cut(ray.foot.x, ray.along.x, box.left, box.right);
  cut(ray.foot.y, ray.along.y, box.bottom, box.top);
  return {low, high};
}

void take_out(Spans& spans, const std::pair<double, double>& hole) {
  Spans left;
  for (const auto& s : spans) {
    if (hole.second <= s.first || hole.first >= s.second) {
      left.push_back(s);
      continue;
    }
    if (hole.first > s.first) left.emplace_back(s.first, hole.first);
    if (hole.second < s.second) left.emplace_back(hole.second, s.second);
  }
  spans = std::move(left);
}

} // namespace

void Board::draw_hatching() {
  const Box& within = hatched_within_;
  const double h = std::sqrt(0.5);
  // The lines x - y = c that meet the box.
  const double first = within.left - within.top, last = within.right - within.bottom;
  const double step = spacing / h;
  for (double c = std::ceil(first / step) * step; c < last; c += step) {
    std::vector<double> ends;
    double nudge = 1.3e-5; // off the corners, which round numbers would hit
    for (int attempt = 0; attempt < 8; ++attempt, nudge *= -1.7) {
      const Ray ray{{c + nudge, 0}, {h, h}};
      ends = crossings(ray, hatched_, scale_);
      if (ends.size() % 2 == 0) break;
    }
    if (ends.size() % 2 != 0) continue;
    const Ray ray{{c, 0}, {h, h}};
    const auto in = inside(ray, within);
    Spans spans;
    for (std::size_t i = 0; i + 1 < ends.size(); i += 2) {
      const double a = std::max(ends[i], in.first), b = std::min(ends[i + 1], in.second);
      if (a < b) spans.emplace_back(a, b);
    }
    for (const auto& w : words_) {
      const auto hole = inside(ray, grown(w, word_clearance));
      if (hole.first < hole.second) take_out(spans, hole);
    }
    for (const auto& [a, b] : spans)
      if (b - a > 0.3)
        picture.add(Line{ray.foot + ray.along * a, ray.foot + ray.along * b, [] {
                           auto p = pen(Layer::hatching);
                           p.width_mm = 0.18;
                           return p;
                         }()});
  }
}

} // namespace chamber::drawing::detail
