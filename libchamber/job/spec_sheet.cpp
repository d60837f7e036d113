#include "chamber/engine/air.hpp"
#include "chamber/job/spec_sections.hpp"
#include <cmath>
#include <fmt/format.h>

namespace chamber::job {
namespace {

using units::Dimension;
constexpr Range gauge_range{200, 4000}, barometer_range{50, 110}, reduced_range{87, 110},
    altitude_range{-500e3, 6000e3}, head_range{1, 300};

struct Ambient {
  double kpa = 0, altitude_m = 0;
  bool altitude_given = false, by_altitude = false;
};

bool says_air(Section& s) {
  return s.has("altitude") || s.has("station_pressure") || s.has("sea_level_pressure");
}

/// Altitude, station pressure, or a barometer reduced to sea level (which needs the altitude). What was made of it is
/// noted under the place's name.
class AmbientReader {
public:
  AmbientReader(Section& s, Spec& spec, const std::string& name)
      : s_(s), spec_(spec), sheet_(spec.sheet), name_(name) {}

  Ambient read() {
    const auto altitude = s_.maybe("altitude", Dimension::length, altitude_range);
    const auto station = s_.maybe("station_pressure", Dimension::pressure, barometer_range);
    const auto reduced = s_.maybe("sea_level_pressure", Dimension::pressure, reduced_range);
    if (altitude && !spec_.altitude_unit) spec_.altitude_unit = altitude->unit;
    Ambient a;
    a.altitude_given = altitude.has_value();
    a.altitude_m = altitude ? altitude->value / 1000 : 0;
    const double height = engine::geopotential_m(a.altitude_m);
    if (station && reduced) {
      s_.complain("station_pressure",
                  fmt::format("{} gives both a station pressure and one reduced to sea level.", s_.path()),
                  "keep one: what the barometer on the bench shows is station pressure.");
    } else if (reduced) {
      if (!altitude)
        s_.complain("sea_level_pressure", "a pressure reduced to sea level says nothing without the altitude.",
                    "add altitude.");
      a.kpa = engine::station_pressure_kpa(reduced->value, height);
      if (altitude && engine::looks_like_station(reduced->value, height))
        s_.complain("sea_level_pressure",
                    fmt::format("{} is what a barometer shows at {:.0f} m, not a figure reduced to sea level.",
                                units::format(reduced->value, *reduced->unit, 1), a.altitude_m),
                    "write it as station_pressure.");
      note(fmt::format("the barometer was reduced to sea level; converted to {} kPa station pressure.",
                       units::fixed(a.kpa, 2)));
    } else if (station) {
      a.kpa = station->value;
      if (altitude) {
        judge_station(*station, a, height);
      } else {
        a.altitude_m = engine::pressure_altitude_m(a.kpa);
        note(fmt::format("{} is taken as read on the spot, not from a weather report; with the altitude beside it that "
                         "could be checked.",
                         units::format(a.kpa, *station->unit, 1)));
      }
    } else if (altitude) {
      a.kpa = engine::standard_pressure_at_kpa(height);
      a.by_altitude = true;
    } else if (s_) {
      s_.complain("", fmt::format("{} does not say how high or at what barometer.", s_.path()),
                  "add altitude, station_pressure, or sea_level_pressure with altitude.");
    }
    return a;
  }

private:
  void note(const std::string& text) { sheet_.notes.push_back(name_ + ": " + text); }

  void judge_station(const units::Quantity& station, const Ambient& a, double height) {
    const double standard = engine::standard_pressure_at_kpa(height);
    if (a.kpa > engine::highest_weather * standard && !engine::looks_reduced_to_sea_level(a.kpa, height))
      s_.complain("station_pressure",
                  fmt::format("{} at {:.0f} m is higher than any weather makes it (about {:.1f} kPa there).",
                              units::format(a.kpa, *station.unit, 1), a.altitude_m, standard),
                  "check the figure, its unit and the altitude.");
    else if (engine::looks_reduced_to_sea_level(a.kpa, height))
      s_.complain("station_pressure",
                  fmt::format("{} at {:.0f} m cannot be station pressure (about {:.1f} kPa there): a weather report's "
                              "figure is reduced to sea level.",
                              units::format(a.kpa, *station.unit, 1), a.altitude_m, standard),
                  "write it as sea_level_pressure, or read a barometer on the spot.");
    else if (a.kpa < engine::lowest_weather * standard)
      s_.complain("station_pressure",
                  fmt::format("{} at {:.0f} m is lower than any weather makes it (about {:.1f} kPa there).",
                              units::format(a.kpa, *station.unit, 1), a.altitude_m, standard),
                  "check the figure, its unit and the altitude.");
    else if (engine::high_for_station_pressure(a.kpa, height))
      note(fmt::format("{} is high for station pressure at {} m. If it came from a weather report, write it as "
                       "sea_level_pressure.",
                       units::format(a.kpa, *station.unit, 1), units::fixed(a.altitude_m, 0)));
  }

