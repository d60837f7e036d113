#include "chamber/figure/figure.hpp"
#include "chamber/units/markup.hpp"
#include <cmath>
#include <fmt/format.h>
#include <iterator>
#include <stdexcept>

namespace chamber::figure {
namespace {

using units::append_decimal;

std::string_view screen(const Ink& ink) {
  return ink.on_screen.empty() ? ink.colour : ink.on_screen;
}

class Writer {
public:
  Writer(const Figure& f, std::string_view ids) : f_(f), ids_(ids) {}

  std::string whole() {
    for (const auto& item : f_.items) std::visit(*this, item);
    const auto& v = f_.view;
    std::string out = "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"";
    numbers(out, {v.x, v.y, v.width, v.height});
    out += '"';
    if (f_.width_px > 0) {
      attribute(out, "width", f_.width_px);
      attribute(out, "height", f_.width_px / aspect(f_));
    }
    out += " role=\"img\" aria-label=\"" + units::xml_escaped(f_.says) + "\" font-family=\"system-ui, sans-serif\">\n";
    if (clipped_) {
      defs_ += fmt::format("<clipPath id=\"{}clip\">", ids_);
      rectangle(defs_, f_.clip);
      defs_ += "/></clipPath>\n";
    }
    if (!defs_.empty()) out += "<defs>" + defs_ + "</defs>\n";
    if (f_.on_white) {
      rectangle(out, v);
      out += " fill=\"#ffffff\"/>\n";
    }
    return out + body_ + "</svg>\n";
  }

  void operator()(const Shape& s) {
    body_ += "<path d=\"";
    for (const auto& step : s.path.steps()) put(step);
    body_ += "\" fill=\"";
    body_ += !s.fill ? "none" : s.fill->hatching ? pattern(*s.fill) : std::string(screen(s.fill->ink));
    body_ += '"';
    if (s.fill && !s.fill->hatching && s.fill->opacity < 1) attribute(body_, "fill-opacity", s.fill->opacity);
    if (s.stroke) {
      fmt::format_to(std::back_inserter(body_), " stroke=\"{}\"", screen(s.stroke->ink));
      attribute(body_, "stroke-width", s.stroke->width);
      if (s.stroke->round) body_ += " stroke-linejoin=\"round\"";
      if (!s.stroke->dashes.empty()) {
        body_ += " stroke-dasharray=\"";
        numbers(body_, s.stroke->dashes);
        body_ += '"';
      }
    }
    if (s.clipped) fmt::format_to(std::back_inserter(body_), " clip-path=\"url(#{}clip)\"", ids_);
    clipped_ = clipped_ || s.clipped;
    body_ += "/>\n";
  }

  void operator()(const Words& w) {
    body_ += "<text";
    attribute(body_, "x", w.at.x);
    attribute(body_, "y", w.at.y);
    attribute(body_, "font-size", w.size);
    if (w.anchor != Anchor::start)
      body_ += w.anchor == Anchor::middle ? " text-anchor=\"middle\"" : " text-anchor=\"end\"";
    if (w.bold) body_ += " font-weight=\"bold\"";
    if (w.upwards) {
      body_ += " transform=\"rotate(-90 ";
      numbers(body_, {w.at.x, w.at.y});
      body_ += ")\"";
    }
    fmt::format_to(std::back_inserter(body_), " fill=\"{}\">{}</text>\n", screen(w.ink), units::xml_escaped(w.text));
  }

private:
  static void numbers(std::string& out, const std::vector<double>& values) {
    bool first = true;
    for (const double v : values) {
      if (!first) out += ' ';
      first = false;
      append_decimal(out, v, 2);
    }
  }
  static void attribute(std::string& out, std::string_view name, double value) {
    fmt::format_to(std::back_inserter(out), " {}=\"", name);
    append_decimal(out, value, 2);
    out += '"';
  }
  static void rectangle(std::string& out, const Box& b) {
    out += "<rect";
    for (const auto& [name, value] : {std::pair{"x", b.x}, {"y", b.y}, {"width", b.width}, {"height", b.height}})
      attribute(out, name, value);
  }

  void put(const Step& s) {
    switch (s.kind) {
    case Step::Kind::close:
      body_ += 'Z';
      return;
    case Step::Kind::move:
      body_ += 'M';
      break;
    case Step::Kind::line:
      body_ += 'L';
      break;
    case Step::Kind::arc:
      body_ += 'A';
      numbers(body_, {s.radius, s.radius});
      body_ += s.large ? " 0 1 " : " 0 0 ";
      body_ += s.clockwise ? "1 " : "0 ";
      break;
    }
    append_decimal(body_, s.to.x, 2);
    body_ += ' ';
    append_decimal(body_, s.to.y, 2);
  }

  /// The fill's pattern, defined on the way: one for each hatching.
  std::string pattern(const Fill& fill) {
    std::string look, size;
    append_decimal(size, fill.hatching->pitch, 2);
    std::string middle;
    append_decimal(middle, fill.hatching->pitch / 2, 3);
    look = fmt::format("width=\"{0}\" height=\"{0}\" patternUnits=\"userSpaceOnUse\" "
                       "patternTransform=\"rotate(45)\"><path d=\"M{1} 0V{0}\" stroke=\"{2}\"",
                       size, middle, screen(fill.ink));
    attribute(look, "stroke-width", fill.hatching->width);
    attribute(look, "stroke-opacity", fill.opacity);
    std::size_t k = 0;
    while (k < patterns_.size() && patterns_[k] != look) ++k;
    const auto id = fmt::format("{}hatching{}", ids_, k + 1);
    if (k == patterns_.size()) {
      defs_ += fmt::format("<pattern id=\"{}\" {}/></pattern>\n", id, look);
      patterns_.push_back(std::move(look));
    }
    return "url(#" + id + ")";
  }

  const Figure& f_;
  std::string_view ids_;
  std::string body_, defs_;
  std::vector<std::string> patterns_;
  bool clipped_ = false;
};

} // namespace

std::string to_svg(const Figure& figure, std::string_view ids) {
  return Writer(figure, ids).whole();
}

} // namespace chamber::figure
