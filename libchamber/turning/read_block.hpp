#pragma once
// One line of program text taken apart into words.
#include "chamber/units/result.hpp"
#include <string_view>
#include <vector>

namespace chamber::turning::detail {

struct Word {
  char letter;
  double value;
};

struct Block {
  std::vector<Word> words; ///< but G and M; at most one a letter
  std::vector<int> g, m;   ///< ten times the code, so that G5.1 is 51
  bool comment = false;

  bool empty() const { return words.empty() && g.empty() && m.empty(); }
};

/// Takes a line of printable ASCII apart. Refuses letters that mean nothing here, numbers that are none or lack their
/// decimal point, comments that are nested, active or beside words.
Result<Block> dissect(std::string_view line);

} // namespace chamber::turning::detail
