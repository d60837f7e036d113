#include "chamber/figure/figure.hpp"
#include <cmath>
#include <stdexcept>

namespace chamber::figure {

Path& Path::add(const Step& s) {
  if (!std::isfinite(s.to.x) || !std::isfinite(s.to.y) || !std::isfinite(s.radius))
    throw std::logic_error("figure: a coordinate is not a finite number");
  steps_.push_back(s);
  return *this;
}

Path& Path::append(const Path& other) {
  steps_.insert(steps_.end(), other.steps_.begin(), other.steps_.end());
  return *this;
}

Path& Path::rectangle(const Box& b) {
  return move(b.x, b.y).line(b.x + b.width, b.y).line(b.x + b.width, b.y + b.height).line(b.x, b.y + b.height).close();
}

Path& Path::circle(Point c, double radius) {
  return move(c.x - radius, c.y)
      .arc(radius, false, true, c.x + radius, c.y)
      .arc(radius, false, true, c.x - radius, c.y)
      .close();
}

void Figure::shape(Path path, std::optional<Fill> fill, std::optional<Stroke> stroke, bool clipped) {
  if (!path.empty()) items.emplace_back(Shape{std::move(path), fill, std::move(stroke), clipped});
}

void Figure::line(Point from, Point to, Stroke stroke) {
  shape(Path().move(from.x, from.y).line(to.x, to.y), {}, std::move(stroke));
}

double aspect(const Figure& f) {
  if (!(f.view.width > 0) || !(f.view.height > 0)) throw std::logic_error("figure: it shows nothing");
  return f.view.width / f.view.height;
}

double text_width(std::string_view text, double size) {
  double ems = 0;
  for (const char c : text) {
    if ((static_cast<unsigned char>(c) & 0xc0) == 0x80) continue; // not the first byte of its character
    // Widths of DejaVu Sans, rounded up: the widest of the common ones.
    if (std::string_view(" .,:;'|!ilj()[]-").find(c) != std::string_view::npos)
      ems += 0.4;
    else if (std::string_view("mwMW%").find(c) != std::string_view::npos)
      ems += 0.99;
    else
      ems += c >= 'A' && c <= 'Z' ? 0.75 : 0.64;
  }
  return ems * size;
}

} // namespace chamber::figure