  Section& s_;
  Spec& spec_;
  Sheet& sheet_;
  const std::string& name_;
};

Ambient read_ambient(Section& s, Spec& spec, const std::string& name) {
  return AmbientReader(s, spec, name).read();
}

void read_gauge(Section s, Spec& spec) {
  static constexpr std::string_view places[] = {"at the plug", "behind a hose"};
  spec.sheet.gauge_said = static_cast<bool>(s);
  const bool hose = s.word("check_valve", places, 0) == 1;
  const auto extra = s.maybe("extra_volume", Dimension::volume, {0, 50});
  spec.sheet.bench.motor.gauge_extra_cc = extra ? extra->value : 0;
  if (!hose && !extra) spec.sheet.doubts.gauge_extra_cc = 0;
  if (hose && !extra)
    s.complain("check_valve",
               "a gauge with its valve behind a hose reads low by what the hose holds, and that is not given.",
               "add gauge.extra_volume: fill hose and adaptor with water and measure it.");
  s.finish();
}

/// A head as it was filled or weighed.
struct FilledHead {
  double cc = 0; ///< plug fitted
  engine::Fill filled = engine::Fill::plug_fitted;
  bool weighed = false;
};

std::optional<FilledHead> read_head(Section& s, const engine::PlugHole& hole) {
  const auto filled = static_cast<engine::Fill>(s.word("filled", engine::fill_names, 0));
  auto volume = s.maybe("head_volume", Dimension::volume, head_range);
  const auto water = s.maybe("water", Dimension::mass, {1, 300});
  const double temperature = s.take("water_temperature", Dimension::temperature, {1, 40}, 20);
  if (volume && water) s.complain("water", "both a filled volume and weighed water are given.", "keep one of them.");
  if ((volume || water) && !s.has("filled"))
    s.complain(volume ? "head_volume" : "water", "it is not said to where the head was filled.",
               "add filled = \"plug fitted\", \"to the bottom of the plug hole\" or \"to the top of the plug hole\".");
  if (!volume && !water) return std::nullopt;
  const double cc = volume ? volume->value : water->value / engine::water_density_g_cc(temperature);
  return FilledHead{engine::convert_fill_cc(cc, filled, engine::Fill::plug_fitted, hole), filled, !volume};
}

void read_today(Section s, Spec& spec) {
  auto& sheet = spec.sheet;
  if (const auto* t = shapes::find_thread(spec.task.plug.thread))
    sheet.hole.pitch_diameter_mm = shapes::pitch_diameter_mm(*t);
  sheet.hole_said = s.has("plug_hole_length");
  sheet.hole.length_mm =
      s.take("plug_hole_length", Dimension::length, {2, 50}, shapes::seat_above_roof_mm(spec.task.plug));
  sheet.hole.plug_tip_cc = s.take("plug_tip", Dimension::volume, {-3, 3}, 0);
  const auto head = read_head(s, sheet.hole);
  if (head) {
    sheet.bench.motor.today_head_cc = head->cc;
    sheet.filled = head->filled;
    sheet.weighed = head->weighed;
  }
  const auto pressure = s.maybe("pressure", Dimension::pressure, gauge_range);
  if (pressure) {
    spec.pressure_unit = pressure->unit;
    const auto air = read_ambient(s, spec, "today");
    if (!head)
      s.complain("pressure", "a cranking pressure without the head's volume fits nothing.",
                 "add head_volume and filled.");
    sheet.bench.readings.push_back({"today", pressure->value, air.kpa, head ? head->cc : 0,
                                    head ? head->filled : engine::Fill::plug_fitted, air.by_altitude});
  } else if (says_air(s)) {
    read_ambient(s, spec, "today");
  }
  sheet.bench.motor.plug_tip_cc = sheet.hole.plug_tip_cc;
  s.finish();
}

void read_readings(Section& root, Spec& spec) {
  for (auto& s : root.sections("reading", 40)) {
    const auto name = s.text("name", fmt::format("number {}", spec.sheet.bench.readings.size() + 1), 40);
    for (const auto& other : spec.sheet.bench.readings)
      if (other.name == name)
        s.complain("name", fmt::format("two readings are called \"{}\".", name), "give every reading its own name.");
    const auto read = s.need("pressure", Dimension::pressure, gauge_range);
    const double pressure = read.value;
    if (!spec.pressure_unit) spec.pressure_unit = read.unit;
    const auto air = read_ambient(s, spec, fmt::format("reading \"{}\"", name));
    const auto own = read_head(s, spec.sheet.hole);
    const auto head = own ? std::optional(own->cc) : spec.sheet.bench.motor.today_head_cc;
    if (own && own->filled != engine::Fill::plug_fitted)
      spec.sheet.notes.push_back(
          fmt::format("reading \"{}\": its head is converted with the plug hole of today's head.", name));
    if (!head)
      s.complain("", fmt::format("{} has no head volume, and none is known from [today].", s.path()),
                 "add head_volume and filled here or in [today].");
    s.finish();
    spec.sheet.bench.readings.push_back(
        {name, pressure, air.kpa, head.value_or(0), own ? own->filled : spec.sheet.filled, air.by_altitude});
  }
}

void read_use(Section s, Spec& spec, const engine::Guideline& guideline) {
  if (!s) return;
  auto& sheet = spec.sheet;
  std::vector<std::string_view> fuels, uses;
  for (const auto& f : guideline.fuels) fuels.push_back(f.fuel);
  for (const auto& u : guideline.uses) uses.push_back(u.use);
  static constexpr std::string_view coolings[] = {"water", "air"};
  const auto fuel = s.word("fuel", fuels, std::nullopt), use = s.word("kind", uses, std::nullopt);
  sheet.air_cooled = s.word("cooling", coolings, 0) == 1;
  sheet.fuel = guideline.fuels[fuel].fuel;
  sheet.use = guideline.uses[use].use;
  sheet.bench.ask = engine::ask_for(guideline, fuel, use, sheet.air_cooled);
  sheet.guideline_source = guideline.source;
  sheet.caution = guideline.caution;
  s.finish();
}

void read_sites(Section& root, Spec& spec) {
  auto& sheet = spec.sheet;
  for (auto& s : root.sections("site", 1000)) {
    Site site;
    site.name = s.text("name", fmt::format("site {}", sheet.sites.size() + 1), 40);
    const auto air = read_ambient(s, spec, site.name);
    site.altitude_m = air.altitude_m;
    site.altitude_given = air.altitude_given;
    site.ambient_kpa = air.kpa;
    site.by_altitude = air.by_altitude;
    const auto temperature = s.maybe("temperature", Dimension::temperature, {-40, 55});
    site.air_given = temperature.has_value();
    site.temperature_c =
        temperature ? temperature->value : engine::standard_temperature_at_c(engine::geopotential_m(air.altitude_m));
    site.humidity = s.take("humidity", Dimension::ratio, {0, 1}, 0);
    s.finish();
    for (const auto& other : sheet.sites)
      if (other.name == site.name)
        s.complain("name", fmt::format("two sites are called \"{}\".", site.name), "give every site its own name.");
    sheet.bench.ambient_kpa.push_back(site.ambient_kpa);
    sheet.sites.push_back(site);
  }
}

void read_doubts(Section s, Spec& spec) {
  auto& d = spec.sheet.doubts;
  const auto take = [&](std::string_view key, Dimension dimension, double most, double& value) {
    value = s.take(key, dimension, {0, most}, value);
  };
  take("bore", Dimension::length, 1, d.bore_mm);
  take("stroke", Dimension::length, 2, d.stroke_mm);
  d.rod_given = s.has("rod");
  take("rod", Dimension::length, 20, d.rod_mm);
  take("exhaust_duration", Dimension::angle, 10, d.exhaust_deg);
  take("deck", Dimension::length, 1, d.deck_mm);
  take("crown_volume", Dimension::volume, 5, d.crown_cc);
  take("head_volume", Dimension::volume, 5, d.head_cc);
  take("pressure", Dimension::pressure, 400, d.gauge_kpa);
  take("barometer", Dimension::pressure, 10, d.ambient_kpa);
  take("gauge_volume", Dimension::volume, 5, d.gauge_extra_cc);
  take("exponent", Dimension::ratio, 0.2, d.exponent);
  take("gasket_thickness", Dimension::length, 1, d.gasket_mm);
  take("plug_tip", Dimension::volume, 2, d.plug_tip_cc);
  take("plug_hole_length", Dimension::length, 5, d.plug_hole_mm);
  take("repeat", Dimension::ratio, 0.2, d.repeat);
  take("weather", Dimension::pressure, 10, d.weather_kpa);
  s.finish();
}

} // namespace

void read_sheet_sections(Section& root, Spec& spec, const engine::Guideline& guideline) {
  auto& motor = spec.sheet.bench.motor;
  motor.bore_mm = spec.bore_mm;
  motor.crank = spec.crank;
  motor.budget = spec.budget;
  motor.squish_clearance_mm = spec.squish_clearance_mm;
  if (spec.budget.crown.form == engine::Crown::Form::flat) spec.sheet.doubts.crown_cc = 0;
  read_gauge(root.section("gauge", false), spec);
  read_today(root.section("today", false), spec);
  read_readings(root, spec);
  read_use(root.section("use", false), spec, guideline);
  read_sites(root, spec);
  read_doubts(root.section("uncertainty", false), spec);
}

} // namespace chamber::job
