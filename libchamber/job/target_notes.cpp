#include "chamber/job/guideline_read.hpp"
#include "chamber/job/target_parts.hpp"
#include <cmath>
#include <fmt/format.h>

namespace chamber::job {

Standing in_window(const Spec& spec, const engine::Target& t) {
  constexpr double shown_kpa = 0.5 * engine::kpa_per_psi;
  if (t.gauge_in_hand_kpa < -shown_kpa) return Standing::over;
  return t.gauge_fitted_kpa < spec.sheet.bench.ask.gauge_low_kpa - shown_kpa ? Standing::short_of : Standing::ok;
}

Standing under_ceiling(const engine::Target& t) {
  return t.ratio_in_hand >= -5e-3 ? Standing::ok : Standing::over;
}

namespace {

using engine::Criterion;
using engine::FitKind;
using engine::kpa_per_psi;
using units::fixed;

/// Outside, a fitted exponent is unusual, though it can be (1.25-1.35: Heywood and Blair, from memory).
constexpr double usual_exponent_low = 1.15, usual_exponent_high = 1.38;
constexpr double usual_altitude_low = 0.8, usual_altitude_high = 1.2;

class Notes {
public:
  explicit Notes(TargetReport& r) : r_(r), s_(r.spec) {}

  void run() {
    if (auto note = rod_note(s_)) add(std::move(*note));
    sheet();
    fit();
    for (const auto& site : r_.sites) at(site);
    for (const auto& n : s_.sheet.notes) add(n);
    if (s_.sheet.fuel.empty()) add("No fuel and use given: nothing here has been judged against a guideline.");
    const auto& built_in = built_in_guideline();
    const auto& sheet = s_.sheet;
    add(fmt::format("Guideline ({}): {}", sheet.guideline_source.empty() ? built_in.source : sheet.guideline_source,
                    sheet.caution.empty() ? built_in.caution : sheet.caution));
    if (r_.failed_trials > 0)
      add(fmt::format(
          "{} of {} trials had no answer and are left out of the intervals: the measurements are too doubtful "
          "for this.",
          r_.failed_trials, r_.trials));
  }

private:
  void add(std::string text) { r_.notes.push_back(std::move(text)); }

  void sheet() {
    const auto& readings = s_.sheet.bench.readings;
    if (!readings.empty() && !s_.sheet.gauge_said)
      add("Nothing was said of the gauge ([gauge]): its check valve is taken to sit at the plug. A hose before the "
          "valve makes it read low, and the fit with it.");
    if (s_.sheet.bench.motor.today_head_cc && s_.sheet.filled == engine::Fill::top_of_plug_hole && !s_.sheet.hole_said)
      add(fmt::format("The plug hole of today's head is taken to be {} mm long: the plug's reach less its washer.",
                      fixed(s_.sheet.hole.length_mm, 2)));
  }

  void fit() {
    const auto& f = r_.fit;
    if (f.kind == FitKind::none) {
      add(fmt::format(
          "No cranking reading: the exponent {} is common practice, not this motor's. One reading makes the "
          "forecast worth having.",
          fixed(engine::default_exponent, 2)));
      return;
    }
    contradictions();
    if (f.n < usual_exponent_low || f.n > usual_exponent_high)
      add(fmt::format(
          "The fitted exponent {} is unusual: look at gauge, power valve and fill once more before metal is cut.",
          fixed(f.n, 3)));
    if (f.kind == FitKind::exponent && f.readings.size() > 1)
      add(fmt::format(
          "The readings lie within {} % of ambient pressure: too near together to tell how this motor falls with "
          "altitude. Pressure alone is taken.",
          fixed(100 * engine::altitude_spread, 0)));
    if (f.kind != FitKind::exponent_and_altitude) return;
    if (f.m > usual_altitude_high || f.m < usual_altitude_low) steepness();
    if (f.readings.size() < 3)
      add("Two readings fit two exponents exactly: nothing is left to check them with. A third would.");
  }

