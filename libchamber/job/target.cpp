#include "chamber/job/target.hpp"
#include "chamber/engine/air.hpp"
#include "chamber/job/target_parts.hpp"
#include <cmath>
#include <fmt/format.h>

namespace chamber::job {

using units::fixed;

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
  auto heads = spec.sheet.bench.readings;
  if (const auto& today = spec.sheet.bench.motor.today_head_cc; today && heads.empty()) {
    heads.emplace_back();
    heads.back().name = "today";
    heads.back().head_cc = *today;
  }
  for (const auto& r : heads)
    if (const double clearance = spec.budget.clearance_from_head_cc(r.head_cc); !(clearance > 0.1))
      return tl::unexpected(
          Failure{Exit::spec,
                  {{{spec.file, 0, 0},
                    fmt::format("\"{}\": a head of {} cc leaves {} cc over this piston: they do not belong together.",
                                r.name, fixed(r.head_cc, 2), fixed(clearance, 2)),
                    "check the head's volume and to where it was filled, deck, crown and gasket."}},
                  {}});
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
                   "have been open (exhaust_valve_shut); was the throttle wide open, and to where was the head filled?"
                 : "re-measure: to where was the head filled (plug fitted, bottom or top of the hole)? Is the exhaust "
                   "duration that of the shut power valve? Is the gauge true?";
  } else {
    p.message = fmt::format(
        "the cranking readings contradict each other: they would change as the {} power of ambient pressure, and "
        "nothing outside {} to {} is known.",
        fixed(fit.m, 2), engine::plausible_altitude_low, engine::plausible_altitude_high);
    p.cure = "re-measure: the same gauge, the same head, throttle wide open, and the altitude of each reading; or "
             "leave the doubtful one out.";
  }
  Failure f{Exit::spec, {std::move(p)}, {}};
  if (fit.readings.size() > 1)
    for (const auto& r : fit.readings)
      f.problems.push_back(
          {{spec.file, 0, 0},
           fit.plausible ? fmt::format("reading \"{}\" stands {} % off what pressure alone would give.", r.name,
                                       fixed(100 * r.residual, 1))
                         : fmt::format("reading \"{}\" alone asks for an exponent of {}.", r.name, fixed(r.own_n, 3)),
           "re-measure this one first if it stands apart from the others."});
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
  add_uncertainty(r, options);
  add_notes(r);
  return r;
}

} // namespace chamber::job
