#pragma once
// Ratio ceilings and gauge windows by fuel and use: data, common practice of the trade, starting points only.
#include "chamber/engine/target.hpp"
#include <string>
#include <vector>

namespace chamber::engine {

struct FuelRow {
  std::string fuel;
  double ratio_ceiling = 0;                     ///< trapped
  double gauge_low_kpa = 0, gauge_high_kpa = 0; ///< window at the site
};

struct UseRow {
  std::string use;
  double shift = 0; ///< of the ceiling: -0.03 takes 3 % off
};

struct Guideline {
  std::string source; ///< "common practice, no source", or what the user's file says
  std::vector<FuelRow> fuels;
  std::vector<UseRow> uses;
  double air_cooled_shift = 0;
  std::string caution;
};

/// The row of a fuel with use and cooling taken off its ceiling. Indices must be valid.
Ask ask_for(const Guideline& guideline, std::size_t fuel, std::size_t use, bool air_cooled);

} // namespace chamber::engine
