#pragma once
// How many cc: the clearance and head volume each criterion asks at a site, and which one binds.
#include "chamber/engine/budget.hpp"
#include "chamber/engine/crank.hpp"
#include "chamber/engine/gauge.hpp"
#include <array>
#include <optional>
#include <string_view>

namespace chamber::engine {

/// What the guideline (or its user) asks for one fuel and use.
struct Ask {
  double ratio_ceiling = 0;                     ///< trapped, use and cooling already taken off
  double gauge_low_kpa = 0, gauge_high_kpa = 0; ///< window at the site; its middle is aimed at
};

/// What the customer wants himself; overrides the guideline.
struct Wish {
  std::optional<double> gauge_kpa, trapped_ratio, clearance_cc, head_cc;
};

/// One motor on the bench, every figure a plain number so that it can be varied.
struct Motor {
  double bore_mm = 0;
  Crank crank;
  double exhaust_shut_deg = 0; ///< duration a gauge sees (power valve shut)
  double exhaust_open_deg = 0; ///< at peak power; the same without a power valve
  Budget budget;
  double gauge_extra_cc = 0;           ///< what the gauge holds before its valve
  double plug_tip_cc = 0;              ///< room the fitted plug's tip takes, free again with the gauge in its place
  double squish_clearance_mm = 0;      ///< 0: not asked
  std::optional<double> today_head_cc; ///< plug fitted
  std::optional<double> fitted_n, fitted_m, model_n; ///< from readings; none: the default exponent
  double reference_kpa = 101.325; ///< ambient pressure the readings were taken at (their geometric mean)
};

enum class Criterion { gauge, ratio, squish, wish_gauge, wish_ratio, wish_volume };
inline constexpr std::array<std::string_view, 6> criterion_names{
    "gauge pressure", "ratio ceiling", "squish clearance", "wanted gauge pressure", "wanted ratio", "wanted volume"};

/// The answer for one site.
struct Target {
  double ambient_kpa = 0;
  /// Clearance volume that each criterion of the guideline asks, and the largest of them; 0: not asked.
  double by_gauge_cc = 0, by_ratio_cc = 0, by_squish_cc = 0, by_guideline_cc = 0;
  Criterion bound_by = Criterion::gauge;
  double clearance_cc = 0, head_cc = 0;
  double trapped_ratio = 0;      ///< valve shut, as the gauge sees it
  double trapped_ratio_open = 0; ///< valve open
  double full_ratio = 0;
  double gauge_model_kpa = 0;  ///< altitude exponent 1
  double gauge_fitted_kpa = 0; ///< fitted exponents; equal to the model's without a fit
  double gauge_band_low_kpa = 0,
         gauge_band_high_kpa = 0; ///< what exponents from 1 to the reported one imply, from the readings' place
  double ratio_in_hand = 0;       ///< ceiling less ratio
  double gauge_in_hand_kpa = 0;   ///< top of the window less forecast
  double head_change_cc = 0;      ///< wanted less today's head; 0 without one
};

/// The gauge as the forecast uses it.
Cranking cranking(const Motor& motor, bool fitted);

/// The space that the squish clearance alone needs between piston and head: a disc of that height, cc. No head can
/// hold less clearance volume and keep the gap.
double least_clearance_for_squish_cc(const Motor& motor);

/// What pressure, ratio and squish ask at this ambient pressure; the largest clearance volume is the answer, unless the
/// customer's wish overrides: then by_guideline_cc tells how far he stands from it.
Target target(const Motor& motor, const Ask& ask, const Wish& wish, double ambient_kpa);

/// What a given clearance volume gives at a site: ratios and gauge.
Target forecast(const Motor& motor, const Ask& ask, double clearance_cc, double ambient_kpa);

} // namespace chamber::engine
