#pragma once
// From the exact optimum to numbers a machinist can read.
#include "chamber/solve/optimise.hpp"

namespace chamber::solve {

/// Puts every free dimension on its grid, lets the closing one (on tolerance::coordinate_mm) take up the residue, and
/// picks, of the neighbouring grid points that keep every limit, the one that departs least. Empty when none does.
std::optional<shapes::Dimensions<double>> round_to_grid(const Task& task, const shapes::Dimensions<double>& exact);

} // namespace chamber::solve
