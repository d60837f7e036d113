#pragma once
// Tables whose columns take the room their words need.
#include "chamber/papers/print/block.hpp"

namespace chamber::papers::print {

struct Column {
  std::string head{}; ///< empty in all columns: no head
  Type type{};
  bool wraps = false; ///< gives way first where room is short
  double least = 0;   ///< to write into
};

struct Table {
  std::vector<Column> columns;
  std::vector<std::vector<std::string>> rows; ///< a text for each column
  bool framed = true;                         ///< all cells; else a line under each row
  double least_height = 0;                    ///< of a row
};

/// A block for every row and one for the head, which is repeated on every page. Neither head nor last row stands alone.
Blocks table(const Press& press, const Table& table, double width);

} // namespace chamber::papers::print
