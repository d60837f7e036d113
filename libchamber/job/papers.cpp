#include "chamber/job/papers.hpp"
#include "chamber/job/files.hpp"
#include "chamber/job/sha256.hpp"
#include "chamber/papers/section.hpp"
#include "chamber/solve/appraise.hpp"
#include "chamber/units/tolerance.hpp"
#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace chamber::job {
namespace {

using units::fixed;

profile::Chain crown_chain(const engine::Budget& b) {
  using profile::P;
  const double r = b.bore_mm / 2, edge = -b.edge_below_face_mm(), R = b.crown.sphere_radius_mm;
  if (b.crown.form == engine::Crown::Form::flat || R <= 0) return {profile::line(P{r, edge}, P{0, edge})};
  const double deep = std::sqrt(R * R - r * r);
  if (b.crown.form == engine::Crown::Form::domed)
    return {profile::arc(profile::Kind::ccw, P{r, edge}, P{0, edge - deep + R}, P{0, edge - deep}, R)};
  return {profile::arc(profile::Kind::cw, P{r, edge}, P{0, edge + deep - R}, P{0, edge + deep}, R)};
}

papers::Picture section_of(const Design& d, const Words& w) {
  papers::SectionView v;
  v.chamber = shapes::chain_of(d.fit.chamber);
  v.crown = crown_chain(d.spec.budget);
  v.bore_mm = d.spec.bore_mm;
  const auto gap = gap_along_band(d.spec, d.fit).gap;
  const auto add = [&](std::size_t i) {
    const double scale = w.inch() ? units::mm_per_inch : 1;
    const double r = d.spec.bore_mm / 2 - gap[i].x * scale;
    const double crown =
        -d.spec.budget.edge_below_face_mm() + engine::crown_height_at_mm(d.spec.budget.crown, d.spec.bore_mm, r);
    v.gaps.push_back({r, crown, crown + gap[i].y * scale, w.length(gap[i].y * scale)});
  };
  add(1);
  v.gaps[0].text = w.length(d.spec.squish_clearance_mm); // it stands a hair inside the bore, to be seen
  add(gap.size() - 1);
  v.volume = fmt::format("{} cc", fixed(d.volumes.profile, 2));
  v.summary = fmt::format("Section of the chamber with the piston at top dead centre: the squish gap is {} at the bore "
                          "and {} at the bowl's mouth.",
                          v.gaps[0].text, v.gaps[1].text);
  return {"Profile, crown and squish gap.", figure_of(v), "Piston at top dead centre, head on.", true};
}

/// On paper only what the answer rests on: it is for the bench.
void add_charts(papers::Traveller& t, const Design& d, const TargetReport* report) {
  if (report) {
    if (const auto f = forecast_of(*report, d.volumes.profile)) {
      t.charts.push_back({"", papers::pressure_chart(*f), "", true});
      if (f->ratio_now || f->ratio_ceiling) t.charts.push_back({"", papers::ratio_chart(*f), "", true});
    }
    if (const auto c = contributions_of(*report, d.spec.wanted_site))
      t.charts.push_back({"", papers::contributions_chart(*c), "", false});
  }
  t.charts.push_back({"", papers::gap_chart(gap_along_band(d.spec, d.fit)), "", false});
  if (const auto v = gap_velocity(d.spec, d.fit)) t.charts.push_back({"", papers::velocity_chart(*v), "", false});
}

/// "smallest 0.0438 in at ⌀ 2.390 in": what touches first need not be at the bore.
std::string smallest_gap(const Design& d, const Words& w) {
  const auto least = solve::appraise(shapes::chain_of(d.fit.chamber), d.spec.task).smallest_gap;
  return fmt::format("smallest {} at ⌀ {}", w.length(least.gap_mm, true), w.length(2 * least.radius_mm));
}

std::vector<papers::Fact> headline_of(const Design& d, const Words& w) {
  return {{"Head volume", fmt::format("{} cc", fixed(d.volumes.profile, 2)), "plug fitted"},
          {"Clearance volume", fmt::format("{} cc", fixed(d.clearance_cc(), 2)), "head on, piston at the top"},
          {"Trapped ratio", fixed(d.trapped_ratio(), 2) + ":1",
           fmt::format("trapped {} cc", fixed(d.spec.trapped_swept_cc(), 1))},
          {"Full-stroke ratio", fixed(d.full_ratio(), 2) + ":1",
           fmt::format("full stroke {} cc", fixed(d.spec.swept_cc(), 1))},
          {"Squish gap", w.length(d.spec.squish_clearance_mm), "at the bore; " + smallest_gap(d, w)}};
}

/// What is known of the answer where the sheet gives nothing to forecast with.
std::vector<papers::Fact> plain_answer(const Design& d) {
  return {{"head volume", fmt::format("{} cc", fixed(d.volumes.profile, 2)), "plug fitted"},
          {"clearance volume", fmt::format("{} cc", fixed(d.clearance_cc(), 2)), ""},
          {"trapped ratio", fixed(d.trapped_ratio(), 2) + ":1", ""}};
}

void add_squish(papers::Traveller& t, const Design& d, const Words& w) {
  const auto& split = d.fit.split;
  t.answer.push_back({"squish area",
                      fixed(100 * engine::squish_area_ratio(split.bore_mm, split.mouth_radius_mm), 1) + " %",
                      fmt::format("gap {} at the bore, {} at the mouth", w.length(d.spec.squish_clearance_mm),
                                  w.length(split.mouth_gap_mm))});
  if (d.fit.peak.velocity_m_s > 0)
    t.answer.push_back({"peak gap velocity", w.velocity(d.fit.peak.velocity_m_s),
                        fmt::format("{} deg before top dead centre at {} rpm", fixed(d.fit.peak.before_tdc_deg, 0),
                                    fixed(d.spec.peak_rpm, 0))});
}

} // namespace

