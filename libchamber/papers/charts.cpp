#include "chamber/papers/charts.hpp"

namespace chamber::papers {

figure::Figure pressure_chart(const Forecast& f) {
  Chart c{"Gauge pressure with " + f.head + ", over altitude",
          {"altitude, " + f.altitude_unit, {}, {}},
          {"cranking pressure, " + f.pressure_unit, {}, {}},
          {},
          {},
          {},
          f.sites};
  Series fitted{"fitted to the readings", {}}, model{"by air pressure alone", {}};
  Band band{f.band_label, {}};
  for (const auto& s : f.slices) {
    fitted.points.push_back({s.altitude, s.fitted});
    model.points.push_back({s.altitude, s.model});
    band.slices.push_back({s.altitude, s.low, s.high});
  }
  if (!f.band_label.empty()) c.bands.push_back(std::move(band));
  if (f.wanted_low || f.wanted_high) c.zones.push_back({"wanted", f.wanted_low, f.wanted_high});
  if (f.fitted) c.series.push_back(std::move(fitted));
  c.series.push_back(std::move(model));
  if (!f.readings.empty()) c.series.push_back({"read", f.readings, false, true});
  return figure_of(c);
}

figure::Figure ratio_chart(const Forecast& f) {
  Chart c{"Trapped ratio that reads what is wanted, over altitude",
          {"altitude, " + f.altitude_unit, {}, {}},
          {"trapped ratio, to 1", {}, {}},
          {},
          {},
          {},
          {}};
  Band window{"asked by the wanted pressure", {}};
  for (const auto& s : f.slices)
    if (s.ratio_high > 0) window.slices.push_back({s.altitude, s.ratio_low, s.ratio_high});
  const double from = f.slices.front().altitude, to = f.slices.back().altitude;
  const auto level = [&](const std::string& label, double ratio) {
    c.series.push_back({label, {{from, ratio}, {to, ratio}}});
  };
  if (f.ratio_now) level(f.head, *f.ratio_now);
  if (f.ratio_ceiling) level("guideline's ceiling", *f.ratio_ceiling);
  if (window.slices.size() >= 2) c.bands.push_back(std::move(window));
  return figure_of(c);
}

figure::Figure gap_chart(const GapAlongBand& data) {
  Chart c{"Squish gap along the band, head on, piston at top dead centre",
          {"from the bore inwards, " + data.length_unit, {}, {}},
          {"gap, " + data.length_unit, 0.0, {}},
          {},
          {},
          {{"gap", data.gap}},
          {}};
  if (data.smallest_allowed) c.zones.push_back({"below the smallest allowed", 0.0, data.smallest_allowed});
  return figure_of(c);
}

figure::Figure velocity_chart(const GapVelocity& data) {
  Chart c{"Gap velocity at the bowl's mouth, " + data.speed,
          {"crank angle before top dead centre, deg", {}, {}},
          {"gap velocity, " + data.velocity_unit, 0.0, {}},
          {},
          {},
          {{"gap velocity", data.velocity}},
          {}};
  if (data.most_allowed) c.zones.push_back({"above the most allowed", data.most_allowed, {}});
  return figure_of(c);
}

figure::Figure contributions_chart(const Contributions& data) {
  return figure_of(BarChart{"What the uncertainty is made of: " + data.answer,
                            "standard uncertainty each measurement brings, " + data.unit, data.parts});
}

} // namespace chamber::papers
