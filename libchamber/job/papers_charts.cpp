#include "chamber/engine/air.hpp"
#include "chamber/job/papers.hpp"
#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace chamber::job {
namespace {

using units::fixed;

constexpr std::size_t slices = 17;
constexpr double widest_beyond_m = 300, least_span_m = 1500;
constexpr std::size_t most_named_sites = 6;

double altitude_of_m(double ambient_kpa) {
  const double h = engine::pressure_altitude_m(ambient_kpa);
  return 6356766 * h / (6356766 - h); // geometric of geopotential: air.hpp
}

struct Span {
  double low = 0, high = 0;
};

/// What sites and readings lie within, with some room, metres.
Span altitudes_of(const TargetReport& r) {
  Span s{0, 0};
  const auto take = [&](double m) { s.low = std::min(s.low, m), s.high = std::max(s.high, m); };
  for (const auto& site : r.sites) take(site.site.altitude_m);
  for (const auto& x : r.spec.sheet.bench.readings) take(altitude_of_m(x.ambient_kpa));
  s.high = std::max(s.high + widest_beyond_m, s.low + least_span_m);
  const double grid = 100;
  return {std::floor(s.low / grid) * grid, std::ceil(s.high / grid) * grid};
}

/// The same motor with one head at every altitude of the chart: the report's own uncertainty goes along.
std::optional<TargetReport> at_altitudes(const TargetReport& r, double head_cc, const Span& span) {
  Spec s = r.spec;
  auto& bench = s.sheet.bench;
  bench.wish = {};
  bench.wish.head_cc = head_cc;
  s.sheet.sites.clear();
  bench.ambient_kpa.clear();
  for (std::size_t i = 0; i < slices; ++i) {
    Site site;
    site.altitude_m = span.low + (span.high - span.low) * static_cast<double>(i) / (slices - 1);
    site.name = fixed(site.altitude_m, 0);
    site.ambient_kpa = engine::standard_pressure_at_kpa(engine::geopotential_m(site.altitude_m));
    site.by_altitude = true;
    bench.ambient_kpa.push_back(site.ambient_kpa);
    s.sheet.sites.push_back(std::move(site));
  }
  auto out = target_report(std::move(s), {});
  if (!out) return std::nullopt;
  return std::move(*out);
}

double ratio_reading(const TargetReport& r, double ambient_kpa, double gauge_kpa) {
  const auto c = engine::cranking(r.motor, true);
  const double clearance = engine::clearance_for_gauge_cc(c, ambient_kpa, gauge_kpa);
  return clearance > 0.5 ? engine::compression_ratio(c.trapped_swept_cc, clearance) : 0;
}

/// Height of the sharp band over the sealing face.
double band_z(const profile::S& band, double r) {
  if (!band.is_arc()) {
    const double t = (r - band.start.r) / (band.end.r - band.start.r);
    return band.start.z + t * (band.end.z - band.start.z);
  }
  const double dr = r - band.centre.r, up = std::sqrt(std::max(0.0, band.radius * band.radius - dr * dr));
  return band.centre.z + (band.start.z >= band.centre.z ? up : -up);
}

} // namespace

