#include "chamber/engine/guideline.hpp"

namespace chamber::engine {

Ask ask_for(const Guideline& g, std::size_t fuel, std::size_t use, bool air_cooled) {
  const auto& row = g.fuels.at(fuel);
  const double shift = 1 + g.uses.at(use).shift, cooling = air_cooled ? 1 + g.air_cooled_shift : 1;
  return {row.ratio_ceiling * shift * cooling, row.gauge_low_kpa, row.gauge_high_kpa};
}

} // namespace chamber::engine
