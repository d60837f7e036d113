#pragma once
// The continuous problem, handed to NLopt's SLSQP.
#include "chamber/solve/evaluate.hpp"
#include <optional>

namespace chamber::solve {

enum class Goal { nearest_preference, least_volume, most_volume };

struct Optimum {
  shapes::Dimensions<double> at{};
  double volume_mm3 = 0;
  double departure = 0;
  int evaluations = 0;
};

/// Best dimensions for the goal within bounds and watched limits; nearest_preference also holds the wanted volume to
/// 1e-6 cc. Empty when no start leads to a point that keeps everything.
std::optional<Optimum> optimise(const Task& task, Goal goal, Watch watch);

/// As optimise, watching walls only when the answer without them breaks one.
std::optional<Optimum> optimise_lazily(const Task& task, Goal goal);

double departure(const Task& task, const shapes::Dimensions<double>& d);

/// A limit is kept when its margin is no worse than this, in its own scale: far below any printed digit.
inline constexpr double kept = -1e-7;

} // namespace chamber::solve
