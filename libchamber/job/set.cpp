#include "chamber/job/set.hpp"
#include "chamber/job/words.hpp"
#include "chamber/job/workers.hpp"
#include "chamber/units/tolerance.hpp"
#include <algorithm>
#include <fmt/format.h>
#include <numeric>

namespace chamber::job {
namespace {

std::string letter_of(std::size_t i) {
  std::string out;
  for (++i; i > 0; i = (i - 1) / 26) out.insert(out.begin(), static_cast<char>('A' + (i - 1) % 26));
  return out;
}

bool is_within(const engine::Ask& ask, const engine::Target& t) {
  const double slack = 1e-6;
  const bool ratio = t.trapped_ratio <= ask.ratio_ceiling * (1 + slack);
  const bool gauge =
      ask.gauge_high_kpa <= 0 || std::max(t.gauge_fitted_kpa, t.gauge_model_kpa) <= ask.gauge_high_kpa * (1 + slack);
  return ratio && gauge;
}

/// Says which inserts are over the guideline at a site of their own, and which stars hang on less than the forecast is
/// known.
void add_cautions(Set& set) {
  const auto& r = set.report;
  const auto& ask = r.spec.sheet.bench.ask;
  const auto psi = [](double kpa) { return units::fixed(kpa / engine::kpa_per_psi, 0); };
  for (const auto& insert : set.inserts)
    for (const auto& [s, t, within] : insert.at) {
      if (!within) continue;
      const bool own = std::find(insert.sites.begin(), insert.sites.end(), s) != insert.sites.end();
      if (own && !*within)
        set.cautions.push_back(fmt::format(
            "CAUTION: insert {} is over the guideline at {}, where it belongs: {} psi{} (window to {}), {}:1 (ceiling "
            "{}).",
            insert.letter, r.sites[s].site.name, psi(std::max(t.gauge_fitted_kpa, t.gauge_model_kpa)),
            t.gauge_model_kpa > t.gauge_fitted_kpa ? " by pressure alone" : "", psi(ask.gauge_high_kpa),
            units::fixed(t.trapped_ratio, 2), units::fixed(ask.ratio_ceiling, 2)));
      const double known_to = 1.96 * r.sites[s].gauge.standard,
                   forecast = std::max(t.gauge_fitted_kpa, t.gauge_model_kpa);
      if (*within && ask.gauge_high_kpa > 0 && forecast + known_to > ask.gauge_high_kpa)
        set.cautions.push_back(fmt::format(
            "It is not sure that insert {} at {} keeps to the guideline: {} psi is known to +- {} psi, and the window "
            "ends at {}.",
            insert.letter, r.sites[s].site.name, psi(forecast), psi(known_to), psi(ask.gauge_high_kpa)));
    }
}

/// The spec as it is for one insert: its volume given outright, its letter in the name.
Spec spec_for(const Spec& spec, const SetInsert& insert) {
  Spec s = spec;
  s.name = fmt::format("{} insert {}", spec.name, insert.letter);
  s.wanted_site = insert.sites.front();
  s.task.head_cc = insert.head_cc;
  return s;
}

} // namespace

Set plan_set(TargetReport report, double apart_cc) {
  Set set;
  std::vector<std::size_t> order(report.sites.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  const auto head = [&](std::size_t i) { return report.sites[i].target.head_cc; };
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return head(a) > head(b); });
  for (const auto i : order) {
    // Sorted from the largest: an insert's own volume is its first site's, the safe one.
    if (set.inserts.empty() || set.inserts.back().head_cc - head(i) >= apart_cc)
      set.inserts.push_back({letter_of(set.inserts.size()), {}, head(i), {}, ""});
    set.inserts.back().sites.push_back(i);
  }
  for (auto& insert : set.inserts) {
    const double clearance = report.spec.budget.clearance_from_head_cc(insert.head_cc);
    const auto add = [&](std::size_t i) {
      const auto& sheet = report.spec.sheet;
      SetPlace place{
          i, engine::forecast(report.motor, sheet.bench.ask, clearance, report.sites[i].site.ambient_kpa), {}};
      if (!sheet.fuel.empty()) place.within = is_within(sheet.bench.ask, place.forecast);
      insert.at.push_back(place);
    };
    if (report.sites.size() > most_tabled_sites)
      for (const auto i : insert.sites) add(i);
    else
      for (std::size_t i = 0; i < report.sites.size(); ++i) add(i);
  }
  set.report = std::move(report);
  add_cautions(set);
  return set;
}

