// What an accepted sheet or spec leads to before metal: the forecast at every site, and the fit.
#include "chamber/job/target.hpp"
#include "chamber/profile/integrals.hpp"
#include "target.hpp"

namespace chamber::fuzz {
namespace {

void check_failure(const job::Failure& f) {
  promise(f.code == job::Exit::spec || f.code == job::Exit::out_of_reach, "a fault of the program");
  promise(!f.problems.empty(), "a failure without a problem");
  for (const auto& p : f.problems) check_problem(p);
}

void check_figure(const job::Figure& f) {
  check_finite(f.value, "a figure"), check_finite(f.standard, "an uncertainty");
  promise(f.standard >= 0, "an uncertainty below zero");
}

} // namespace

void forecast(std::string_view bytes) {
  auto s = job::read_spec(std::string(bytes), "sheet.toml", job::Need::target);
  if (!s) return;
  const auto r = job::target_report(*std::move(s), {});
  if (!r) return check_failure(r.error());
  promise(!r->sites.empty(), "a report of no site");
  for (const auto& site : r->sites) {
    for (const auto* f : {&site.clearance, &site.head, &site.ratio, &site.full_ratio, &site.gauge, &site.gauge_model,
                          &site.ratio_open, &site.head_change})
      check_figure(*f);
    promise(site.clearance.value > 0 && site.head.value > 0 && site.ratio.value > 1 && site.full_ratio.value > 1,
            "a motor that cannot be");
    check_finite(site.density_kg_m3, "density"), check_finite(site.density_altitude_m, "density altitude");
  }
}

void fit(std::string_view bytes) {
  const auto s = job::read_spec(std::string(bytes), CHAMBER_TEST_FILES "/fuzz/seeds/lathe/fuzzed.toml");
  if (!s) return;
  const auto fit = solve::fit(s->task);
  if (!fit) {
    check_finite(fit.error().wanted_cc, "what was wanted");
    if (fit.error().any_reachable) {
      check_finite(fit.error().low_cc, "the least"), check_finite(fit.error().high_cc, "the most");
      promise(fit.error().low_cc <= fit.error().high_cc, "a range turned round");
    }
    return;
  }
  promise(std::abs(fit->residual_cc) <= 0.005, "a volume that is off");
  for (const auto& c : fit->checks) promise(c.ok && std::isfinite(c.value), "a fit over its own limit: " + c.name);
  const auto chain = shapes::chain_of(fit->chamber);
  check_finite(profile::swept_volume(profile::ChainView(chain)), "the volume");
  const auto insert = shapes::assemble(fit->chamber, s->task.body, s->task.plug);
  if (!insert) return check_problem(insert.error());
  check_finite(insert->height_mm, "the height");
}

} // namespace chamber::fuzz
