#pragma once
// Which block comes onto which page.
#include "chamber/papers/print/block.hpp"

namespace chamber::papers::print {

struct Placed {
  const Block* block;
  double y, scale;
};
using Page = std::vector<Placed>;

/// The blocks in their order, on a first page of the height `first` and others of the height `next`. What keeps the
/// next one goes with it to a new page; what is higher than a page is shrunk to one, so that nothing is lost. Points
/// into `blocks`.
std::vector<Page> paginated(const Blocks& blocks, double first, double next);

} // namespace chamber::papers::print
