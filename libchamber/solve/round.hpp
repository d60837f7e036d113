#pragma once
// From the exact optimum to numbers a machinist can read.
#include "chamber/solve/optimise.hpp"

namespace chamber::solve {

/// Puts every free dimension on its grid and lets the closing one (on tolerance::coordinate_mm) take up the residue. Of
/// the neighbouring grid points that keep every limit the one that departs least is taken; where none of them does, the
/// first that is found up to some steps away. Empty when there is none either, or the search for it grows too long.
std::optional<shapes::Dimensions<double>> round_to_grid(const Task& task, const shapes::Dimensions<double>& exact);

} // namespace chamber::solve
