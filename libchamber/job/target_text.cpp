#include "chamber/job/paint.hpp"
#include "chamber/job/target.hpp"
#include <cmath>
#include <fmt/format.h>

namespace chamber::job {
namespace {

using engine::kpa_per_psi;
using units::fixed;

/// Value and the half width of what covers 95 %; both ends where they lie unevenly.
std::string plus_minus(const Figure& f, int decimals, double unit, std::string_view name) {
  if (!std::isfinite(f.standard)) return fmt::format("{:>8}{} +- not known", fixed(f.value / unit, decimals), name);
  const double up = f.high - f.value, down = f.value - f.low;
  auto text =
      fmt::format("{:>8} +- {}{}", fixed(f.value / unit, decimals), fixed((up + down) / 2 / unit, decimals), name);
  const double step = std::pow(10.0, -decimals) * unit;
  if (std::abs(up - down) > std::max(0.1 * (up + down), step))
    text += fmt::format(" ({} to {})", fixed(f.low / unit, decimals), fixed(f.high / unit, decimals));
  return text;
}

std::string signed_text(double value, int decimals) {
  return (value >= 0 ? "+" : "") + fixed(value, decimals);
}

class SiteText {
public:
  SiteText(const TargetReport& r, const SiteTarget& s) : r_(r), s_(s), t_(s.target), ask_(r.spec.sheet.bench.ask) {}

  std::string run(const Paint& paint) {
    out_ += paint.head(s_.site.name);
    out_ += fmt::format(": {} m{}, {} kPa, {} C{}, air {} kg/m3, density altitude {} m\n", fixed(s_.site.altitude_m, 0),
                        s_.site.altitude_given ? "" : " by its barometer", fixed(s_.site.ambient_kpa, 2),
                        fixed(s_.site.temperature_c, 1), s_.site.air_given ? "" : " (standard)",
                        fixed(s_.density_kg_m3, 3), fixed(std::round(s_.density_altitude_m / 10) * 10, 0));
    answer();
    criteria();
    if (!s_.head.decided_by.empty()) row("what decides the cc", s_.head.decided_by, s_.head.advice);
    if (!s_.gauge.decided_by.empty()) row("what decides the gauge", s_.gauge.decided_by, s_.gauge.advice);
    return std::move(out_);
  }

private:
  void row(std::string_view name, const std::string& value, std::string_view note = "") {
    auto line = fmt::format("  {:<24}{:<23}  {}", name, value, note);
    line.erase(line.find_last_not_of(' ') + 1);
    out_ += line + "\n";
  }

  void answer() {
    row("head volume wanted", plus_minus(s_.head, 2, 1, " cc"),
        r_.today ? fmt::format("{} +- {} cc against today's head", signed_text(t_.head_change_cc, 2),
                               fixed((s_.head_change.high - s_.head_change.low) / 2, 2))
                 : "");
    const auto& plug = r_.spec.task.plug;
    const engine::PlugHole hole{r_.spec.sheet.hole.pitch_diameter_mm, shapes::seat_above_roof_mm(plug),
                                r_.spec.sheet.hole.plug_tip_cc};
    using engine::Fill;
    const auto as = [&](Fill f) { return fixed(engine::convert_fill_cc(t_.head_cc, Fill::plug_fitted, f, hole), 2); };
    row("filled with the plug out", fmt::format("{:>8} cc", as(Fill::bottom_of_plug_hole)),
        fmt::format("to the bottom of its hole; {} cc to the top", as(Fill::top_of_plug_hole)));
    row("clearance volume", plus_minus(s_.clearance, 2, 1, " cc"),
        fmt::format("bound by {}", engine::criterion_names[static_cast<std::size_t>(t_.bound_by)]));
    row("trapped ratio", plus_minus(s_.ratio, 2, 1, ":1"),
        ask_.ratio_ceiling > 0
            ? fmt::format("ceiling {}, {} {}", fixed(ask_.ratio_ceiling, 2), fixed(std::abs(t_.ratio_in_hand), 2),
                          t_.ratio_in_hand >= -5e-3 ? "in hand" : "over it")
            : "");
    row("full-stroke ratio", plus_minus(s_.full_ratio, 2, 1, ":1"));
    if (r_.motor.exhaust_open_deg > r_.motor.exhaust_shut_deg)
      row("trapped, valve open", plus_minus(s_.ratio_open, 2, 1, ":1"), "at peak power");
    const double low = t_.gauge_band_low_kpa / kpa_per_psi, high = t_.gauge_band_high_kpa / kpa_per_psi;
    std::string beside = r_.fit.kind == engine::FitKind::none ? window() : "";
    if (high - low > 1)
      beside += fmt::format("{}{} to {} psi if it follows altitude as steeply as some report",
                            beside.empty() ? "" : "; ", fixed(low, 0), fixed(high, 0));
    if (r_.fit.kind != engine::FitKind::none)
      row("gauge forecast, fitted", plus_minus(s_.gauge, 0, kpa_per_psi, " psi"), window());
    row("gauge forecast, model", plus_minus(s_.gauge_model, 0, kpa_per_psi, " psi"), beside);
  }

  std::string window() const {
    if (ask_.gauge_high_kpa <= 0) return "";
    const double in_hand = t_.gauge_in_hand_kpa / kpa_per_psi;
    const double short_of = (ask_.gauge_low_kpa - t_.gauge_fitted_kpa) / kpa_per_psi;
    const auto where = in_hand < -0.5   ? fmt::format("{} psi over it", fixed(-in_hand, 0))
                       : short_of > 0.5 ? fmt::format("{} psi short of it", fixed(short_of, 0))
                                        : fmt::format("{} psi in hand", fixed(std::abs(in_hand), 0));
    return fmt::format("window {} to {} psi, {}", fixed(ask_.gauge_low_kpa / kpa_per_psi, 0),
                       fixed(ask_.gauge_high_kpa / kpa_per_psi, 0), where);
  }

