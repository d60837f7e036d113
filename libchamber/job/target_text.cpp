#include "chamber/job/paint.hpp"
#include "chamber/job/target.hpp"
#include <cmath>
#include <fmt/format.h>

namespace chamber::job {
namespace {

using engine::kpa_per_psi;
using units::fixed;

std::string plus_minus(const Figure& f, int decimals, double unit = 1) {
  return fmt::format("{:>8} +- {}", fixed(f.value / unit, decimals), fixed(1.96 * f.standard / unit, decimals));
}

void add_site(std::string& out, const TargetReport& r, const SiteTarget& s, const Paint& paint) {
  const auto& t = s.target;
  const auto& ask = r.spec.sheet.bench.ask;
  out += paint.head(s.site.name);
  out +=
      fmt::format(": {} m, {} kPa, {} C{}, air {} kg/m3, density altitude {} m\n", fixed(s.site.altitude_m, 0),
                  fixed(s.site.ambient_kpa, 2), fixed(s.site.temperature_c, 1), s.site.air_given ? "" : " (standard)",
                  fixed(s.density_kg_m3, 3), fixed(std::round(s.density_altitude_m / 10) * 10, 0));
  const auto row = [&](std::string_view name, const std::string& value, std::string_view note) {
    out += fmt::format("  {:<24}{:<22}{}\n", name, value, note);
  };
  row("head volume wanted", plus_minus(s.head, 2) + " cc",
      r.today
          ? fmt::format("{}{} cc against today's head", t.head_change_cc >= 0 ? "+" : "", fixed(t.head_change_cc, 2))
          : "");
  row("clearance volume", plus_minus(s.clearance, 2) + " cc",
      fmt::format("bound by {}", engine::criterion_names[static_cast<std::size_t>(t.bound_by)]));
  row("trapped ratio", plus_minus(s.ratio, 2) + ":1",
      ask.ratio_ceiling > 0
          ? fmt::format("ceiling {}, {} {}", fixed(ask.ratio_ceiling, 2), fixed(std::abs(t.ratio_in_hand), 2),
                        t.ratio_in_hand >= -5e-3 ? "in hand" : "over it")
          : "");
  row("full-stroke ratio", fmt::format("{:>8}:1", fixed(t.full_ratio, 2)), "");
  if (r.motor.exhaust_open_deg > r.motor.exhaust_shut_deg)
    row("trapped, valve open", fmt::format("{:>8}:1", fixed(t.trapped_ratio_open, 2)), "at peak power");
  const bool window = ask.gauge_high_kpa > 0;
  row(r.fit.kind == engine::FitKind::none ? "gauge forecast, model" : "gauge forecast, fitted",
      plus_minus(s.gauge, 0, kpa_per_psi) + " psi",
      window ? fmt::format("window {} to {} psi", fixed(ask.gauge_low_kpa / kpa_per_psi, 0),
                           fixed(ask.gauge_high_kpa / kpa_per_psi, 0))
             : "");
  row("gauge, pressure alone", fmt::format("{:>8} psi", fixed(t.gauge_model_kpa / kpa_per_psi, 0)),
      fmt::format("{} to {} psi if it falls as steeply as some report", fixed(t.gauge_band_low_kpa / kpa_per_psi, 0),
                  fixed(t.gauge_band_high_kpa / kpa_per_psi, 0)));
  if (t.by_gauge_cc > 0 || t.by_ratio_cc > 0)
    row("asked by", "",
        fmt::format("gauge {} cc, ratio {} cc, squish {} cc", fixed(t.by_gauge_cc, 2), fixed(t.by_ratio_cc, 2),
                    fixed(t.by_squish_cc, 2)));
  if (!s.head.decided_by.empty()) row("what decides", s.head.decided_by, s.head.advice);
}

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
  out += fmt::format("  {:<32}{:>8}:1 trapped, {}:1 full stroke\n", "ratio", fixed(r.today->trapped_ratio, 2),
                     fixed(r.today->full_ratio, 2));
  for (std::size_t i = 0; i < r.fit.readings.size(); ++i) {
    const auto& x = r.fit.readings[i];
    out += fmt::format("  reading {:<24}{:>8} psi, {} % off the fit{}\n", x.name,
                       fixed(sheet.bench.readings[i].gauge_kpa / kpa_per_psi, 0), fixed(100 * x.residual, 1),
                       x.contradicts ? ": " + paint.bad("contradicts") : "");
  }
  if (r.fit.kind != engine::FitKind::none)
    out += fmt::format("  fitted exponent n {}{}\n", fixed(r.fit.n, 3),
                       r.fit.kind == engine::FitKind::exponent_and_altitude
                           ? fmt::format(", altitude exponent m {}", fixed(r.fit.m, 2))
                           : "");
  out += "\n";
}

} // namespace

std::string to_text(const TargetReport& r, bool colour) {
  const Paint paint{colour};
  std::string out = paint.head(fmt::format("{} (revision {})", r.spec.name, r.spec.revision));
  out += fmt::format(": trapped {} cc, full stroke {} cc\n\n", fixed(r.spec.trapped_swept_cc(), 1),
                     fixed(r.spec.swept_cc(), 1));
  add_today(out, r, paint);
  for (const auto& s : r.sites) {
    add_site(out, r, s, paint);
    out += "\n";
  }
  out += fmt::format("Each +- covers 95 %{}.\n",
                     r.trials ? fmt::format(" (Monte Carlo, {} trials, seed {})", r.trials, r.seed) : " (first order)");
  for (const auto& n : r.notes) out += "- " + n + "\n";
  return out;
}

} // namespace chamber::job
