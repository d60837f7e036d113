#pragma once
// The fit: dimensions that hold the wanted volume exactly, depart least from what the builder prefers, keep every
// limit, and stand on the machinist's grid.
#include "chamber/engine/budget.hpp"
#include "chamber/engine/squish.hpp"
#include "chamber/shapes/body.hpp"
#include <tl/expected.hpp>

namespace chamber::solve {

/// One dimension's freedom. Lengths mm, angles deg.
struct Preference {
  double prefer = 0, low = 0, high = 0;
  double weight = 1; ///< of the squared departure, which is measured in units of `scale`
  double scale = 1;  ///< a departure this large costs `weight`
  double grid = 0.05;
  /// Departures are judged against half the freedom the builder gives.
  void scale_to_freedom() { scale = high > low ? (high - low) / 2 : 1; }
};

/// What each dimension may sensibly be, mm or deg: specs are read within it, and advice keeps to it.
struct Sensible {
  double low, high;
};
inline constexpr std::array<Sensible, shapes::dimension_count> sensible = {
    {{0.5, 500}, {0.5, 80}, {0.5, 60}, {0, 45}, {0.1, 30}}};

/// Limits the user sets; a value that does not limit is infinite (or 0 for a minimum).
struct Limits {
  double squish_area_min = 0, squish_area_max = 1;
  double gap_min_mm = 0;             ///< band to crown, anywhere, at top dead centre
  double gap_velocity_max_m_s = 1e9; ///< peak, at peak_rpm
  double wall_min_mm = 0;            ///< chamber to every outside face and to the plug seat
  double groove_wall_min_mm = 0;     ///< chamber to every groove
  double plug_to_crown_min_mm = 0;   ///< end of the plug's thread to the crown's top
};

/// Everything the fit needs to know.
struct Task {
  shapes::Frame frame;
  std::array<Preference, shapes::dimension_count> preferences;
  std::size_t closing = 0; ///< the dimension that closes the residue, on closing_grid_mm
  Limits limits;
  engine::Budget budget;
  engine::Crank crank;
  double peak_rpm = 0;
  shapes::BodySpec body; ///< at least one step
  shapes::Plug plug;     ///< with one of the threads of shapes::plug_threads()
  double head_cc = 0;    ///< wanted, plug fitted
};

/// One limit, judged.
struct Check {
  std::string name; ///< "squish area ratio", "wall to face groove"
  std::string key;  ///< in the spec, or empty for what geometry alone demands
  bool ok = true;
  double value = 0, limit = 0;
  bool minimum = true; ///< value must be >= limit (else <=)
  std::string unit;
  std::string note;
  double radius_mm = 0; ///< where it is the value, if at one place; else 0
};

/// A solved chamber.
struct Fit {
  shapes::Dimensions<double> exact{};   ///< before rounding
  shapes::Dimensions<double> rounded{}; ///< on the grid: what stands on drawing, STEP and program
  shapes::Chamber<double> chamber;      ///< built from `rounded`
  double head_cc = 0;                   ///< of `rounded`
  double residual_cc = 0;               ///< head_cc - wanted
  double exact_residual_cc = 0;         ///< before rounding
  double departure = 0;                 ///< weighted sum of squares, of `rounded`
  int evaluations = 0;
  std::vector<std::string> binding; ///< limits and bounds the exact solution leans on
  std::vector<Check> checks;        ///< of `rounded`
  engine::Split split;
  engine::PeakVelocity peak;
};

/// A limit or bound that stops the wanted volume, and how far it would have to give way alone.
struct Stop {
  std::string name, key, unit;
  double from = 0;
  double to = 0;         ///< the value that makes the volume reachable
  bool suffices = false; ///< false: relaxing it alone is not enough
  /// With which from and to are said; `to` keeps its promise as it is then read.
  int decimals() const { return unit == "deg" ? 2 : unit == "mm" ? 3 : 1; }
};

/// Why the volume cannot be met.
struct Shortfall {
  double wanted_cc = 0;
  bool any_reachable = false;
  double low_cc = 0, high_cc = 0; ///< reachable range within all limits
  std::vector<Stop> stops;
  std::string note;
};

/// Solves and rounds. Deterministic; bounded work.
tl::expected<Fit, Shortfall> fit(const Task& task);

/// Judges given dimensions against every limit of the task; the fit's own checks come from here.
std::vector<Check> judge(const Task& task, const shapes::Dimensions<double>& d);

/// Head volume of given dimensions, cc.
double head_cc(const Task& task, const shapes::Dimensions<double>& d);

/// Volume (mm3) and its slope with each dimension, analytic. `slope` holds dimension_count values.
double volume_with_gradient(const shapes::Frame& frame, const shapes::Dimensions<double>& d, double* slope);

} // namespace chamber::solve