SetPart part_of(const Set& set, std::size_t index) {
  constexpr std::size_t most_on_paper = 8; ///< of sites; of more, its own only
  const auto& insert = set.inserts.at(index);
  const auto& sites = set.report.sites;
  const Words w(set.report.spec);
  const auto said = [&](const engine::Target& t) {
    return fmt::format("{}, {}:1", w.pressure(t.gauge_fitted_kpa), units::fixed(t.trapped_ratio, 2));
  };
  SetPart out;
  out.purpose = fmt::format("Insert {} of {}: for ", insert.letter, set.inserts.size());
  for (const auto s : insert.sites) out.purpose += (s == insert.sites.front() ? "" : ", ") + sites[s].site.name;
  out.purpose += ".";
  for (const auto& here : insert.at) {
    const bool own = std::find(insert.sites.begin(), insert.sites.end(), here.site) != insert.sites.end();
    if (!own && sites.size() > most_on_paper) continue;
    std::string others = own ? "what it is for" : "";
    const auto add = [&](const std::string& what) { others += (others.empty() ? "" : "; ") + what; };
    if (here.within && !*here.within) add("over the guideline there");
    if (sites.size() <= most_on_paper)
      for (const auto& other : set.inserts)
        if (&other != &insert) add(fmt::format("{}: {}", other.letter, said(other.at[here.site].forecast)));
    out.reads.push_back({sites[here.site].site.name, said(here.forecast), others});
  }
  out.notes = set.cautions;
  out.notes.insert(out.notes.end(), set.report.notes.begin(), set.report.notes.end());
  return out;
}

tl::expected<Set, Failure> make_set(Spec spec, const TargetOptions& target, const DesignOptions& options,
                                    double apart_cc, const Progress& progress) {
  auto report = target_report(spec, target);
  if (!report) return tl::unexpected(report.error());
  Set set = plan_set(std::move(*report), apart_cc);
  auto staging = Staging::open(options.folder);
  if (!staging) return tl::unexpected(Failure{Exit::files, {staging.error()}, {}});

  const auto one = [&](std::size_t i) -> std::optional<Failure> {
    auto own = options;
    own.part = part_of(set, i);
    auto d = design_into(spec_for(spec, set.inserts[i]), own, *staging);
    if (!d) return d.error();
    if (d->turned.unproven.empty()) return std::nullopt;
    return Failure{Exit::unproven, d->turned.unproven, {}}; // a set is proven or not written
  };
  auto failures = run_in_processes(set.inserts.size(), one, progress);
  for (std::size_t i = 0; i < failures.size(); ++i)
    if (failures[i]) {
      for (auto& p : failures[i]->problems) p.message = fmt::format("insert {}: {}", set.inserts[i].letter, p.message);
      return tl::unexpected(std::move(*failures[i]));
    }
  if (options.outputs.has(Output::json))
    for (auto& insert : set.inserts) insert.json_file = slug(spec_for(spec, insert).name) + ".json";
  const auto base = slug(spec.name);
  for (const auto& [name, text] :
       {std::pair{base + "-set.txt", to_text(set, false)}, {base + "-set.json", to_json(set)}})
    if (auto ok = staging->write(name, text); !ok) return tl::unexpected(Failure{Exit::files, {ok.error()}, {}});
  auto names = staging->commit();
  if (!names) return tl::unexpected(Failure{Exit::files, {names.error()}, {}});
  for (const auto& n : *names)
    set.files.push_back({(options.folder / n).string(),
                         n.ends_with("-set.txt") || n.ends_with("-set.json") ? "table of the set" : "insert"});
  return set;
}

} // namespace chamber::job
