#include "chamber/papers/print/pages.hpp"
#include <algorithm>

namespace chamber::papers::print {
namespace {

/// Of the block and all it keeps, as far as they are kept.
double run_of(const Blocks& blocks, std::size_t i) {
  double height = blocks[i].height;
  for (; blocks[i].keeps_next && i + 1 < blocks.size(); ++i) height += blocks[i + 1].before + blocks[i + 1].height;
  return height;
}

} // namespace

std::vector<Page> paginated(const Blocks& blocks, double first, double next) {
  std::vector<Page> pages(1);
  double y = 0, height = first;
  bool on_top = true; // nothing stands on the page but a repeated head
  for (std::size_t i = 0; i < blocks.size(); ++i) {
    const auto& b = blocks[i];
    if (!on_top && y + b.before + std::min(run_of(blocks, i), next) > height) {
      pages.emplace_back();
      y = 0, height = next, on_top = true;
      if (b.again) {
        pages.back().push_back({b.again.get(), 0, 1});
        y = b.again->height;
      }
    }
    if (!on_top) y += b.before;
    const double scale = b.height > height - y ? (height - y) / b.height : 1;
    pages.back().push_back({&b, y, scale});
    y += b.height * scale;
    on_top = false;
  }
  return pages;
}

} // namespace chamber::papers::print