  void steepness() {
    const auto& f = r_.fit;
    const double known_to = 1.96 * r_.altitude_exponent.standard;
    add(std::abs(f.m - 1) > known_to
            ? fmt::format(
                  "The readings follow the {} power of ambient pressure: {} than the air alone explains (power 1). "
                  "Jetting, heat or the gauge may be part of it.",
                  fixed(f.m, 2), f.m > 1 ? "steeper" : "flatter")
            : fmt::format("The readings follow the {} +- {} power of ambient pressure: {} than the air alone explains "
                          "(power 1), but they are not known well enough to be sure.",
                          fixed(f.m, 2), fixed(known_to, 2), f.m > 1 ? "steeper" : "flatter"));
    std::string alone;
    for (std::size_t i = 1; i < f.readings.size(); ++i)
      alone += fmt::format("{}{} psi at \"{}\" (read: {})", i > 1 ? ", " : "",
                           fixed(f.readings[i].air_alone_kpa / kpa_per_psi, 0), f.readings[i].name,
                           fixed(s_.sheet.bench.readings[i].gauge_kpa / kpa_per_psi, 0));
    add(fmt::format("From \"{}\" the air alone would give {}.", f.readings[0].name, alone));
  }

  void contradictions() {
    std::vector<const engine::FittedReading*> named;
    for (const auto& x : r_.fit.readings)
      if (x.contradicts) named.push_back(&x);
    for (const auto* x : named)
      add(r_.fit.culprit
              ? fmt::format("CAUTION: reading \"{}\" contradicts the others: it stands {} % off the fit. Measure it "
                            "again, or leave it out.",
                            x->name, fixed(100 * x->residual, 1))
              : fmt::format(
                    "CAUTION: reading \"{}\" stands {} % off the fit: the readings contradict each other. Measure them "
                    "again before metal is cut.",
                    x->name, fixed(100 * x->residual, 1)));
  }

  void at(const SiteTarget& site) {
    const auto& t = site.target;
    const auto& ask = s_.sheet.bench.ask;
    const auto psi = [](double kpa) { return fixed(kpa / kpa_per_psi, 0); };
    const auto say = [&](const std::string& text) { add(fmt::format("{}: {}", site.site.name, text)); };
    const bool wish = t.bound_by >= Criterion::wish_gauge;
    if (t.clearance_cc < t.by_squish_cc * (1 - 1e-9))
      say(fmt::format("CAUTION: {} cc of clearance cannot hold the squish clearance: a gap of {} mm over the whole "
                      "piston takes {} cc.",
                      fixed(t.clearance_cc, 2), fixed(s_.squish_clearance_mm, 2), fixed(t.by_squish_cc, 2)));
    if (s_.sheet.fuel.empty()) return;
    if (t.trapped_ratio > ask.ratio_ceiling * (1 + 1e-6))
      say(fmt::format("CAUTION: trapped ratio {}:1 is over the guideline's ceiling of {}:1.", fixed(t.trapped_ratio, 2),
                      fixed(ask.ratio_ceiling, 2)));
    if (t.gauge_fitted_kpa > ask.gauge_high_kpa * (1 + 1e-6))
      say(fmt::format("CAUTION: {} psi is over the guideline's window ({} to {}).", psi(t.gauge_fitted_kpa),
                      psi(ask.gauge_low_kpa), psi(ask.gauge_high_kpa)));
    if (t.by_gauge_cc <= 0)
      say("the gauge window cannot be reached there at all: the gauge's own volume and the thin air take too much.");
    else if (t.gauge_fitted_kpa < ask.gauge_low_kpa * (1 - 1e-9))
      say(wish ? fmt::format("what is wanted reads {} psi short of the guideline's window.",
                             psi(ask.gauge_low_kpa - t.gauge_fitted_kpa))
               : fmt::format("the gauge window cannot be reached there: the {} keeps the volume up.",
                             engine::criterion_names[static_cast<std::size_t>(t.bound_by)]));
  }

  TargetReport& r_;
  const Spec& s_;
};

} // namespace

void add_notes(TargetReport& r) {
  Notes(r).run();
}

} // namespace chamber::job
