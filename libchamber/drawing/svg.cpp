// SVG. Written here and not by cairo, which rounds the letters' outlines to 1/64 mm, turns arcs into splines and knows
// no layers; and a sheet takes it ten times as long.
#include "chamber/drawing/files.hpp"
#include "chamber/drawing/font.hpp"
#include "chamber/drawing/font_file.hpp"
#include "chamber/units/markup.hpp"
#include <cmath>
#include <fmt/format.h>
#include <iterator>
#include <map>
#include FT_OUTLINE_H

namespace chamber::drawing {
namespace {

/// With a space before it.
void number(std::string& out, double value) {
  out += ' ';
  units::append_decimal(out, value, 3);
}

std::string colour(const Colour& c) {
  const auto byte = [](double v) { return static_cast<int>(std::lround(255 * v)); };
  return fmt::format("#{:02x}{:02x}{:02x}", byte(c.red), byte(c.green), byte(c.blue));
}

/// A letter: its outline in the font's units, y down as in SVG, and how far it is to the next.
struct Letter {
  std::string path;
  long advance = 0;
};

Letter letter(FT_Face face, char32_t c) {
  Letter out;
  if (FT_Load_Char(face, c, FT_LOAD_NO_SCALE) != 0) return out;
  out.advance = face->glyph->metrics.horiAdvance;
  const auto put = [](void* to, char command, std::initializer_list<const FT_Vector*> points) {
    auto& path = *static_cast<std::string*>(to);
    path += command;
    for (const auto* p : points) fmt::format_to(std::back_inserter(path), "{} {} ", p->x, -p->y);
    path.back() = '\n'; // keeps lines short
    return 0;
  };
  static constexpr auto add = put;
  const FT_Outline_Funcs funcs{[](const FT_Vector* a, void* to) { return add(to, 'M', {a}); },
                               [](const FT_Vector* a, void* to) { return add(to, 'L', {a}); },
                               [](const FT_Vector* a, const FT_Vector* b, void* to) {
                                 return add(to, 'Q', {a, b});
                               },
                               [](const FT_Vector* a, const FT_Vector* b, const FT_Vector* d, void* to) {
                                 return add(to, 'C', {a, b, d});
                               },
                               0,
                               0};
  FT_Outline_Decompose(&face->glyph->outline, &funcs, &out.path);
  if (!out.path.empty()) out.path += 'Z';
  return out;
}

class Writer {
public:
  explicit Writer(const Picture& picture) : picture_(picture), font_(*detail::font_file()) {}

  std::string whole() {
    for (const auto& item : picture_.items) std::visit(*this, item);
    close();
    std::string out = R"(<?xml version="1.0" encoding="UTF-8"?>
<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" version="1.1" width=")";
    fmt::format_to(std::back_inserter(out), "{0}mm\" height=\"{1}mm\" viewBox=\"0 0 {0} {1}\">\n<title>",
                   picture_.width_mm, picture_.height_mm);
    out += units::xml_escaped(picture_.title);
    out += "</title>\n<defs>\n";
    for (const auto& [c, l] : letters_)
      if (!l.path.empty())
        fmt::format_to(std::back_inserter(out), "<path id=\"u{:x}\" d=\"{}\"/>\n", static_cast<unsigned>(c), l.path);
    return out + "</defs>\n" + body_ + "</svg>\n";
  }

