#include "chamber/drawing/board.hpp"
#include "chamber/drawing/font.hpp"

// Tolerance frames after ISO 1101: compartments for symbol, tolerance and datum, twice as high as their letters.

namespace chamber::drawing::detail {
namespace {

double cell(const std::string& words) {
  return std::max(frame_height, measure(words, word_height).width + 2.5);
}

std::vector<std::string> cells_of(const ToleranceFrame& f) {
  std::vector<std::string> out{f.symbol, f.value};
  if (!f.datum.empty()) out.push_back(f.datum);
  return out;
}

} // namespace

double width_of(const ToleranceFrame& f) {
  double width = 0;
  for (const auto& words : cells_of(f)) width += cell(words);
  return width;
}

void draw_frame(Picture& p, Point at, const ToleranceFrame& f) {
  const auto k = pen(Layer::symbol);
  const Point right{width_of(f), 0}, up{0, frame_height};
  p.add(Line{at, at + right, k});
  p.add(Line{at + up, at + up + right, k});
  p.add(Line{at, at + up, k});
  for (const auto& words : cells_of(f)) {
    const double w = cell(words);
    p.add(Text{at + Point{w / 2, (frame_height - word_height) / 2}, words, word_height, Align::centre, 0, Layer::symbol,
               black});
    at = at + Point{w, 0};
    p.add(Line{at, at + up, k});
  }
}

} // namespace chamber::drawing::detail
