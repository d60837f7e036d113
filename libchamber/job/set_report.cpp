#include "chamber/job/json_parts.hpp"
#include "chamber/job/paint.hpp"
#include "chamber/job/set.hpp"
#include <fmt/format.h>

namespace chamber::job {

using engine::kpa_per_psi;
using units::fixed;

namespace {

std::string cell(const SetPlace& p) {
  return fmt::format("{} / {}:1 {}", fixed(p.forecast.gauge_fitted_kpa / kpa_per_psi, 0),
                     fixed(p.forecast.trapped_ratio, 2), p.within.value_or(false) ? "*" : " ");
}

std::string table(const Set& set, const Paint& paint) {
  auto out = paint.head(
      "Forecast gauge, psi, and trapped ratio of every insert at every site (* not over the guideline there)\n");
  out += fmt::format("  {:<28}", "site");
  for (const auto& insert : set.inserts) out += fmt::format("{:>18}", insert.letter);
  out += "\n";
  for (std::size_t s = 0; s < set.report.sites.size(); ++s) {
    out += fmt::format("  {:<28}", set.report.sites[s].site.name);
    for (const auto& insert : set.inserts) out += fmt::format("{:>18}", cell(insert.at[s]));
    out += "\n";
  }
  return out;
}

std::string places(const Set& set, const Paint& paint) {
  auto out =
      paint.head("Forecast gauge, psi, and trapped ratio where each insert belongs (* not over the guideline there)\n");
  for (const auto& insert : set.inserts)
    for (const auto& p : insert.at)
      out += fmt::format("  {:<28}{:>8}{:>18}\n", set.report.sites[p.site].site.name, insert.letter, cell(p));
  return out;
}

} // namespace

std::string to_text(const Set& set, bool colour) {
  const Paint paint{colour};
  const auto& r = set.report;
  std::string out = paint.head(fmt::format("{} (revision {}): {} insert{} for {} site{}\n\n", r.spec.name,
                                           r.spec.revision, set.inserts.size(), set.inserts.size() == 1 ? "" : "s",
                                           r.sites.size(), r.sites.size() == 1 ? "" : "s"));
  for (const auto& insert : set.inserts) {
    out += paint.head(fmt::format("Insert {}", insert.letter)) +
           fmt::format(": {} cc head, plug fitted; for ", fixed(insert.head_cc, 2));
    for (std::size_t k = 0; k < insert.sites.size(); ++k) out += (k ? ", " : "") + r.sites[insert.sites[k]].site.name;
    out += "\n";
  }
  out += "\n" + (r.sites.size() > most_tabled_sites ? places(set, paint) : table(set, paint)) + "\n";
  for (const auto& n : set.cautions) out += "- " + n + "\n";
  for (const auto& n : r.notes) out += "- " + n + "\n";
  return out;
}

std::string to_json(const Set& set) {
  const auto& r = set.report;
  Json j;
  j["schema"] = "chamber.set";
  j["schema_version"] = 2;
  j["status"] = "done";
  j["job"] = {{"name", r.spec.name}, {"revision", r.spec.revision}};
  j["inserts"] = Json::array();
  for (const auto& insert : set.inserts) {
    Json i = {{"letter", insert.letter},
              {"head_cc", neat(insert.head_cc, 1e-6)},
              {"result", insert.json_file.empty() ? Json() : Json(insert.json_file)}};
    i["for"] = Json::array();
    for (const auto s : insert.sites) i["for"].push_back(r.sites[s].site.name);
    i["at"] = Json::array();
    for (const auto& [site, forecast, within] : insert.at)
      i["at"].push_back({{"site", r.sites[site].site.name},
                         {"gauge_psi_model", neat(forecast.gauge_model_kpa / kpa_per_psi, 1e-6)},
                         {"gauge_psi_fitted", neat(forecast.gauge_fitted_kpa / kpa_per_psi, 1e-6)},
                         {"trapped_ratio", neat(forecast.trapped_ratio, 1e-6)},
                         {"not_over_guideline", within ? Json(*within) : Json()}});
    j["inserts"].push_back(std::move(i));
  }
  j["cautions"] = set.cautions;
  j["notes"] = r.notes;
  Json files = Json::array();
  for (const auto& f : set.files) files.push_back({{"path", f.path}, {"kind", f.kind}});
  j["files"] = std::move(files);
  return j.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

} // namespace chamber::job
