#pragma once
// What a compression gauge reads when the motor is kicked over with the throttle open, and what readings tell back.
#include <optional>
#include <string>
#include <vector>

namespace chamber::engine {

inline constexpr double kpa_per_psi = 6.894757293168361;
/// Effective exponent of cranking, heat loss and leakage lumped in: default without a reading (common practice, no
/// source; 1.25-1.35 Heywood and Blair, from memory).
inline constexpr double default_exponent = 1.30;
/// A fitted exponent outside is taken for a measuring mistake.
inline constexpr double plausible_exponent_low = 1.05, plausible_exponent_high = 1.45;
/// A fitted altitude exponent outside is taken for contradictory readings (common practice, no source: reports
/// reach 2.5).
inline constexpr double plausible_altitude_low = 0.5, plausible_altitude_high = 3.5;
/// Altitude exponent that the larger drops builders report would imply (common practice, no source): the far edge of
/// the band shown when it has not been fitted.
inline constexpr double reported_altitude_exponent = 2.4;

/// The motor and gauge, less what changes from site to site.
struct Cranking {
  double trapped_swept_cc = 0;
  double gauge_extra_cc =
      0; ///< volume the gauge adds before its check valve, plus what the fitted plug's tip takes away
  double exponent = default_exponent; ///< n
  double altitude_exponent = 1;       ///< m
};

/// Gauge reading, kPa: p_g = p_0 (p_a/p_0)^m [((V_ts + V_c + V_g)/(V_c + V_g))^n - 1], p_0 the standard pressure at sea
/// level. With m = 1 this is ambient pressure compressed with exponent n, less ambient (derived; n lumps what is not
/// known).
double gauge_kpa(const Cranking& c, double ambient_kpa, double clearance_cc);
/// The clearance volume that gives this reading, cc (its inverse; may be <= 0 where the gauge alone takes more).
double clearance_for_gauge_cc(const Cranking& c, double ambient_kpa, double gauge_kpa);

/// One reading of one motor.
struct Reading {
  std::string name;
  double gauge_kpa = 0, ambient_kpa = 0, clearance_cc = 0;
};

struct FittedReading {
  std::string name;
  double residual = 0; ///< measured over fitted, less 1
  bool contradicts = false;
  double own_n = 0;         ///< the exponent this reading alone would give, by pressure alone
  double air_alone_kpa = 0; ///< what the first reading lets expect here if nothing but the air's pressure counts
};

enum class FitKind { none, exponent, exponent_and_altitude };

struct GaugeFit {
  FitKind kind = FitKind::none;
  double n = default_exponent; ///< with the fitted m
  double m = 1;
  double n_model = default_exponent; ///< with m held at 1
  std::vector<FittedReading> readings;
  std::optional<std::size_t> culprit; ///< the one reading without which all others agree
  /// Root mean square of the residuals over the readings beyond those the exponents take up; 0 without any.
  double scatter = 0;
  bool plausible = true;          ///< n and n_model within the plausible range
  bool altitude_plausible = true; ///< m within its range; if not, residuals are those with m = 1
};

/// A residual beyond this contradicts the others: twice what a good gauge and a fresh kick repeat to (common practice,
/// no source).
inline constexpr double contradiction = 0.05;
/// Ambient pressures must differ by this (relative) before an altitude exponent is fitted from them, about 430 m:
/// readings that repeat to 2 % then give it to within about 0.6.
inline constexpr double altitude_spread = 0.05;

/// Least squares in log space: n from readings at one pressure, n and m where they spread. Where they contradict each
/// other and leaving out a single one would make the rest agree, only that one is named.
GaugeFit fit_gauge(const Cranking& motor, const std::vector<Reading>& readings);

/// The exponents alone, with the kind of fit held (trials of an uncertainty must not change it), from a near start.
struct Exponents {
  double n = default_exponent, m = 1;
};
Exponents fit_exponents(const Cranking& motor, const std::vector<Reading>& readings, FitKind kind,
                        Exponents start = {});

} // namespace chamber::engine
