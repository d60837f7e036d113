#include "chamber/shapes/limits.hpp"
#include <algorithm>
#include <cmath>
#include <utility>

namespace chamber::shapes {
namespace {

constexpr double mm_per_inch = 25.4;
constexpr int least_steps = 5; ///< of the printed digit, between the limits
constexpr double same = 1e-9;

template <std::size_t N>
double up_to(const std::pair<double, double> (&table)[N], double size, double beyond) {
  for (const auto& [largest, value] : table)
    if (size <= largest) return value;
  return beyond;
}

PrintedLimits to_digits(const Limits& l, bool inch, bool fine) {
  PrintedLimits p;
  p.fine = fine;
  p.decimals = (inch ? 3 : 2) + (fine ? 1 : 0);
  const double per = std::pow(10.0, p.decimals) / (inch ? mm_per_inch : 1);
  double nominal = std::round(l.nominal_mm * per), lower = std::ceil(l.lower_mm * per - 1e-6),
         upper = std::floor(l.upper_mm * per + 1e-6);
  if (l.symmetric()) {
    const double deviation = std::min(nominal - lower, upper - nominal);
    lower = nominal - deviation, upper = nominal + deviation;
  }
  const double unit = std::pow(10.0, -p.decimals);
  p.nominal = nominal * unit, p.lower = lower * unit, p.upper = upper * unit;
  return p;
}

bool sound(const PrintedLimits& p) {
  return p.lower <= p.nominal + same && p.nominal <= p.upper + same;
}

} // namespace

bool Limits::symmetric() const {
  return std::abs((upper_mm - nominal_mm) - (nominal_mm - lower_mm)) < 1e-6;
}

const Limits* find(std::span<const Limits> limits, Size size, std::size_t index) {
  const auto it =
      std::find_if(limits.begin(), limits.end(), [&](const Limits& l) { return l.size == size && l.index == index; });
  return it == limits.end() ? nullptr : &*it;
}

double general_deviation_mm(double size_mm) {
  return up_to({{6, 0.1}, {30, 0.2}, {120, 0.3}, {400, 0.5}}, size_mm, 0.8);
}

double h9_mm(double diameter_mm) {
  return up_to({{30, 0.052}, {50, 0.062}, {80, 0.074}, {120, 0.087}, {180, 0.1}, {250, 0.115}, {315, 0.13}},
               diameter_mm, 0.14);
}

Limits gland_limits(Size size, std::size_t index, double nominal, double low, double high) {
  if (nominal >= low - same && nominal <= high + same) return {size, index, nominal, low, high, Grounds::gland};
  const double half = (high - low) / 2;
  return {size, index, nominal, nominal - half, nominal + half, Grounds::gland};
}

PrintedLimits printed(const Limits& l, bool inch) {
  const auto usual = to_digits(l, inch, false);
  const double steps = (usual.upper - usual.lower) * std::pow(10.0, usual.decimals);
  if (sound(usual) && steps >= least_steps - same) return usual;
  auto fine = to_digits(l, inch, true);
  // Limits that leave less than a digit: the nominal stands on the nearer of them.
  if (!sound(fine)) {
    if (fine.lower > fine.upper) fine.lower = fine.upper = fine.nominal;
    fine.nominal = std::clamp(fine.nominal, fine.lower, fine.upper);
  }
  return fine;
}

} // namespace chamber::shapes
