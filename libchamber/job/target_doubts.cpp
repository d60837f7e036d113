#include "chamber/job/target_parts.hpp"
#include <algorithm>
#include <fmt/format.h>

namespace chamber::job {
namespace {

using engine::Bench;

/// An input that is in doubt, and where it goes.
struct Doubt {
  solve::Uncertain input;
  std::function<void(Bench&, double)> put;
};

/// A group of sites that is worked out together: the memory of many trials stays bounded.
struct Group {
  std::size_t first = 0, count = 0;
};
constexpr std::size_t sites_at_once = 8;

/// Everything in doubt; of the sites' weather only that of the group. `scatter`: what the readings differ among
/// themselves.
std::vector<Doubt> doubts_of(const Spec& spec, Group group, double scatter) {
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
  if (bench.motor.today_head_cc || !bench.readings.empty())
    add(spec.sheet.weighed ? "weighing the head" : "burette", 0, d.head_cc,
        spec.sheet.weighed ? "weigh it twice, dried between, and take the mean" : "fill it twice and take the mean",
        [](Bench& b, double v) {
          if (b.motor.today_head_cc) *b.motor.today_head_cc += v;
          for (auto& r : b.readings) r.head_cc += v;
        });
  if (spec.budget.gasket_thickness_mm > 0)
    add("gasket", spec.budget.gasket_thickness_mm, d.gasket_mm, "measure a used gasket at four places",
        [](Bench& b, double v) { b.motor.budget.gasket_thickness_mm = v; });
  const bool has_today = bench.motor.today_head_cc.has_value();
  const auto filled_today = spec.sheet.filled;
  const auto any_filled = [&](auto fits) {
    return (has_today && fits(filled_today)) ||
           std::any_of(bench.readings.begin(), bench.readings.end(), [&](const auto& r) { return fits(r.filled); });
  };
  const auto open = [](engine::Fill f) { return f != engine::Fill::plug_fitted; };
  const auto to_top = [](engine::Fill f) { return f == engine::Fill::top_of_plug_hole; };
  if (any_filled(open))
    add("plug tip", 0, d.plug_tip_cc, "fill the head once with the plug fitted",
        [open, filled_today](Bench& b, double v) {
          if (b.motor.today_head_cc && open(filled_today)) *b.motor.today_head_cc -= v;
          for (auto& r : b.readings)
            if (open(r.filled)) r.head_cc -= v;
          b.motor.plug_tip_cc += v;
        });
  if (any_filled(to_top)) {
    const double cc_per_mm = engine::hole_cc({spec.sheet.hole.pitch_diameter_mm, 1, 0});
    add("plug hole's length", 0, d.plug_hole_mm, "fill the head once with the plug fitted",
        [to_top, filled_today, cc_per_mm](Bench& b, double v) {
          if (b.motor.today_head_cc && to_top(filled_today)) *b.motor.today_head_cc -= v * cc_per_mm;
          for (auto& r : b.readings)
            if (to_top(r.filled)) r.head_cc -= v * cc_per_mm;
        });
  }
  if (!bench.readings.empty())
    add("compression gauge", 0, d.gauge_kpa, "kick it again with another gauge, until two agree",
        [](Bench& b, double v) {
          for (auto& r : b.readings) r.gauge_kpa += v;
        });
  // What one kick differs from the next, or more if the readings show more, decides how far the fall with altitude is
  // known.
  for (std::size_t i = 0; i < bench.readings.size(); ++i)
    add(fmt::format("reading \"{}\"", bench.readings[i].name), 0,
        std::max(d.repeat, scatter) * bench.readings[i].gauge_kpa,
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
  for (std::size_t i = 0; i < group.count; ++i)
    if (const auto& site = spec.sheet.sites[group.first + i]; site.by_altitude)
      add(fmt::format("weather at \"{}\"", site.name), 0, d.weather_kpa, "read a barometer on the spot",
          [i](Bench& b, double v) { b.ambient_kpa[i] += v; });
  add("gauge volume", 0, d.gauge_extra_cc, "fill hose and adaptor with water and measure it",
      [](Bench& b, double v) { b.motor.gauge_extra_cc += v; });
  if (bench.readings.empty())
    add("cranking exponent", engine::default_exponent, d.exponent, "take one cranking reading of this motor",
        [](Bench& b, double v) { b.motor.model_n = v; });
  return out;
}

constexpr std::size_t per_site = 8, for_all = 4;

/// Inputs in, per_site figures a site out: what to ask for, and what the insert cut to `heads` will then give; last n,
/// m and today's ratios.
solve::Model model_of(const Bench& bench, const engine::GaugeFit& fit, const std::vector<Doubt>& doubts,
                      const std::vector<double>& heads) {
  return [&bench, &fit, &doubts, &heads](std::span<const double> in, std::span<double> out) {
    thread_local Bench b; // keeps its memory from one trial to the next
    b = bench;
    for (std::size_t i = 0; i < doubts.size(); ++i) doubts[i].put(b, in[i]);
    const auto motor = engine::refitted_motor(b, fit); // the kind of fit stays as it was
    const auto gauge = engine::cranking(motor, true), model = engine::cranking(motor, false);
    const double swept = engine::swept_cc(motor.bore_mm, motor.crank);
    const double open_swept = engine::trapped_swept_cc(motor.bore_mm, motor.crank, motor.exhaust_open_deg);
    for (std::size_t k = 0; k < heads.size(); ++k) {
      const auto wanted = engine::target(motor, b.ask, b.wish, b.ambient_kpa[k]);
      const double clearance = motor.budget.clearance_from_head_cc(heads[k]);
      out[per_site * k] = wanted.clearance_cc;
      out[per_site * k + 1] = wanted.head_cc;
      out[per_site * k + 2] = engine::compression_ratio(gauge.trapped_swept_cc, clearance);
      out[per_site * k + 3] = engine::compression_ratio(swept, clearance);
      out[per_site * k + 4] = engine::gauge_kpa(gauge, b.ambient_kpa[k], clearance);
      out[per_site * k + 5] = engine::gauge_kpa(model, b.ambient_kpa[k], clearance);
      out[per_site * k + 6] = engine::compression_ratio(open_swept, clearance);
      out[per_site * k + 7] = motor.today_head_cc ? wanted.head_cc - *motor.today_head_cc : 0;
    }
    const auto last = out.subspan(per_site * heads.size());
    const double today = motor.today_head_cc ? motor.budget.clearance_from_head_cc(*motor.today_head_cc) : 1;
    last[0] = gauge.exponent;
    last[1] = gauge.altitude_exponent;
    last[2] = engine::compression_ratio(gauge.trapped_swept_cc, today);
    last[3] = engine::compression_ratio(swept, today);
  };
}

void add_group(TargetReport& r, const TargetOptions& options, Group group) {
  const auto doubts = doubts_of(r.spec, group, r.fit.scatter);
  std::vector<solve::Uncertain> inputs;
  for (const auto& d : doubts) inputs.push_back(d.input);
  auto bench = r.spec.sheet.bench; // names are copied with every trial, and mean nothing there
  for (auto& reading : bench.readings) reading.name.clear();
  const auto sites = std::span(r.sites).subspan(group.first, group.count);
  std::vector<double> heads;
  bench.ambient_kpa.clear();
  for (const auto& site : sites) {
    heads.push_back(site.target.head_cc);
    bench.ambient_kpa.push_back(site.target.ambient_kpa);
  }
  const auto model = model_of(bench, r.fit, doubts, heads);
  const std::size_t outputs = per_site * sites.size() + for_all;
  const auto first = solve::first_order(inputs, outputs, model);
  std::vector<solve::Sampled> sampled;
  if (options.trials > 0) sampled = solve::monte_carlo(inputs, outputs, model, options.trials, options.seed, 0.95);
  const auto fill = [&](Figure& figure, std::size_t i) {
    const auto& f = first[i];
    figure.value = f.value;
    figure.standard = f.standard;
    if (!inputs.empty() && f.standard > 0) {
      figure.decided_by = inputs[f.largest].name;
      figure.advice = inputs[f.largest].advice;
    }
    figure.parts.clear();
    for (std::size_t k = 0; k < inputs.size(); ++k)
      if (f.contributions[k] > 0) figure.parts.push_back({inputs[k].name, f.contributions[k]});
    std::stable_sort(figure.parts.begin(), figure.parts.end(),
                     [](const auto& a, const auto& b) { return a.standard > b.standard; });
    figure.low = f.value - 1.96 * f.standard;
    figure.high = f.value + 1.96 * f.standard;
    if (sampled.empty()) return;
    r.failed_trials = std::max(r.failed_trials, sampled[i].failed);
    figure.standard = sampled[i].standard;
    figure.low = sampled[i].low;
    figure.high = sampled[i].high;
  };
  for (std::size_t k = 0; k < sites.size(); ++k) {
    auto& s = sites[k];
    Figure* const figures[per_site] = {&s.clearance, &s.head,        &s.ratio,      &s.full_ratio,
                                       &s.gauge,     &s.gauge_model, &s.ratio_open, &s.head_change};
    for (std::size_t i = 0; i < per_site; ++i) fill(*figures[i], per_site * k + i);
  }
  Figure* const last[for_all] = {&r.exponent, &r.altitude_exponent, &r.today_ratio, &r.today_full_ratio};
  for (std::size_t i = 0; i < for_all; ++i) fill(*last[i], per_site * sites.size() + i);
}

} // namespace

void add_uncertainty(TargetReport& r, const TargetOptions& options) {
  for (std::size_t first = 0; first < r.sites.size(); first += sites_at_once)
    add_group(r, options, {first, std::min(sites_at_once, r.sites.size() - first)});
}

} // namespace chamber::job