std::optional<papers::Forecast> forecast_of(const TargetReport& r, double head_cc) {
  const auto& bench = r.spec.sheet.bench;
  if (bench.readings.empty() && !has_sites(r.spec)) return std::nullopt;
  const auto& today = bench.motor.today_head_cc;
  const auto span = altitudes_of(r);
  const auto there = at_altitudes(r, today.value_or(head_cc), span);
  if (!there) return std::nullopt;

  const Words w(r.spec);
  const double m = 1000 / w.altitude_unit().scale, kpa = 1 / w.pressure_unit().scale;
  papers::Forecast f;
  f.altitude_unit = w.altitude_unit().symbol, f.pressure_unit = w.pressure_unit().symbol;
  f.head = today ? "today's head" : "this insert";
  f.fitted = r.fit.kind != engine::FitKind::none;
  const auto& ask = bench.ask;
  for (const auto& s : there->sites) {
    const auto& shown = f.fitted ? s.gauge : s.gauge_model;
    papers::Forecast::Slice slice{s.site.altitude_m * m, s.gauge.value * kpa, s.gauge_model.value * kpa,
                                  shown.low * kpa, shown.high * kpa};
    if (ask.gauge_high_kpa > 0) {
      slice.ratio_low = ratio_reading(r, s.site.ambient_kpa, ask.gauge_low_kpa);
      slice.ratio_high = ratio_reading(r, s.site.ambient_kpa, ask.gauge_high_kpa);
      if (slice.ratio_low <= 0) slice.ratio_high = 0;
    }
    f.slices.push_back(slice);
  }
  if (std::isfinite(f.slices.front().low) && std::isfinite(f.slices.back().low)) f.band_label = "known to, 95 %";
  if (ask.gauge_high_kpa > 0) {
    f.wanted_low = ask.gauge_low_kpa * kpa, f.wanted_high = ask.gauge_high_kpa * kpa;
    f.ratio_now = there->sites.front().ratio.value;
    f.ratio_ceiling = ask.ratio_ceiling;
  }
  for (const auto& x : bench.readings) f.readings.push_back({altitude_of_m(x.ambient_kpa) * m, x.gauge_kpa * kpa});
  for (std::size_t i = 0; has_sites(r.spec) && i < r.spec.sheet.sites.size(); ++i)
    if (r.spec.sheet.sites.size() <= most_named_sites || i == r.spec.wanted_site)
      f.sites.push_back({r.spec.sheet.sites[i].name, r.spec.sheet.sites[i].altitude_m * m});
  return f;
}

papers::GapAlongBand gap_along_band(const Spec& s, const solve::Fit& fit) {
  const Words w(s);
  papers::GapAlongBand out;
  out.length_unit = w.length_unit();
  constexpr int points = 24;
  const double bore = s.bore_mm / 2, mouth = fit.split.mouth_radius_mm;
  for (int i = 0; i <= points; ++i) {
    const double r = bore + (mouth - bore) * i / points;
    const double gap = band_z(fit.chamber.band, r) + s.budget.edge_below_face_mm() -
                       engine::crown_height_at_mm(s.budget.crown, s.bore_mm, r);
    out.gap.push_back({w.lengths(bore - r), w.lengths(gap)});
  }
  if (s.task.limits.gap_min_mm > 0) out.smallest_allowed = w.lengths(s.task.limits.gap_min_mm);
  return out;
}

std::optional<papers::GapVelocity> gap_velocity(const Spec& s, const solve::Fit& fit) {
  if (s.peak_rpm <= 0) return std::nullopt;
  const Words w(s);
  const double scale = 1 / w.velocity_unit().scale;
  papers::GapVelocity out;
  out.velocity_unit = w.velocity_unit().symbol;
  out.speed = fixed(s.peak_rpm, 0) + " rpm";
  for (int deg = 0; deg <= 60; ++deg)
    out.velocity.push_back({static_cast<double>(deg),
                            scale * engine::gap_velocity_m_s(fit.split, engine::piston_travel_mm(s.crank, deg),
                                                             engine::piston_speed_m_s(s.crank, deg, s.peak_rpm))});
  if (s.task.limits.gap_velocity_max_m_s < 1e8) out.most_allowed = s.task.limits.gap_velocity_max_m_s * scale;
  return out;
}

std::optional<papers::Contributions> contributions_of(const TargetReport& r, std::size_t site) {
  const auto& s = r.sites[site];
  const bool wished = !(s.head.standard > 5e-3);
  const auto& figure = wished ? s.clearance : s.head;
  if (!std::isfinite(figure.standard) || figure.standard < 5e-3) return std::nullopt;
  papers::Contributions out;
  out.answer = fmt::format("{}, {}", wished ? "clearance volume" : "head volume", known_to(figure, 2, 1, " cc"));
  if (r.sites.size() > 1) out.answer += ", " + s.site.name;
  out.unit = "cc";
  constexpr std::size_t most = 7;
  double rest = 0;
  for (const auto& p : figure.parts)
    if (out.parts.size() < most && p.standard >= 5e-3)
      out.parts.push_back({p.input, p.standard, fixed(p.standard, 2) + " cc"});
    else
      rest += p.standard * p.standard;
  if (std::sqrt(rest) >= 5e-3) out.parts.push_back({"all others", std::sqrt(rest), fixed(std::sqrt(rest), 2) + " cc"});
  if (out.parts.empty()) return std::nullopt;
  return out;
}

} // namespace chamber::job
