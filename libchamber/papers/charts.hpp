#pragma once
// The job's charts. Numbers come in the units that the given names say; names are printed as they are.
#include "chamber/papers/chart.hpp"

namespace chamber::papers {

/// What a head will read at any altitude, and what ratio the wanted pressure asks for there.
struct Forecast {
  std::string altitude_unit, pressure_unit;
  std::string head = "today's head"; ///< whose pressure it is
  struct Slice {
    double altitude = 0;
    double fitted = 0, model = 0; ///< gauge pressure with that head: fitted to the readings, and by pressure alone
    double low = 0, high = 0;     ///< of the fitted one
    double ratio_low = 0, ratio_high = 0; ///< trapped ratio that would read the wanted window there; 0, 0: not known
  };
  std::vector<Slice> slices;                      ///< rising altitude, at least two
  bool fitted = true;                             ///< false: no readings, only the model's line is drawn
  std::string band_label;                         ///< "95 % of days and readings"; empty: no band
  std::optional<double> wanted_low, wanted_high;  ///< gauge pressure
  std::vector<ChartPoint> readings;               ///< altitude, gauge pressure
  std::vector<Rule> sites;                        ///< at their altitudes
  std::optional<double> ratio_now, ratio_ceiling; ///< trapped: of that head; of the guideline
};
/// Gauge pressure over altitude, and trapped ratio over altitude (needs one of the ratios).
figure::Figure pressure_chart(const Forecast& forecast);
figure::Figure ratio_chart(const Forecast& forecast);

/// Squish gap from the bore inwards.
struct GapAlongBand {
  std::string length_unit;
  std::vector<ChartPoint> gap; ///< distance from the bore, gap at top dead centre
  std::optional<double> smallest_allowed;
};
figure::Figure gap_chart(const GapAlongBand& data);

/// Gap velocity at the bowl's mouth before top dead centre.
struct GapVelocity {
  std::string velocity_unit, speed; ///< speed: "9000 rpm"
  std::vector<ChartPoint> velocity; ///< degrees before top dead centre, velocity
  std::optional<double> most_allowed;
};
figure::Figure velocity_chart(const GapVelocity& data);

/// What the uncertainty of one answer is made of.
struct Contributions {
  std::string answer; ///< "clearance volume, 17.35 cc +- 0.21 cc"
  std::string unit;
  std::vector<Bar> parts; ///< largest first
};
figure::Figure contributions_chart(const Contributions& data);

} // namespace chamber::papers
