#pragma once
// What a page is put together from: pieces that stay in one piece.
#include "chamber/papers/print/text.hpp"
#include <functional>

namespace chamber::papers::print {

struct Block {
  double height = 0;
  double before = 0; ///< room over it, unless it stands on top of a page
  std::function<void(cairo_t*, double x, double y)> draw;
  bool keeps_next = false;            ///< no page may end with it
  std::shared_ptr<const Block> again; ///< goes once more over this one where it opens a page: the head of its table
  std::string mark;                   ///< its name in the list of contents
};
using Blocks = std::vector<Block>;

Block words(Paragraph paragraph, double before = 0);
/// One over another, as one piece.
Block stack(Blocks blocks);
/// Side by side, tops level; each with its offset from the left.
struct At {
  double x;
  Block block;
};
Block beside(std::vector<At> blocks);
/// In so many columns of nearly one height, read down one after the other; as one piece.
Block columns(const Blocks& blocks, int count, double width, double gap);
/// Keeps all of them on one page.
Blocks together(Blocks blocks);

void add(Blocks& to, Blocks more);

/// A thin line.
void rule(cairo_t* c, double x0, double y0, double x1, double y1, double width, double grey);

} // namespace chamber::papers::print
