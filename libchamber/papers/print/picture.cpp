#include "chamber/papers/print/picture.hpp"
#include <algorithm>
#include <charconv>
#include <cmath>
#include <numbers>

namespace chamber::papers::print {
namespace {

using figure::Box;
using figure::Point;
using figure::Step;
using std::numbers::pi;

/// Saves the context and puts it back.
class Kept {
public:
  explicit Kept(cairo_t* c) : c_(c) { cairo_save(c_); }
  ~Kept() { cairo_restore(c_); }
  Kept(const Kept&) = delete;
  Kept& operator=(const Kept&) = delete;

private:
  cairo_t* c_;
};

/// Scales by itself: under a scaled matrix, cairo would write that matrix into the file before each line.
class Painter {
public:
  Painter(const Press& press, const figure::Figure& f, cairo_t* c, Point at, double scale)
      : press_(press), f_(f), c_(c), at_(at), k_(scale) {}

  void all() {
    const Kept kept(c_);
    rectangle(f_.view);
    cairo_clip(c_);
    if (f_.on_white) {
      rectangle(f_.view);
      cairo_set_source_rgb(c_, 1, 1, 1);
      cairo_fill(c_);
    }
    for (const auto& item : f_.items) std::visit(*this, item);
  }

  void operator()(const figure::Shape& s) {
    const Kept kept(c_);
    if (s.clipped) {
      rectangle(f_.clip);
      cairo_clip(c_);
    }
    if (s.fill) fill(s.path, *s.fill);
    if (!s.stroke) return;
    path(s.path);
    source(s.stroke->ink, 1);
    auto dashes = s.stroke->dashes;
    for (auto& d : dashes) d *= k_;
    cairo_set_dash(c_, dashes.data(), static_cast<int>(dashes.size()), 0);
    cairo_set_line_width(c_, s.stroke->width * k_);
    cairo_set_line_join(c_, s.stroke->round ? CAIRO_LINE_JOIN_ROUND : CAIRO_LINE_JOIN_MITER);
    cairo_stroke(c_);
  }

  /// Set in the size of the text around and scaled: a font of one size more would have to be looked up for each
  /// picture.
  void operator()(const figure::Words& w) {
    const Paragraph p(press_, {{w.text, {body_size, w.bold, false, grey(w.ink)}}});
    const Kept kept(c_);
    const auto at = placed(w.at);
    cairo_translate(c_, at.x, at.y);
    if (w.upwards) cairo_rotate(c_, -pi / 2);
    const double k = w.size * k_ / body_size;
    cairo_scale(c_, k, k);
    const double left = w.anchor == figure::Anchor::start ? 0 : w.anchor == figure::Anchor::middle ? 0.5 : 1;
    p.draw(c_, -left * p.width(), -p.baseline());
  }

private:
  Point placed(Point p) const { return {at_.x + (p.x - f_.view.x) * k_, at_.y + (p.y - f_.view.y) * k_}; }

  void rectangle(const Box& b) {
    const auto p = placed({b.x, b.y});
    cairo_rectangle(c_, p.x, p.y, b.width * k_, b.height * k_);
  }

  void path(const figure::Path& from) {
    Point begin{}, last{};
    for (const auto& s : from.steps()) {
      const auto to = placed(s.to);
      switch (s.kind) {
      case Step::Kind::move:
        cairo_move_to(c_, to.x, to.y);
        begin = to;
        break;
      case Step::Kind::line:
        cairo_line_to(c_, to.x, to.y);
        break;
      case Step::Kind::arc:
        arc(last, to, s);
        break;
      case Step::Kind::close:
        cairo_close_path(c_);
        last = begin;
        continue;
      }
      last = to;
    }
  }

  void arc(Point from, Point to, const Step& s) {
    const double dx = to.x - from.x, dy = to.y - from.y, chord = std::hypot(dx, dy);
    if (chord == 0) return;
    const double radius = std::max(s.radius * k_, chord / 2);
    // Seen with y down: the centre of a small clockwise arc lies to the right of its chord.
    const double off = std::sqrt(std::max(0.0, radius * radius - chord * chord / 4)) / chord;
    const double side = s.clockwise != s.large ? off : -off;
    const Point centre{(from.x + to.x) / 2 - side * dy, (from.y + to.y) / 2 + side * dx};
    const double begin = std::atan2(from.y - centre.y, from.x - centre.x),
                 end = std::atan2(to.y - centre.y, to.x - centre.x);
    if (s.clockwise)
      cairo_arc(c_, centre.x, centre.y, radius, begin, end);
    else
      cairo_arc_negative(c_, centre.x, centre.y, radius, begin, end);
  }

  void fill(const figure::Path& p, const figure::Fill& how) {
    const Kept kept(c_);
    path(p);
    source(how.ink, how.opacity);
    if (!how.hatching) return cairo_fill(c_);
    double x0 = 0, y0 = 0, x1 = 0, y1 = 0;
    cairo_path_extents(c_, &x0, &y0, &x1, &y1);
    cairo_clip(c_);
    // Lines of one x + y, counted from the figure's origin as an SVG's pattern is.
    const double step = how.hatching->pitch * std::numbers::sqrt2 * k_;
    const auto origin = placed({0, 0});
    const double first = origin.x + origin.y + step / 2;
    for (double sum = first + std::ceil((x0 + y0 - first) / step) * step; sum < x1 + y1; sum += step) {
      cairo_move_to(c_, sum - y1, y1);
      cairo_line_to(c_, sum - y0, y0);
    }
    cairo_set_line_width(c_, how.hatching->width * k_);
    cairo_stroke(c_);
  }

  static double part(std::string_view colour, std::size_t which) {
    unsigned value = 0;
    std::from_chars(colour.data() + 1 + 2 * which, colour.data() + 3 + 2 * which, value, 16);
    return value / 255.0;
  }
  static double grey(const figure::Ink& ink) { return part(ink.colour, 1); }
  void source(const figure::Ink& ink, double opacity) {
    cairo_set_source_rgba(c_, part(ink.colour, 0), part(ink.colour, 1), part(ink.colour, 2), opacity);
  }

  const Press& press_;
  const figure::Figure& f_;
  cairo_t* c_;
  Point at_;
  double k_;
};

} // namespace

Block picture(const Press& press, const figure::Figure& figure, double width, double most_height) {
  const double shape = figure::aspect(figure), w = std::min(width, most_height * shape);
  Block out;
  out.height = w / shape;
  out.draw = [&press, &figure, w, width](cairo_t* c, double x, double y) {
    Painter(press, figure, c, {x + (width - w) / 2, y}, w / figure.view.width).all();
  };
  return out;
}

} // namespace chamber::papers::print