  /// A clearance volume and the head that goes with it.
  std::string both(double clearance) const {
    const double head = r_.motor.budget.head_from_clearance_cc(clearance);
    return head > 0 ? fmt::format("{:>8} cc head, {} cc clearance", fixed(head, 2), fixed(clearance, 2))
                    : fmt::format("{:>8} cc clearance: less than the crown takes", fixed(clearance, 2));
  }

  void criteria() {
    const std::pair<std::string_view, double> asked[] = {{"gauge window asks", t_.by_gauge_cc},
                                                         {"ratio ceiling asks", t_.by_ratio_cc},
                                                         {"squish asks", t_.by_squish_cc}};
    for (const auto& [name, clearance] : asked)
      row(name,
          clearance > 0   ? both(clearance)
          : clearance < 0 ? "    cannot be reached"
                          : "    (not asked)",
          clearance == t_.by_gauge_cc && clearance > 0
              ? fmt::format("for its middle, {} psi",
                            fixed((ask_.gauge_low_kpa + ask_.gauge_high_kpa) / 2 / kpa_per_psi, 0))
              : "");
    const bool wish = t_.bound_by >= engine::Criterion::wish_gauge;
    if (wish && !r_.spec.sheet.fuel.empty())
      row("guideline would ask", both(t_.by_guideline_cc),
          fmt::format("what you want is {} cc against it", signed_text(t_.clearance_cc - t_.by_guideline_cc, 2)));
  }

  const TargetReport& r_;
  const SiteTarget& s_;
  const engine::Target& t_;
  const engine::Ask& ask_;
  std::string out_;
};

void add_today(std::string& out, const TargetReport& r, const Paint& paint) {
  const auto& sheet = r.spec.sheet;
  if (!r.today) return;
  using engine::Fill;
  const double fitted = *sheet.bench.motor.today_head_cc;
  out += paint.head("Today's head\n");
  for (const auto f : {Fill::plug_fitted, Fill::bottom_of_plug_hole, Fill::top_of_plug_hole})
    out += fmt::format("  {:<32}{:>8} cc{}\n", engine::fill_names[static_cast<std::size_t>(f)],
                       fixed(engine::convert_fill_cc(fitted, Fill::plug_fitted, f, sheet.hole), 2),
                       f != sheet.filled ? ""
                       : sheet.weighed   ? "   as weighed"
                                         : "   as filled");
  out += fmt::format(
      "  (a plug hole {} mm long, pitch diameter {} mm, holds {} cc; the plug's tip displaces {} cc{})\n",
      fixed(sheet.hole.length_mm, 2), fixed(sheet.hole.pitch_diameter_mm, 3), fixed(engine::hole_cc(sheet.hole), 2),
      fixed(sheet.hole.plug_tip_cc, 2), sheet.hole_said ? "" : "; length from reach less washer");
  out += fmt::format("  {:<32}{} trapped, {} full stroke\n", "ratio", plus_minus(r.today_ratio, 2, 1, ":1"),
                     plus_minus(r.today_full_ratio, 2, 1, ":1"));
  for (std::size_t i = 0; i < r.fit.readings.size(); ++i) {
    const auto& x = r.fit.readings[i];
    out += fmt::format("  reading {:<24}{:>8} psi, {} % off the fit{}\n", fmt::format("\"{}\"", x.name),
                       fixed(sheet.bench.readings[i].gauge_kpa / kpa_per_psi, 0), fixed(100 * x.residual, 1),
                       x.contradicts ? ": " + paint.bad("contradicts") : "");
  }
  if (r.fit.kind != engine::FitKind::none)
    out += fmt::format("  fitted exponent n {} +- {}{}\n", fixed(r.fit.n, 3), fixed(1.96 * r.exponent.standard, 3),
                       r.fit.kind == engine::FitKind::exponent_and_altitude
                           ? fmt::format(", altitude exponent m {} +- {}; by pressure alone (the model) n {}",
                                         fixed(r.fit.m, 2), fixed(1.96 * r.altitude_exponent.standard, 2),
                                         fixed(r.fit.n_model, 3))
                           : "");
  out += "\n";
}

} // namespace

std::string to_text(const TargetReport& r, bool colour) {
  const Paint paint{colour};
  std::string out = paint.head(fmt::format("{} (revision {})", r.spec.name, r.spec.revision));
  const bool valve = r.motor.exhaust_open_deg > r.motor.exhaust_shut_deg;
  out += fmt::format(
      ": trapped {} cc{}, full stroke {} cc\n\n", fixed(r.spec.trapped_swept_cc(), 1),
      valve ? fmt::format(" (valve shut; open: {} cc)",
                          fixed(engine::trapped_swept_cc(r.spec.bore_mm, r.spec.crank, r.motor.exhaust_open_deg), 1))
            : "",
      fixed(r.spec.swept_cc(), 1));
  add_today(out, r, paint);
  for (const auto& s : r.sites) {
    out += SiteText(r, s).run(paint);
    out += "\n";
  }
  out += fmt::format("Each +- covers 95 %{}.\n",
                     r.trials ? fmt::format(" (Monte Carlo, {} trials, seed {})", r.trials, r.seed) : " (first order)");
  for (const auto& n : r.notes) out += "- " + n + "\n";
  return out;
}

} // namespace chamber::job