papers::Paper paper_of(const Spec& spec) {
  return spec.drawing.paper == drawing::Paper::a4 ? papers::Paper::a4 : papers::Paper::letter;
}

int decimals_of(const Figure& f, int most, double unit) {
  const double half = (f.high - f.low) / 2 / unit;
  if (!std::isfinite(half) || half < 0.5 * std::pow(10.0, -most)) return most;
  // Two figures of the uncertainty, and the value to the same place (JCGM 100, 7.2.6).
  return std::clamp(1 - static_cast<int>(std::floor(std::log10(half))), 0, most);
}

std::string known_to(const Figure& f, int decimals, double unit, std::string_view name) {
  const double half = (f.high - f.low) / 2 / unit;
  if (!std::isfinite(half)) return fmt::format("{}{}, not known how well", fixed(f.value / unit, decimals), name);
  if (half < 0.5 * std::pow(10.0, -decimals)) return fixed(f.value / unit, decimals) + std::string(name);
  decimals = decimals_of(f, decimals, unit);
  return fmt::format("{}{} ± {}{}", fixed(f.value / unit, decimals), name, fixed(half, decimals), name);
}

std::vector<std::string> on_paper(std::vector<std::string> sentences) {
  for (auto& s : sentences)
    for (auto at = s.find("+-"); at != std::string::npos; at = s.find("+-")) s.replace(at, 2, "±");
  return sentences;
}

void explain_doubt(papers::Traveller& t) {
  if (std::any_of(t.answer.begin(), t.answer.end(),
                  [](const auto& f) { return f.value.find("±") != std::string::npos; }))
    t.reasons.insert(
        t.reasons.begin(),
        "± covers 95 %: how well the figure is known from what was measured. It is no tolerance to cut to.");
}

