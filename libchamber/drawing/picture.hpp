#pragma once
// One flat picture as a short list of lines, arcs, areas and words; every file format is written from it.
// Sheet coordinates: millimetres on the paper, x to the right and y up from the lower left corner.
#include <array>
#include <numbers>
#include <string>
#include <variant>
#include <vector>

namespace chamber::drawing {

/// A point on the sheet, mm.
struct Point {
  double x = 0, y = 0;
};
inline Point operator+(const Point& a, const Point& b) {
  return {a.x + b.x, a.y + b.y};
}
inline Point operator-(const Point& a, const Point& b) {
  return {a.x - b.x, a.y - b.y};
}
inline Point operator*(const Point& a, double k) {
  return {a.x * k, a.y * k};
}

/// Upright box on the sheet, mm.
struct Box {
  double left = 0, bottom = 0, right = 0, top = 0;
  double width() const { return right - left; }
  double height() const { return top - bottom; }
};
Box united(const Box& a, const Box& b);
Box grown(const Box& b, double by);
inline bool overlap(const Box& a, const Box& b) {
  return a.left < b.right && b.left < a.right && a.bottom < b.top && b.bottom < a.top;
}

/// What a line or word is; gives it its pen by default and its layer in a DXF file.
enum class Layer {
  profile,   ///< the chamber's meridian, to be cut: exact, and once only
  outline,   ///< visible edges
  hatching,  ///< cut metal
  centre,    ///< axes
  thread,    ///< crests of threads
  adjacent,  ///< outlines of neighbouring parts
  boundary,  ///< where a part view is broken off
  extension, ///< extension lines of dimensions
  dimension, ///< dimension lines with their arrows and words
  leader,    ///< leaders and their words
  symbol,    ///< surface finish, datum, projection
  frame,     ///< frame, title block, tables
  words,     ///< words in them
  chart,     ///< curves of a chart
};
inline constexpr std::size_t layer_count = 14;
std::string_view name(Layer layer); ///< "PROFILE"

/// ISO 128-2: continuous, dashed, long-dashed dotted (axes), long-dashed double-dotted (neighbouring parts).
enum class Dash { continuous, dashed, chain, phantom };

/// 0 to 1 each.
struct Colour {
  double red = 0, green = 0, blue = 0;
};
inline constexpr Colour black{}, white{1, 1, 1};

struct Pen {
  Layer layer = Layer::outline;
  double width_mm = 0.25;
  Dash dash = Dash::continuous;
  Colour colour = black;
};
/// ISO 128-2, line group 0.5: wide lines 0.5 mm, narrow lines 0.25 mm.
Pen pen(Layer layer);
/// Marks and gaps in turn, mm: dash 12, long dash 24, gap 3, dot 2 widths (ISO 128-2, a dot long enough to be seen);
/// none for a continuous line.
std::vector<double> dashes(const Pen& pen);

struct Line {
  Point a, b;
  Pen pen;
};

/// Part of a circle, anticlockwise from `from_rad` by `sweep_rad` > 0 (2 pi: the whole circle).
struct Arc {
  Point centre;
  double radius = 0, from_rad = 0, sweep_rad = 2 * std::numbers::pi;
  Pen pen;
};

/// `bulge`: tangent of a quarter of the angle turned on the way to the next vertex, positive anticlockwise; 0:
/// straight.
struct Vertex {
  Point at;
  double bulge = 0;
};
struct Polyline {
  std::vector<Vertex> vertices;
  bool closed = false;
  Pen pen;
};

/// A filled polygon without an outline: arrowheads, bands of a chart.
struct Area {
  std::vector<Point> corners;
  Colour fill = black;
  Layer layer = Layer::dimension;
};

enum class Align { left, centre, right };

/// Words on one line; `at` lies on the base line, at the side named by `align`.
struct Text {
  Point at;
  std::string words;      ///< UTF-8
  double height_mm = 2.5; ///< of a capital letter (ISO 3098)
  Align align = Align::left;
  double angle_rad = 0; ///< anticlockwise
  Layer layer = Layer::words;
  Colour colour = black;
};

using Item = std::variant<Line, Arc, Polyline, Area, Text>;

struct Picture {
  std::string title; ///< the document's title in PDF
  double width_mm = 210, height_mm = 297;
  std::vector<Item> items; ///< later ones lie over earlier ones

  template <class T>
  void add(T item) {
    items.emplace_back(std::move(item));
  }
  void append(const Picture& other, Point moved_by = {});
};

/// The item, moved.
Item moved(const Item& item, Point by);

/// Where the words begin, on the base line.
Point start_of(const Text& text);
/// Four corners of the words as printed (their ink), anticlockwise from the lower left one.
std::array<Point, 4> corners_of(const Text& text);
/// Upright box over the words' ink.
Box box_of(const Text& text);
/// Box over everything, pen widths left out. The picture must not be empty.
Box box_of(const Picture& picture);
Box box_of(const Item& item);

/// Centre, radius and angles of a bulged span from a to b; bulge not 0. Angles as in Arc.
Arc arc_of(Point a, Point b, double bulge);

} // namespace chamber::drawing
