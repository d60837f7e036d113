#include "chamber/drawing/picture.hpp"
#include "chamber/drawing/font.hpp"
#include <algorithm>
#include <cmath>
#include <stdexcept>

namespace chamber::drawing {
namespace {

constexpr double pi = std::numbers::pi;

Box box_over(std::initializer_list<Point> points) {
  Box b{1e300, 1e300, -1e300, -1e300};
  for (const auto& p : points) b = united(b, {p.x, p.y, p.x, p.y});
  return b;
}

Point on(const Arc& a, double angle) {
  return a.centre + Point{std::cos(angle), std::sin(angle)} * a.radius;
}

Box box(const Line& l) {
  return box_over({l.a, l.b});
}
Box box(const Arc& a) {
  Box b = box_over({on(a, a.from_rad), on(a, a.from_rad + a.sweep_rad)});
  for (int quarter = static_cast<int>(std::ceil(a.from_rad / (pi / 2))); quarter * pi / 2 < a.from_rad + a.sweep_rad;
       ++quarter)
    b = united(b, box_over({on(a, quarter * pi / 2)}));
  return b;
}
Box box(const Polyline& p) {
  Box b{1e300, 1e300, -1e300, -1e300};
  for (std::size_t i = 0; i < p.vertices.size(); ++i) {
    const auto& v = p.vertices[i];
    b = united(b, box_over({v.at}));
    if (v.bulge != 0 && (p.closed || i + 1 < p.vertices.size()))
      b = united(b, box(arc_of(v.at, p.vertices[(i + 1) % p.vertices.size()].at, v.bulge)));
  }
  return b;
}
Box box(const Area& a) {
  Box b{1e300, 1e300, -1e300, -1e300};
  for (const auto& c : a.corners) b = united(b, box_over({c}));
  return b;
}
Box box(const Text& t) {
  const auto c = corners_of(t);
  return box_over({c[0], c[1], c[2], c[3]});
}

} // namespace

Box united(const Box& a, const Box& b) {
  return {std::min(a.left, b.left), std::min(a.bottom, b.bottom), std::max(a.right, b.right), std::max(a.top, b.top)};
}
Box grown(const Box& b, double by) {
  return {b.left - by, b.bottom - by, b.right + by, b.top + by};
}

std::string_view name(Layer layer) {
  constexpr std::array<std::string_view, layer_count> names{"PROFILE",  "OUTLINE",  "HATCHING",  "CENTRE",    "THREAD",
                                                            "ADJACENT", "BOUNDARY", "EXTENSION", "DIMENSION", "LEADER",
                                                            "SYMBOL",   "FRAME",    "WORDS",     "CHART"};
  return names[static_cast<std::size_t>(layer)];
}

Pen pen(Layer layer) {
  constexpr double wide = 0.5, narrow = 0.25;
  switch (layer) {
  case Layer::profile:
  case Layer::outline:
  case Layer::chart:
    return {layer, wide, Dash::continuous, black};
  case Layer::centre:
    return {layer, narrow, Dash::chain, black};
  case Layer::adjacent:
    return {layer, narrow, Dash::phantom, black};
  default:
    return {layer, narrow, Dash::continuous, black};
  }
}

std::vector<double> dashes(const Pen& p) {
  const double w = p.width_mm, dash = 12 * w, long_dash = 24 * w, gap = 3 * w, dot = 2 * w;
  switch (p.dash) {
  case Dash::continuous:
    return {};
  case Dash::dashed:
    return {dash, gap};
  case Dash::chain:
    return {long_dash, gap, dot, gap};
  case Dash::phantom:
    return {long_dash, gap, dot, gap, dot, gap};
  }
  throw std::logic_error("drawing: unknown dash");
}

Arc arc_of(Point a, Point b, double bulge) {
  if (bulge == 0) throw std::logic_error("drawing: arc_of a straight span");
  const Point chord = b - a, middle = (a + b) * 0.5;
  const double k = (1 / bulge - bulge) / 4; // centre's distance from the chord over its length, left of it
  const Point centre = middle + Point{-chord.y, chord.x} * k;
  const Point from = bulge > 0 ? a - centre : b - centre;
  return {centre, std::hypot(from.x, from.y), std::atan2(from.y, from.x), 4 * std::atan(std::abs(bulge)), {}};
}

namespace {

double left_of(const Text& t, double width) {
  return t.align == Align::left ? 0 : t.align == Align::centre ? -width / 2 : -width;
}

} // namespace

Point start_of(const Text& t) {
  return t.at + Point{std::cos(t.angle_rad), std::sin(t.angle_rad)} * left_of(t, measure(t.words, t.height_mm).width);
}

std::array<Point, 4> corners_of(const Text& t) {
  const auto m = measure(t.words, t.height_mm);
  const double left = left_of(t, m.width);
  const double c = std::cos(t.angle_rad), s = std::sin(t.angle_rad);
  const auto place = [&](double x, double y) { return t.at + Point{x * c - y * s, x * s + y * c}; };
  return {place(left, -m.below), place(left + m.width, -m.below), place(left + m.width, m.above), place(left, m.above)};
}

Box box_of(const Text& text) {
  return box(text);
}
Box box_of(const Item& item) {
  return std::visit([](const auto& i) { return box(i); }, item);
}
Box box_of(const Picture& picture) {
  if (picture.items.empty()) throw std::logic_error("drawing: box of an empty picture");
  Box b = box_of(picture.items.front());
  for (const auto& i : picture.items) b = united(b, box_of(i));
  return b;
}

Item moved(const Item& item, Point by) {
  struct Mover {
    Point by;
    Item operator()(Line l) const { return l.a = l.a + by, l.b = l.b + by, l; }
    Item operator()(Arc a) const { return a.centre = a.centre + by, a; }
    Item operator()(Polyline p) const {
      for (auto& v : p.vertices) v.at = v.at + by;
      return p;
    }
    Item operator()(Area a) const {
      for (auto& c : a.corners) c = c + by;
      return a;
    }
    Item operator()(Text t) const { return t.at = t.at + by, t; }
  };
  return std::visit(Mover{by}, item);
}

void Picture::append(const Picture& other, Point moved_by) {
  items.reserve(items.size() + other.items.size());
  for (const auto& i : other.items) items.push_back(moved(i, moved_by));
}

} // namespace chamber::drawing