papers::Traveller traveller_of(const Design& d, const TargetReport* report, const std::vector<std::string>& sheets) {
  const auto& s = d.spec;
  const Words w(s);
  const auto base = slug(s.name);
  papers::Traveller t;
  t.job = s.name, t.revision = s.revision, t.customer = s.customer, t.material = s.material, t.note = s.note;
  t.made_by = "chamber " CHAMBER_VERSION;
  t.spec_hash = "sha256 " + s.sha256.substr(0, 16);
  t.headline = headline_of(d, w);
  t.measured = measured(s);
  t.answer = report ? answer_facts(*report, s.wanted_site) : plain_answer(d);
  add_squish(t, d, w);
  if (report) t.reasons = answer_reasons(*report, s.wanted_site);
  explain_doubt(t);
  for (const auto& b : d.fit.binding) t.reasons.push_back("The shape leans on a limit: " + b + ".");
  t.section = section_of(d, w);
  add_charts(t, d, report);
  for (std::size_t i = 0; i < sheets.size(); ++i)
    t.drawings.push_back({fmt::format("Drawing, sheet {} of {}", i + 1, sheets.size()), sheets[i],
                          "Shrunk to fit: measure nothing on it but its length line; the PDF file is to scale."});
  t.setups = setup_sheets(d.turned, s, base, false);
  t.inspection = inspection(d);
  t.burette = burette_test(s, d.volumes.profile);
  t.programs = program_files(d.turned, base);
  t.programs.push_back({s.file == "(standard input)" ? "the spec" : std::filesystem::path(s.file).filename().string(),
                        "the sheet of measurements and wishes this was worked out from",
                        "sha256 " + s.sha256.substr(0, code_digits)});
  if (!d.turned.unproven.empty())
    t.cautions.push_back("THE LATHE PROGRAMS ARE NOT PROVEN. They were written on demand. " +
                         d.turned.unproven.front().message);
  t.notes = on_paper(d.notes);
  for (const auto c : cautions()) t.cautions.emplace_back(c);
  return t;
}

void add_set(papers::Traveller& t, const SetPart& part) {
  t.note = part.purpose + (t.note.empty() ? "" : " " + t.note);
  // The sheet's one site is not this insert's: what it is for stands above.
  for (auto& g : t.measured)
    if (g.title == "Wanted") std::erase_if(g.facts, [](const papers::Fact& f) { return f.name == "site"; });
  std::erase_if(t.measured, [](const auto& g) { return g.facts.empty(); });
  for (const auto& r : part.reads) t.answer.push_back({"at " + r.site, r.here, r.others});
  for (auto& n : on_paper(part.notes)) t.notes.push_back(std::move(n));
}

papers::Traveller target_page(const TargetReport& r) {
  const auto& s = r.spec;
  papers::Traveller t;
  t.job = s.name, t.revision = s.revision, t.customer = s.customer, t.note = s.note;
  t.made_by = "chamber " CHAMBER_VERSION;
  t.spec_hash = "sha256 " + s.sha256.substr(0, 16);
  const auto& site = r.sites[s.wanted_site];
  t.headline = {{"Head volume", known_to(site.head, 2, 1, " cc"), site.site.name},
                {"Clearance volume", known_to(site.clearance, 2, 1, " cc"), site.site.name},
                {"Trapped ratio", known_to(site.ratio, 2, 1, ""), "to 1; " + site.site.name},
                {"Full-stroke ratio", known_to(site.full_ratio, 1, 1, ""), "to 1; " + site.site.name}};
  t.measured = measured(s);
  for (std::size_t i = 0; i < r.sites.size(); ++i) {
    auto facts = answer_facts(r, i);
    if (r.sites.size() > 1) t.answer.push_back({r.sites[i].site.name + ":", "", ""});
    t.answer.insert(t.answer.end(), facts.begin(), facts.end());
    for (auto& reason : answer_reasons(r, i))
      t.reasons.push_back(r.sites.size() > 1 ? r.sites[i].site.name + ": " + reason : reason);
  }
  if (const auto f = forecast_of(r, site.head.value)) {
    t.charts.push_back({"", papers::pressure_chart(*f), "", true});
    if (f->ratio_now || f->ratio_ceiling) t.charts.push_back({"", papers::ratio_chart(*f), "", true});
  }
  constexpr std::size_t most = 6;
  for (std::size_t i = 0; i < std::min(most, r.sites.size()); ++i)
    if (const auto c = contributions_of(r, i)) t.charts.push_back({"", papers::contributions_chart(*c), "", true});
  explain_doubt(t);
  t.notes = on_paper(r.notes);
  for (const auto c : cautions().first(2)) t.cautions.emplace_back(c);
  return t;
}

} // namespace chamber::job
