#include "chamber/papers/print/block.hpp"
#include <algorithm>

namespace chamber::papers::print {
namespace {

/// Into how many columns no higher than `limit` they go.
int columns_of(const Blocks& blocks, double limit) {
  int count = 1;
  double y = 0;
  for (const auto& b : blocks) {
    const double end = y > 0 ? y + b.before + b.height : b.height;
    if (y > 0 && end > limit)
      ++count, y = b.height;
    else
      y = end;
  }
  return count;
}

double height_of(const Blocks& blocks) {
  double y = 0;
  for (const auto& b : blocks) y += (y > 0 ? b.before : 0) + b.height;
  return y;
}

} // namespace

Block words(Paragraph paragraph, double before) {
  const double height = paragraph.height();
  return {height, before,  [p = std::move(paragraph)](cairo_t* c, double x, double y) { p.draw(c, x, y); },
          false,  nullptr, ""};
}

Block stack(Blocks blocks) {
  Block out;
  out.height = height_of(blocks);
  if (!blocks.empty()) out.before = blocks.front().before;
  out.draw = [parts = std::move(blocks)](cairo_t* c, double x, double y) {
    double at = 0;
    for (const auto& b : parts) {
      at += at > 0 ? b.before : 0;
      b.draw(c, x, y + at);
      at += b.height;
    }
  };
  return out;
}

Block beside(std::vector<At> blocks) {
  Block out;
  for (const auto& b : blocks) {
    out.height = std::max(out.height, b.block.height);
    out.before = std::max(out.before, b.block.before);
  }
  out.draw = [parts = std::move(blocks)](cairo_t* c, double x, double y) {
    for (const auto& b : parts) b.block.draw(c, x + b.x, y);
  };
  return out;
}

Block columns(const Blocks& blocks, int count, double width, double gap) {
  double low = 0, high = height_of(blocks);
  for (const auto& b : blocks) low = std::max(low, b.height);
  while (high - low > 0.5) {
    const double middle = (low + high) / 2;
    (columns_of(blocks, middle) <= count ? high : low) = middle;
  }
  const double each = (width - gap * (count - 1)) / count;
  std::vector<At> out;
  Blocks column;
  for (const auto& b : blocks) {
    Blocks longer = column;
    longer.push_back(b);
    if (!column.empty() && height_of(longer) > high) {
      out.push_back({(each + gap) * static_cast<double>(out.size()), stack(std::move(column))});
      longer = {b};
    }
    column = std::move(longer);
  }
  if (!column.empty()) out.push_back({(each + gap) * static_cast<double>(out.size()), stack(std::move(column))});
  return beside(std::move(out));
}

Blocks together(Blocks blocks) {
  for (std::size_t i = 0; i + 1 < blocks.size(); ++i) blocks[i].keeps_next = true;
  return blocks;
}

void add(Blocks& to, Blocks more) {
  to.insert(to.end(), std::make_move_iterator(more.begin()), std::make_move_iterator(more.end()));
}

void rule(cairo_t* c, double x0, double y0, double x1, double y1, double width, double grey) {
  cairo_set_source_rgb(c, grey, grey, grey);
  cairo_set_line_width(c, width);
  cairo_move_to(c, x0, y0);
  cairo_line_to(c, x1, y1);
  cairo_stroke(c);
}

} // namespace chamber::papers::print
