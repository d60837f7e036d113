#include "chamber/papers/print/table.hpp"
#include <algorithm>
#include <numeric>

namespace chamber::papers::print {
namespace {

constexpr double frame_grey = 0.4, line_grey = 0.65, head_grey = 0.93, line = 0.4;

using Cells = std::vector<Paragraph>;

struct Grid {
  std::vector<double> x; ///< left edges, and the right end
  bool framed;
  double left, right, pad_y; ///< beside and over the words
};

/// Widths without the padding. What does not wrap keeps its room as long as the others are left a fair one.
std::vector<double> widths_of(const Table& t, std::vector<double> wants, double room) {
  const std::size_t n = wants.size();
  const double all = std::accumulate(wants.begin(), wants.end(), 0.0);
  const auto flexible = [&](std::size_t i) { return t.columns[i].wraps; };
  double fixed = 0, free = 0;
  for (std::size_t i = 0; i < n; ++i) (flexible(i) ? free : fixed) += wants[i];
  if (!(all > 0)) return std::vector<double>(n, room / static_cast<double>(n));
  if (all <= room) { // the rest goes to those that wrap, or to all
    for (std::size_t i = 0; i < n; ++i)
      if (free > 0 ? flexible(i) : true) wants[i] += (room - all) * wants[i] / (free > 0 ? free : all);
    return wants;
  }
  const double left = room - fixed;
  if (free > 0 && left >= std::min(free, 0.25 * room)) {
    // The short ones among those that wrap keep their lines, even for a little more than their share.
    std::vector<std::size_t> open;
    for (std::size_t i = 0; i < n; ++i)
      if (flexible(i)) open.push_back(i);
    std::sort(open.begin(), open.end(), [&](auto a, auto b) { return wants[a] < wants[b]; });
    double rest = left;
    for (std::size_t k = 0; k < open.size(); ++k) {
      const double others = static_cast<double>(open.size() - k), share = rest / others * (others > 1 ? 1.2 : 1);
      wants[open[k]] = std::min(wants[open[k]], share);
      rest -= wants[open[k]];
    }
    return wants;
  }
  for (auto& w : wants) w *= room / all;
  return wants;
}

Block row(Cells cells, const Grid& g, double least, bool head, bool first) {
  Block out;
  for (std::size_t i = 0; i < cells.size(); ++i) {
    cells[i].wrap(g.x[i + 1] - g.x[i] - g.left - g.right);
    out.height = std::max(out.height, cells[i].height() + 2 * g.pad_y);
  }
  out.height = std::max(out.height, least);
  out.draw = [=, cells = std::move(cells), height = out.height](cairo_t* c, double x, double y) {
    if (head) {
      cairo_set_source_rgb(c, head_grey, head_grey, head_grey);
      cairo_rectangle(c, x, y, g.x.back(), height);
      cairo_fill(c);
    }
    for (std::size_t i = 0; i < cells.size(); ++i) {
      const double over = least > 0 ? (height - cells[i].height()) / 2 : g.pad_y;
      cells[i].draw(c, x + g.x[i] + g.left, y + over);
    }
    const double right = x + g.x.back(), grey = g.framed ? frame_grey : line_grey;
    cairo_set_source_rgb(c, grey, grey, grey);
    cairo_set_line_width(c, line);
    const auto edge = [&](double x0, double y0, double x1, double y1) {
      cairo_move_to(c, x0, y0);
      cairo_line_to(c, x1, y1);
    };
    edge(x, y + height, right, y + height);
    if (g.framed) {
      if (first) edge(x, y, right, y);
      for (const double at : g.x) edge(x + at, y, x + at, y + height);
    }
    cairo_stroke(c);
  };
  return out;
}

} // namespace

Blocks table(const Press& press, const Table& t, double width) {
  const std::size_t n = t.columns.size();
  const bool headed = std::any_of(t.columns.begin(), t.columns.end(), [](const auto& c) { return !c.head.empty(); });
  const bool f = t.framed;
  Grid g{{0}, f, f ? 1.1 * mm : 0, f ? 1.1 * mm : 1.8 * mm, f ? 0.45 * mm : 0.25 * mm};
  std::vector<Cells> cells;
  std::vector<double> wants;
  for (const auto& c : t.columns) wants.push_back(c.least);
  const auto take = [&](Cells row) {
    for (std::size_t i = 0; i < n; ++i) wants[i] = std::max(wants[i], row[i].width());
    cells.push_back(std::move(row));
  };
  if (headed) {
    Cells head;
    for (const auto& c : t.columns) head.emplace_back(press, std::vector<Run>{{c.head, {small_size, true}}});
    take(std::move(head));
  }
  for (const auto& r : t.rows) {
    Cells one;
    for (std::size_t i = 0; i < n; ++i) one.emplace_back(press, std::vector<Run>{{r[i], t.columns[i].type}});
    take(std::move(one));
  }
  const auto widths = widths_of(t, std::move(wants), width - (g.left + g.right) * static_cast<double>(n));
  for (const double w : widths) g.x.push_back(g.x.back() + w + g.left + g.right);

  Blocks out;
  for (std::size_t k = 0; k < cells.size(); ++k) {
    const bool head = headed && k == 0;
    out.push_back(row(std::move(cells[k]), g, head ? 0 : t.least_height, head, k == 0));
    out.back().keeps_next = k == 0 || k + 2 == cells.size() || (headed && k == 1);
  }
  if (!out.empty()) out.back().keeps_next = false;
  if (headed && !out.empty()) {
    const auto head = std::make_shared<const Block>(out.front());
    for (std::size_t k = 1; k < out.size(); ++k) out[k].again = head;
  }
  return out;
}

} // namespace chamber::papers::print