  void operator()(const Line& l) {
    open(l.pen);
    start(l.a);
    point('L', l.b);
    end();
  }
  void operator()(const Arc& a) {
    open(a.pen);
    const auto on = [&](double angle) { return a.centre + Point{std::cos(angle), std::sin(angle)} * a.radius; };
    const double middle = a.from_rad + a.sweep_rad / 2, last = a.from_rad + a.sweep_rad;
    start(on(a.from_rad));
    arc(a.radius, false, true, on(middle)); // in halves: a whole circle's ends are one point
    arc(a.radius, false, true, on(last));
    end();
  }
  void operator()(const Polyline& p) {
    if (p.vertices.empty()) return;
    open(p.pen);
    start(p.vertices[0].at);
    const auto count = p.vertices.size() - (p.closed ? 0 : 1);
    for (std::size_t i = 0; i < count; ++i) {
      const auto& v = p.vertices[i];
      const auto& next = p.vertices[(i + 1) % p.vertices.size()].at;
      if (v.bulge == 0)
        point('L', next);
      else
        arc(arc_of(v.at, next, v.bulge).radius, std::abs(v.bulge) > 1, v.bulge > 0, next);
    }
    if (p.closed) body_ += 'Z';
    end();
  }
  void operator()(const Area& a) {
    if (a.corners.empty()) return;
    fill(a.layer, a.fill);
    start(a.corners[0]);
    for (std::size_t i = 1; i < a.corners.size(); ++i) point('L', a.corners[i]);
    body_ += 'Z';
    end();
  }
  void operator()(const Text& t) {
    const auto words = printable(t.words);
    fill(t.layer, t.colour);
    body_ += "<g role=\"img\" aria-label=\"";
    body_ += units::xml_escaped(words);
    body_ += "\" transform=\"translate(";
    pair(start_of(t));
    body_ += ')';
    if (t.angle_rad != 0) fmt::format_to(std::back_inserter(body_), "rotate({:.6g})", -t.angle_rad * 180 / pi);
    fmt::format_to(std::back_inserter(body_), "scale({:.6g})\">",
                   t.height_mm * font_.em_per_height / static_cast<double>(font_.face->units_per_EM));
    long x = 0;
    for (const char32_t c : code_points(words)) {
      const auto& l = known(c);
      if (!l.path.empty())
        fmt::format_to(std::back_inserter(body_), "<use x=\"{}\" xlink:href=\"#u{:x}\"/>", x, static_cast<unsigned>(c));
      x += l.advance;
    }
    body_ += "</g>\n";
  }

private:
  static constexpr double pi = std::numbers::pi;

  const Letter& known(char32_t c) {
    const auto [found, is_new] = letters_.try_emplace(c);
    if (is_new) {
      const std::lock_guard lock(detail::font_lock());
      found->second = letter(font_.face, c);
    }
    return found->second;
  }

  /// Neighbours that look alike share one group.
  void group(std::string attributes) {
    if (attributes == group_) return;
    close();
    group_ = std::move(attributes);
    body_ += "<g" + group_ + ">\n";
  }
  void close() {
    if (!group_.empty()) body_ += "</g>\n";
    group_.clear();
  }
  void fill(Layer layer, const Colour& c) { group(fmt::format(" class=\"{}\" fill=\"{}\"", name(layer), colour(c))); }
  void open(const Pen& p) {
    auto look = fmt::format(" class=\"{}\" fill=\"none\" stroke=\"{}\" stroke-width=\"{}\" stroke-linejoin=\"round\"",
                            name(p.layer), colour(p.colour), p.width_mm);
    const auto pattern = dashes(p);
    look += pattern.empty() ? " stroke-linecap=\"round\"" : " stroke-dasharray=\"";
    for (const double d : pattern) number(look, d);
    if (!pattern.empty()) look += '"';
    group(std::move(look));
  }

  void pair(Point p) {
    number(body_, p.x);
    number(body_, picture_.height_mm - p.y);
  }
  void start(Point p) {
    body_ += "<path d=\"";
    point('M', p);
  }
  void point(char command, Point p) {
    body_ += command;
    pair(p);
  }
  void arc(double radius, bool large, bool anticlockwise, Point to) {
    body_ += 'A';
    number(body_, radius);
    number(body_, radius);
    body_ += large ? " 0 1" : " 0 0";
    body_ += anticlockwise ? " 0" : " 1"; // seen with y running down
    pair(to);
  }
  void end() { body_ += "\"/>\n"; }

  const Picture& picture_;
  detail::FontFile& font_;
  std::map<char32_t, Letter> letters_;
  std::string body_, group_;
};

} // namespace

Result<std::string> to_svg(const Picture& picture) {
  if (auto ok = font_ready(); !ok) return tl::unexpected(ok.error());
  return Writer(picture).whole();
}

} // namespace chamber::drawing
