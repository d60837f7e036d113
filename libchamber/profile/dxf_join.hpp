#pragma once
#include "chamber/profile/dxf_drawing.hpp"

namespace chamber::profile::detail {

/// Pieces joined end to end, mm.
struct Joined {
  std::vector<Chain> chains; ///< the longest first
  double widest_gap_mm = 0;  ///< of those closed
  std::size_t gaps = 0;      ///< wider than rounding explains
  std::size_t doubled = 0;   ///< pieces drawn twice
  std::vector<P> branches;   ///< places where more than two ends meet; no chain runs through them
};

/// Joins ends no further apart than gap_mm. Never fails.
Joined join(std::vector<Chain> pieces);

} // namespace chamber::profile::detail
