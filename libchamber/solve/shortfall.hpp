#pragma once
#include "chamber/solve/optimise.hpp"

namespace chamber::solve {

/// Works out what can be reached, what stops the wanted volume, and how far each stop would have to give way.
Shortfall explain(const Task& task);

/// Optimum and grid point, or nothing.
struct Solved {
  Optimum optimum;
  shapes::Dimensions<double> rounded;
};
std::optional<Solved> solve_and_round(const Task& task);

} // namespace chamber::solve
