#pragma once
// What lies over what on a sheet: every word against every other word, every line and every arrowhead, dimension lines
// and leaders against each other, arcs of angles against outlines too.
#include "chamber/drawing/sheet.hpp"
#include <cmath>
#include <string>

namespace chamber::drawing::testing {

struct Stroke {
  Point a, b;
  Layer layer;
};

inline void flatten(const Arc& a, Layer layer, std::vector<Stroke>& out) {
  constexpr int n = 48;
  const auto on = [&](int i) {
    const double angle = a.from_rad + a.sweep_rad * i / n;
    return a.centre + Point{std::cos(angle), std::sin(angle)} * a.radius;
  };
  for (int i = 0; i < n; ++i) out.push_back({on(i), on(i + 1), layer});
}

inline std::vector<Stroke> strokes_of(const Picture& picture) {
  std::vector<Stroke> out;
  for (const auto& item : picture.items) {
    if (const auto* l = std::get_if<Line>(&item)) out.push_back({l->a, l->b, l->pen.layer});
    if (const auto* a = std::get_if<Arc>(&item)) flatten(*a, a->pen.layer, out);
    if (const auto* p = std::get_if<Polyline>(&item))
      for (std::size_t i = 0; i + (p->closed ? 0 : 1) < p->vertices.size(); ++i) {
        const auto& v = p->vertices[i];
        const auto& w = p->vertices[(i + 1) % p->vertices.size()].at;
        if (v.bulge == 0)
          out.push_back({v.at, w, p->pen.layer});
        else
          flatten(arc_of(v.at, w, v.bulge), p->pen.layer, out);
      }
  }
  return out;
}

/// Whether the segment comes into the box (Cohen and Sutherland's outcodes, then sides of the corners).
inline bool enters(const Stroke& s, const Box& k) {
  const auto code = [&](Point p) {
    return (p.x <= k.left ? 1 : 0) | (p.x >= k.right ? 2 : 0) | (p.y <= k.bottom ? 4 : 0) | (p.y >= k.top ? 8 : 0);
  };
  const int a = code(s.a), b = code(s.b);
  if (a & b) return false;
  if (a == 0 || b == 0) return true;
  int left = 0, right = 0;
  for (const Point c : {Point{k.left, k.bottom}, {k.right, k.bottom}, {k.right, k.top}, {k.left, k.top}}) {
    const double side = (s.b.x - s.a.x) * (c.y - s.a.y) - (s.b.y - s.a.y) * (c.x - s.a.x);
    ++(side > 0 ? left : right);
  }
  return left > 0 && right > 0;
}

inline bool cross_inside(const Stroke& p, const Stroke& q) {
  const auto side = [](Point a, Point b, Point c) { return (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x); };
  constexpr double touch = 1e-6;
  const double s = side(p.a, p.b, q.a), t = side(p.a, p.b, q.b), u = side(q.a, q.b, p.a), v = side(q.a, q.b, p.b);
  return s * t < -touch && u * v < -touch;
}

/// Everything wrong with the page, in words; empty if nothing is.
inline std::vector<std::string> collisions(const Picture& page) {
  std::vector<std::string> out;
  std::vector<std::pair<Box, std::string>> words;
  for (const auto& item : page.items)
    if (const auto* t = std::get_if<Text>(&item)) words.emplace_back(box_of(*t), t->words);
  const auto strokes = strokes_of(page);
  const auto name_of = [](const Stroke& s) { return std::string(name(s.layer)); };
  for (std::size_t i = 0; i < words.size(); ++i) {
    const Box& w = words[i].first;
    if (w.left < 20 || w.bottom < 10 || w.right > page.width_mm - 10 || w.top > page.height_mm - 10)
      out.push_back("\"" + words[i].second + "\" leaves the frame");
    for (std::size_t k = i + 1; k < words.size(); ++k) {
      const Box& v = words[k].first;
      if (w.left < v.right && v.left < w.right && w.bottom < v.top && v.bottom < w.top)
        out.push_back("\"" + words[i].second + "\" over \"" + words[k].second + "\"");
    }
    for (const auto& s : strokes)
      if (enters(s, w)) out.push_back("\"" + words[i].second + "\" on a line of " + name_of(s));
    for (const auto& item : page.items)
      if (const auto* a = std::get_if<Area>(&item); a && a->layer == Layer::dimension)
        for (std::size_t k = 0; k < a->corners.size(); ++k)
          if (enters({a->corners[k], a->corners[(k + 1) % a->corners.size()], a->layer}, w)) {
            out.push_back("\"" + words[i].second + "\" on an arrow or dot");
            break;
          }
  }
  for (const auto& item : page.items)
    if (const auto* a = std::get_if<Arc>(&item); a && a->pen.layer == Layer::dimension) {
      std::vector<Stroke> arc;
      flatten(*a, Layer::dimension, arc);
      for (const auto& p : arc)
        for (const auto& q : strokes)
          if (q.layer == Layer::outline && cross_inside(p, q)) out.push_back("the arc of an angle crosses an outline");
    }
  for (std::size_t i = 0; i < strokes.size(); ++i)
    for (std::size_t k = i + 1; k < strokes.size(); ++k) {
      const auto a = strokes[i].layer, b = strokes[k].layer;
      if (a != b || (a != Layer::dimension && a != Layer::leader)) continue;
      if (cross_inside(strokes[i], strokes[k])) out.push_back("two lines of " + name_of(strokes[i]) + " cross");
    }
  return out;
}

} // namespace chamber::drawing::testing
