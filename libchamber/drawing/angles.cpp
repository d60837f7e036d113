#include "chamber/drawing/board.hpp"
#include "chamber/drawing/font.hpp"
#include <algorithm>
#include <array>
#include <cmath>

// Angular dimensions after ISO 129-1: an arc about the vertex, its ends on the legs, the legs carried on by extension
// lines as far as the arc is out. Of all distances from the vertex and all places for the words by the arc, the one
// that crosses least.

namespace chamber::drawing::detail {
namespace {

constexpr double pi = std::numbers::pi;
/// mm between the legs where the arc stands: closer, and they run into one line before they are looked at (common
/// practice, no source; ISO 128-2 asks for 0.7 mm clear between any two lines, from memory).
constexpr double least_opening = 1.5;
constexpr double nearest = 8;            ///< mm from the vertex
constexpr double arrow_from_outside = 5; ///< mm that the arc runs on beyond a leg for one

double cross(Point a, Point b) {
  return a.x * b.y - a.y * b.x;
}
Point unit(double angle) {
  return {std::cos(angle), std::sin(angle)};
}

/// An arc with its words, not drawn yet. Angles anticlockwise from the x axis.
struct Proposal {
  double cost = 1e9;
  double radius = 0;
  bool arrows_inside = false;
  double before = 0, after = 0; ///< mm that the arc runs on beyond its legs
  Text text;
};

/// Words beside the arc at this angle, `side` 1: away from the vertex.
Text beside(Point vertex, double radius, double angle, int side, const std::string& words) {
  const auto m = measure(words, word_height);
  const Point u = unit(angle);
  const double off = std::abs(u.x) * m.width / 2 + std::abs(u.y) * word_height / 2 + word_clearance + 0.3;
  const Point middle = vertex + u * (radius + side * off);
  return {middle - Point{0, word_height / 2}, words, word_height, Align::centre, 0, Layer::dimension, black};
}

/// An arc in straight pieces, as words and lines keep clear of it.
std::vector<Point> pieces_of(Point vertex, double radius, double from, double sweep) {
  const int n = std::max(2, static_cast<int>(radius * sweep / 1.5));
  std::vector<Point> out;
  for (int i = 0; i <= n; ++i) out.push_back(vertex + unit(from + sweep * i / n) * radius);
  return out;
}

} // namespace

/// What it costs to draw from a to b, in mm of distance; 1e9 where it must not be.
double Board::angle_line_cost(Point a, Point b, Point vertex, const Leg& p, const Leg& q, bool is_arc) const {
  double cost = 0;
  for (const auto& w : words_)
    if (meets(a, b, grown(w, 0.4))) return 1e9;
  const auto along = [&](const Stroke& s, const Leg& leg) {
    return std::abs(cross(leg.direction, s.a - vertex)) < 0.01 && std::abs(cross(leg.direction, s.b - vertex)) < 0.01;
  };
  for (const auto& s : strokes_) {
    if (!crosses(a, b, s.a, s.b) || along(s, p) || along(s, q)) continue;
    if (is_arc && (s.layer == Layer::outline || s.layer == Layer::dimension)) return 1e9;
    cost += s.layer == Layer::extension ? 5 : 8;
  }
  return cost;
}

bool Board::angle(Point vertex, Leg p, Leg q, double farthest, const std::string& words) {
  if (cross(p.direction, q.direction) < 0) std::swap(p, q);
  const double from = std::atan2(p.direction.y, p.direction.x);
  const double sweep = std::acos(std::clamp(p.direction.x * q.direction.x + p.direction.y * q.direction.y, -1.0, 1.0));
  const auto extension_of = [&](const Leg& leg, double radius) {
    return std::pair{vertex + leg.direction * (leg.there + 1.0), vertex + leg.direction * (radius + 1.5)};
  };

  Proposal best;
  const auto consider = [&](Proposal it) {
    if (it.cost >= best.cost || !words_free(it.text)) return;
    const Box words_box = grown(box_of(it.text), word_clearance);
    const auto arc =
        pieces_of(vertex, it.radius, from - it.before / it.radius, sweep + (it.before + it.after) / it.radius);
    for (std::size_t i = 0; i + 1 < arc.size() && it.cost < best.cost; ++i) {
      if (meets(arc[i], arc[i + 1], words_box)) return;
      it.cost += angle_line_cost(arc[i], arc[i + 1], vertex, p, q, true);
    }
    for (const Leg& leg : {p, q}) {
      const auto [a, b] = extension_of(leg, it.radius);
      if (meets(vertex, b, words_box)) return;
      if (leg.there < it.radius + 1.5) it.cost += angle_line_cost(a, b, vertex, p, q, false);
    }
    if (it.cost < best.cost) best = std::move(it);
  };
  const double w = measure(words, word_height).width;
  for (double r = std::max(nearest, least_opening / sweep); r <= farthest; r += 1) {
    const double opening = r * sweep;
    Proposal it;
    it.radius = r;
    it.arrows_inside = opening >= 2 * arrow_length + 1.5;
    // Far out is far from what it means; arrows from outside, and legs close together, read less well.
    it.cost = 0.15 * r + (it.arrows_inside ? 0 : 5) + 2 * std::max(0.0, 3 - opening);
    it.before = it.after = it.arrows_inside ? 0 : arrow_from_outside;
    for (const int side : {1, -1}) {
      // Words rather stand over their line than hang under it.
      const auto hanging = [&](double angle) { return std::sin(angle) * side < -0.3 ? 2 : 0; };
      auto by = it;
      by.cost += hanging(from + sweep / 2);
      by.text = beside(vertex, r, from + sweep / 2, side, words);
      consider(by);
      for (const bool at_end : {false, true}) {
        const double leg = at_end ? from + sweep : from;
        const double length = std::abs(std::sin(leg)) * w + std::abs(std::cos(leg)) * word_height;
        const double start = it.arrows_inside ? 1.2 : 4;
        by = it;
        by.cost += 1 + hanging(leg);
        by.text = beside(vertex, r, leg + (at_end ? 1 : -1) * (start + length / 2) / r, side, words);
        (at_end ? by.after : by.before) = std::max(it.before, start + length + 0.3);
        consider(by);
      }
    }
  }
  if (best.cost > 1e6 || !this->words(best.text)) return false;

  for (const Leg& leg : {p, q})
    if (leg.there < best.radius + 1.5) {
      const auto [a, b] = extension_of(leg, best.radius);
      line(a, b, Layer::extension);
    }
  const auto arc = [&](double start, double turn) {
    picture.add(Arc{vertex, best.radius, start, turn, pen(Layer::dimension)});
    const auto points = pieces_of(vertex, best.radius, start, turn);
    for (std::size_t i = 0; i + 1 < points.size(); ++i) {
      stroke(points[i], points[i + 1], Layer::dimension);
      extent_ = united(extent_, box_round(points[i], points[i + 1]));
    }
  };
  const double before = best.before / best.radius, after = best.after / best.radius;
  arc(from, sweep);
  if (before > 0) arc(from - before, before);
  if (after > 0) arc(from + sweep, after);
  // An arrow lies along the chord over its length, so that both its ends are on the arc.
  const double lean = arrow_length / best.radius / 2;
  const auto head = [&](double angle, int way) {
    arrow(vertex + unit(angle) * best.radius, unit(angle + way * (pi / 2 + lean)));
  };
  head(from, best.arrows_inside ? 1 : -1);
  head(from + sweep, best.arrows_inside ? -1 : 1);
  return true;
}

} // namespace chamber::drawing::detail
