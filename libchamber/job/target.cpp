#include "chamber/job/target.hpp"
#include "chamber/engine/air.hpp"
#include <cmath>
#include <fmt/format.h>

namespace chamber::job {
namespace {

using engine::Bench;
using units::fixed;

/// An input that is in doubt, and where it goes.
struct Doubt {
  solve::Uncertain input;
  std::function<void(Bench&, double)> put;
};

std::vector<Doubt> doubts_of(const Spec& spec) {
  const auto& d = spec.sheet.doubts;
  const auto& bench = spec.sheet.bench;
  std::vector<Doubt> out;
  const auto add = [&](std::string name, double value, double width, std::string advice,
                       std::function<void(Bench&, double)> put, solve::Spread spread = solve::Spread::normal) {
    if (width > 0) out.push_back({{std::move(name), value, width, spread, 0, 0, std::move(advice)}, std::move(put)});
  };
  add("bore", spec.bore_mm, d.bore_mm, "measure the bore with a three-point gauge",
      [](Bench& b, double v) { b.motor.bore_mm = b.motor.budget.bore_mm = v; });
  add("stroke", spec.crank.stroke_mm, d.stroke_mm, "measure the stroke with a dial gauge",
      [](Bench& b, double v) { b.motor.crank.stroke_mm = v; });
  const auto put_rod = [](Bench& b, double v) { b.motor.crank.rod_mm = v; };
  if (spec.rod_assumed && !d.rod_given) // anywhere in a range as wide as the usual one
    add("rod length (assumed)", spec.crank.rod_mm,
        (engine::assumed_rod_high - engine::assumed_rod_low) / 2 * spec.crank.stroke_mm,
        "measure or look up the rod's length", put_rod, solve::Spread::rectangular);
  else
    add("rod length", spec.crank.rod_mm, d.rod_mm, "measure or look up the rod's length", put_rod);
  const double split = bench.motor.exhaust_open_deg - bench.motor.exhaust_shut_deg;
  add("exhaust duration", bench.motor.exhaust_shut_deg, d.exhaust_deg,
      "set the degree wheel by a positive stop and read it twice", [split](Bench& b, double v) {
        b.motor.exhaust_shut_deg = v;
        b.motor.exhaust_open_deg = v + split;
      });
  add("deck", spec.budget.deck_mm, d.deck_mm, "measure the deck on both sides along the pin",
      [](Bench& b, double v) { b.motor.budget.deck_mm = v; });
  add("crown", spec.budget.crown.volume_cc, d.crown_cc, "measure the crown's height with a depth gauge",
      [](Bench& b, double v) { b.motor.budget.crown.volume_cc = v; });
  if (bench.motor.today_head_cc && !bench.readings.empty())
    add("burette", 0, d.head_cc, "fill it twice and take the mean", [](Bench& b, double v) {
      *b.motor.today_head_cc += v;
      for (auto& r : b.readings) r.head_cc += v;
    });
  if (!bench.readings.empty())
    add("compression gauge", 0, d.gauge_kpa, "kick it again with another gauge, until two agree",
        [](Bench& b, double v) {
          for (auto& r : b.readings) r.gauge_kpa += v;
        });
  // What one kick differs from the next decides how far the fall with altitude is known.
  for (std::size_t i = 0; i < bench.readings.size(); ++i)
    add(fmt::format("reading \"{}\"", bench.readings[i].name), 0, d.repeat * bench.readings[i].gauge_kpa,
        "kick it again there, three times, and take the mean",
        [i](Bench& b, double v) { b.readings[i].gauge_kpa += v; });
  add("barometer", 0, d.ambient_kpa, "read a barometer on the spot", [](Bench& b, double v) {
    for (auto& r : b.readings) r.ambient_kpa += v;
    for (auto& p : b.ambient_kpa) p += v;
  });
  for (std::size_t i = 0; i < bench.readings.size(); ++i)
    if (bench.readings[i].by_altitude)
      add(fmt::format("weather at reading \"{}\"", bench.readings[i].name), 0, d.weather_kpa,
          "read a barometer with the gauge", [i](Bench& b, double v) { b.readings[i].ambient_kpa += v; });
  for (std::size_t i = 0; i < spec.sheet.sites.size(); ++i)
    if (spec.sheet.sites[i].by_altitude)
      add(fmt::format("weather at \"{}\"", spec.sheet.sites[i].name), 0, d.weather_kpa, "read a barometer on the spot",
          [i](Bench& b, double v) { b.ambient_kpa[i] += v; });
  add("gauge volume", bench.motor.gauge_extra_cc, d.gauge_extra_cc, "fill hose and adaptor with water and measure it",
      [](Bench& b, double v) { b.motor.gauge_extra_cc = v; });
  if (bench.readings.empty())
    add("cranking exponent", engine::default_exponent, d.exponent, "take one cranking reading of this motor",
        [](Bench& b, double v) { b.motor.model_n = v; });
  return out;
}

constexpr std::size_t per_site = 6;

/// Inputs in, six figures a site out: what to ask for, and what the insert cut to `heads` will then give.
solve::Model model_of(const Bench& bench, const std::vector<Doubt>& doubts, const std::vector<double>& heads) {
  return [&bench, &doubts, &heads](std::span<const double> in, std::span<double> out) {
    thread_local Bench b; // keeps its memory from one trial to the next
    b = bench;
    for (std::size_t i = 0; i < doubts.size(); ++i) doubts[i].put(b, in[i]);
    const auto motor = engine::fitted_motor(b, engine::fit(b));
    const auto gauge = engine::cranking(motor, true), model = engine::cranking(motor, false);
    const double swept = engine::swept_cc(motor.bore_mm, motor.crank);
    for (std::size_t k = 0; k < heads.size(); ++k) {
      const auto wanted = engine::target(motor, b.ask, b.wish, b.ambient_kpa[k]);
      const double clearance = motor.budget.clearance_from_head_cc(heads[k]);
      out[per_site * k] = wanted.clearance_cc;
      out[per_site * k + 1] = wanted.head_cc;
      out[per_site * k + 2] = engine::compression_ratio(gauge.trapped_swept_cc, clearance);
      out[per_site * k + 3] = engine::compression_ratio(swept, clearance);
      out[per_site * k + 4] = engine::gauge_kpa(gauge, b.ambient_kpa[k], clearance);
      out[per_site * k + 5] = engine::gauge_kpa(model, b.ambient_kpa[k], clearance);
    }
  };
}

void add_uncertainty(TargetReport& r, const Bench& bench, const TargetOptions& options) {
  const auto doubts = doubts_of(r.spec);
  std::vector<solve::Uncertain> inputs;
  for (const auto& d : doubts) inputs.push_back(d.input);
  std::vector<double> heads;
  for (const auto& site : r.sites) heads.push_back(site.target.head_cc);
  auto plain = bench; // names are copied with every trial, and mean nothing there
  for (auto& reading : plain.readings) reading.name.clear();
  const auto model = model_of(plain, doubts, heads);
  const std::size_t outputs = per_site * r.sites.size();
  const auto first = solve::first_order(inputs, outputs, model);
  std::vector<solve::Sampled> sampled;
  if (options.trials > 0) sampled = solve::monte_carlo(inputs, outputs, model, options.trials, options.seed, 0.95);
  for (std::size_t k = 0; k < r.sites.size(); ++k) {
    auto& s = r.sites[k];
    Figure* const figures[per_site] = {&s.clearance, &s.head, &s.ratio, &s.full_ratio, &s.gauge, &s.gauge_model};
    for (std::size_t i = 0; i < per_site; ++i) {
      const auto& f = first[per_site * k + i];
      Figure& figure = *figures[i];
      figure.value = f.value;
      figure.standard = f.standard;
      if (!inputs.empty() && f.standard > 0) {
        figure.decided_by = inputs[f.largest].name;
        figure.advice = inputs[f.largest].advice;
      }
      figure.low = f.value - 1.96 * f.standard;
      figure.high = f.value + 1.96 * f.standard;
      if (sampled.empty()) continue;
      const auto& m = sampled[per_site * k + i];
      r.failed_trials = std::max(r.failed_trials, m.failed);
      figure.standard = m.standard;
      figure.low = m.low;
      figure.high = m.high;
    }
  }
}

void add_notes(TargetReport& r) {
  const auto& s = r.spec;
  if (auto note = rod_note(s)) r.notes.push_back(std::move(*note));
  if (!r.fit.readings.empty() && !s.sheet.gauge_said)
    r.notes.push_back(
        "Nothing was said of the gauge ([gauge]): its check valve is taken to sit at the plug. A hose before the "
        "valve makes it read low, and the fit with it.");
  for (const auto& x : r.fit.readings)
    if (x.contradicts)
      r.notes.push_back(
          fmt::format("Reading \"{}\" contradicts the others: it stands {} % off the fit. Measure it again.", x.name,
                      fixed(100 * x.residual, 1)));
  if (r.fit.kind == engine::FitKind::exponent_and_altitude && r.fit.m > 1.2)
    r.notes.push_back(
        fmt::format("The readings fall with altitude as the {} power of ambient pressure: steeper than the air alone "
                    "explains (power 1). Jetting, heat or the gauge may be part of it.",
                    fixed(r.fit.m, 2)));
  if (r.fit.kind == engine::FitKind::none)
    r.notes.push_back(
        fmt::format("No cranking reading: the exponent {} is common practice, not this motor's. One reading makes the "
                    "forecast worth having.",
                    fixed(engine::default_exponent, 2)));
  if (r.fit.kind != engine::FitKind::none && r.fit.readings.size() < 3 &&
      r.fit.kind == engine::FitKind::exponent_and_altitude)
    r.notes.push_back("Two readings fit two exponents exactly: nothing is left to check them with. A third would.");
  if (s.sheet.fuel.empty())
    r.notes.push_back("No fuel and use given: nothing here has been judged against a guideline.");
  for (const auto& site : r.sites) {
    if (!s.sheet.fuel.empty() && site.target.gauge_fitted_kpa < s.sheet.bench.ask.gauge_low_kpa * (1 - 1e-9))
      r.notes.push_back(
          fmt::format("{}: the gauge window cannot be reached there within the ratio ceiling.", site.site.name));
    if (site.site.high_barometer)
      r.notes.push_back(
          fmt::format("{}: {} kPa is high for station pressure at {} m. If it came from a weather report, "
                      "write it as sea_level_pressure.",
                      site.site.name, fixed(site.site.ambient_kpa, 1), fixed(site.site.altitude_m, 0)));
    if (site.site.converted)
      r.notes.push_back(fmt::format("{}: the barometer was reduced to sea level; converted to {} kPa station pressure.",
                                    site.site.name, fixed(site.site.ambient_kpa, 2)));
  }
  if (!s.sheet.caution.empty())
    r.notes.push_back(fmt::format("Guideline ({}): {}", s.sheet.guideline_source, s.sheet.caution));
}

} // namespace

std::optional<std::string> rod_note(const Spec& s) {
  if (!s.rod_assumed) return std::nullopt;
  const auto trapped = [&](double k) {
    return engine::trapped_swept_cc(s.bore_mm, {s.crank.stroke_mm, k * s.crank.stroke_mm}, s.exhaust_duration_deg);
  };
  return fmt::format("Rod length not given: {} mm assumed ({} x stroke, common practice). From {} to {} x stroke the "
                     "trapped volume goes from {} to {} cc.",
                     fixed(s.crank.rod_mm, 1), engine::assumed_rod_per_stroke, engine::assumed_rod_low,
                     engine::assumed_rod_high, fixed(trapped(engine::assumed_rod_low), 1),
                     fixed(trapped(engine::assumed_rod_high), 1));
}

tl::expected<void, Failure> check_fit(const Spec& spec, const engine::GaugeFit& fit) {
  if (fit.plausible && fit.altitude_plausible) return {};
  Problem p{{spec.file, 0, 0}, "", ""};
  if (!fit.plausible) {
    const auto sound = [](double n) {
      return n >= engine::plausible_exponent_low && n <= engine::plausible_exponent_high;
    };
    const double n = sound(fit.n_model) ? fit.n : fit.n_model;
    p.message =
        fmt::format("the cranking readings ask for an exponent of {}: no motor cranks with one outside {} to {}.",
                    fixed(n, 3), engine::plausible_exponent_low, engine::plausible_exponent_high);
    p.cure = n < engine::plausible_exponent_low
                 ? "re-measure: a hose gauge reads low by what the hose holds (gauge.extra_volume); a power valve may "
                   "have been open "
                   "(exhaust_valve_shut); was the throttle wide open, and to where was the head filled?"
                 : "re-measure: to where was the head filled (plug fitted, bottom or top of the hole)? Is the exhaust "
                   "duration that "
                   "of the shut power valve? Is the gauge true?";
  } else {
    p.message = fmt::format(
        "the cranking readings contradict each other: they would change as the {} power of ambient pressure, and "
        "nothing outside {} to {} is known.",
        fixed(fit.m, 2), engine::plausible_altitude_low, engine::plausible_altitude_high);
    p.cure = "re-measure: the same gauge, the same head, throttle wide open, and the altitude of each reading; or "
             "leave the doubtful "
             "one out.";
  }
  Failure f{Exit::spec, {std::move(p)}, {}};
  if (fit.plausible && fit.readings.size() > 1)
    for (const auto& r : fit.readings)
      f.problems.push_back({{spec.file, 0, 0},
                            fmt::format("reading \"{}\" stands {} % off what pressure alone would give.", r.name,
                                        fixed(100 * r.residual, 1)),
                            ""});
  return tl::unexpected(std::move(f));
}

tl::expected<TargetReport, Failure> target_report(Spec spec, const TargetOptions& options) {
  if (spec.sheet.sites.empty()) {
    Site sea;
    sea.name = "sea level, standard day";
    sea.ambient_kpa = engine::standard_pressure_kpa;
    spec.sheet.sites.push_back(sea);
    spec.sheet.bench.ambient_kpa.push_back(sea.ambient_kpa);
  }
  TargetReport r;
  const auto& bench = spec.sheet.bench;
  r.fit = engine::fit(bench);
  if (auto ok = check_fit(spec, r.fit); !ok) return tl::unexpected(ok.error());
  r.motor = engine::fitted_motor(bench, r.fit);
  r.trials = options.trials;
  r.seed = options.seed;
  const auto all = engine::targets(bench);
  for (std::size_t i = 0; i < all.size(); ++i)
    if (!(all[i].clearance_cc > 0.5 && all[i].head_cc > 0.5))
      return tl::unexpected(Failure{
          Exit::spec,
          {{{spec.file, 0, 0},
            fmt::format("at \"{}\" what is wanted leaves {} cc of clearance and {} cc of head: no motor is built so.",
                        spec.sheet.sites[i].name, fixed(all[i].clearance_cc, 2), fixed(all[i].head_cc, 2)),
            "check what is wanted, the gauge's extra volume, deck, crown and gasket."}},
          {}});
  for (std::size_t i = 0; i < all.size(); ++i) {
    SiteTarget t;
    t.site = spec.sheet.sites[i];
    t.target = all[i];
    t.density_kg_m3 = engine::air_density_kg_m3(t.site.ambient_kpa, t.site.temperature_c, t.site.humidity);
    t.density_altitude_m = engine::density_altitude_m(t.density_kg_m3);
    r.sites.push_back(std::move(t));
  }
  if (bench.motor.today_head_cc)
    r.today = engine::forecast(r.motor, bench.ask, spec.budget.clearance_from_head_cc(*bench.motor.today_head_cc),
                               bench.ambient_kpa[0]);
  r.spec = std::move(spec);
  add_uncertainty(r, r.spec.sheet.bench, options);
  add_notes(r);
  if (r.failed_trials > 0)
    r.notes.push_back(
        fmt::format("{} of {} trials had no answer and are left out of the intervals: the measurements are too "
                    "doubtful for this.",
                    r.failed_trials, r.trials));
  return r;
}

} // namespace chamber::job
