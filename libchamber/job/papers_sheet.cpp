#include "chamber/job/papers.hpp"
#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace chamber::job {
namespace {

using units::fixed;

struct Group {
  std::string_view table, title;
};
constexpr Group groups[] = {{"engine", "Motor"}, {"crown", "Piston crown"}, {"seal", "Seal"},
                            {"plug", "Plug"},    {"squish", "Squish"},      {"want", "Wanted"},
                            {"gauge", "Gauge"},  {"today", "Today's head"}, {"reading", "Reading"},
                            {"use", "Use"},      {"site", "Site"},          {"uncertainty", "Measured to within"}};

/// Of long lists only the first are printed: the spec holds the rest.
constexpr std::size_t most_of_a_list = 4;

std::string plain(std::string key) {
  std::replace(key.begin(), key.end(), '_', ' ');
  return key;
}

} // namespace

bool has_sites(const Spec& spec) {
  return std::any_of(spec.typed.begin(), spec.typed.end(), [](const Typed& t) { return t.table.starts_with("site "); });
}

std::vector<papers::FactGroup> measured(const Spec& spec) {
  std::vector<papers::FactGroup> out;
  for (const auto& g : groups) {
    std::string last;
    std::size_t tables = 0;
    for (const auto& t : spec.typed) {
      if (t.table.substr(0, t.table.find(' ')) != g.table) continue;
      if (t.table != last) {
        if (++tables <= most_of_a_list) out.push_back({std::string(g.title), {}});
        last = t.table;
      }
      if (tables > most_of_a_list) continue;
      if (t.key == "name" && t.table.find(' ') != std::string::npos)
        out.back().title += ": " + t.text;
      else
        out.back().facts.push_back({plain(t.key), t.text, ""});
    }
    if (tables > most_of_a_list)
      out.push_back({std::string(g.title), {{"and more", std::to_string(tables - most_of_a_list), "in the spec"}}});
  }
  std::erase_if(out, [](const auto& g) { return g.facts.empty(); });
  return out;
}

std::vector<papers::Fact> answer_facts(const TargetReport& r, std::size_t i) {
  const auto& s = r.sites[i];
  const Words w(r.spec);
  const auto& ask = r.spec.sheet.bench.ask;
  std::vector<papers::Fact> out;
  out.push_back(
      {"head volume", known_to(s.head, 2, 1, " cc"),
       r.today ? fmt::format("plug fitted; {}{} cc against today's head", s.target.head_change_cc >= 0 ? "+" : "−",
                             fixed(std::abs(s.target.head_change_cc), decimals_of(s.head, 2, 1)))
               : "plug fitted"});
  out.push_back({"clearance volume", known_to(s.clearance, 2, 1, " cc"),
                 fmt::format("bound by {}", engine::criterion_names[static_cast<std::size_t>(s.target.bound_by)])});
  out.push_back({"trapped ratio", known_to(s.ratio, 2, 1, ""),
                 ask.ratio_ceiling > 0 ? fmt::format("to 1; ceiling {}", fixed(ask.ratio_ceiling, 2)) : "to 1"});
  if (r.motor.exhaust_open_deg > r.motor.exhaust_shut_deg)
    out.push_back({"with the power valve open", known_to(s.ratio_open, 2, 1, ""), "at peak power"});
  if (has_sites(r.spec) && (r.fit.kind != engine::FitKind::none || ask.gauge_high_kpa > 0)) {
    const auto& u = w.pressure_unit();
    const bool fitted = r.fit.kind != engine::FitKind::none;
    out.push_back(
        {"gauge will read",
         known_to(fitted ? s.gauge : s.gauge_model, u.scale >= 50 ? 1 : 0, u.scale, fmt::format(" {}", u.symbol)),
         fmt::format("at {}{}{}", s.site.name, fitted ? "" : ", by pressure alone",
                     ask.gauge_high_kpa > 0 ? fmt::format("; window {} to {}", w.pressure_figure(ask.gauge_low_kpa),
                                                          w.pressure(ask.gauge_high_kpa))
                                            : "")});
  }
  return out;
}

std::vector<std::string> answer_reasons(const TargetReport& r, std::size_t i) {
  const auto& s = r.sites[i];
  const auto& t = s.target;
  const Words w(r.spec);
  std::vector<std::string> out;
  const bool wish = t.bound_by >= engine::Criterion::wish_gauge;
  if (!r.spec.sheet.fuel.empty()) {
    std::string asked;
    const auto add = [&](std::string_view what, double cc) {
      if (cc > 0)
        asked += fmt::format("{}{} asks for {} cc of clearance", asked.empty() ? "" : ", ", what,
                             fixed(cc, decimals_of(s.clearance, 2, 1)));
    };
    add("the gauge window", t.by_gauge_cc);
    add("the ratio ceiling", t.by_ratio_cc);
    add("the squish clearance", t.by_squish_cc);
    if (!asked.empty()) {
      asked[0] = 'T';
      out.push_back(fmt::format(
          "{} ({}, {}): {}", asked, r.spec.sheet.fuel, r.spec.sheet.use,
          wish ? fmt::format("what is wanted stands {}{} cc against it.",
                             t.clearance_cc >= t.by_guideline_cc ? "+" : "−",
                             fixed(std::abs(t.clearance_cc - t.by_guideline_cc), decimals_of(s.clearance, 2, 1)))
               : "the largest is the answer."));
    }
  } else if (wish) {
    out.push_back("The volume follows from what was wanted; no guideline was asked.");
  }
  const auto& decided = s.head.decided_by.empty() ? s.clearance : s.head;
  if (!decided.decided_by.empty())
    out.push_back(fmt::format("How well this is known is decided by: {}. To know it better, {}.", decided.decided_by,
                              decided.advice));
  if (r.fit.kind != engine::FitKind::none && has_sites(r.spec))
    out.push_back(fmt::format("By air pressure alone the gauge would read {}.", w.pressure(s.gauge_model.value)));
  return out;
}

} // namespace chamber::job
