// The page of a chamber from elsewhere that was judged.
#include "chamber/job/check.hpp"
#include "chamber/job/papers.hpp"
#include <cmath>
#include <fmt/format.h>

namespace chamber::job {
namespace {

using units::fixed;

std::string cc(double v) {
  return fixed(v, 3) + " cc";
}

class Judged {
public:
  explicit Judged(const CheckReport& r) : r_(r), w_(words_of(r)) {}

  papers::Traveller page() {
    papers::Traveller t;
    t.job = "Checked: " + std::filesystem::path(r_.file).filename().string();
    t.made_by = "chamber " CHAMBER_VERSION;
    if (r_.engine) {
      t.note = fmt::format("On the engine of \"{}\", revision {}.", r_.engine->name, r_.engine->revision);
      t.spec_hash = "sha256 " + r_.engine->sha256.substr(0, 16);
    }
    t.headline.push_back({"It holds", cc(r_.proposal.volume_cc), "plug fitted"});
    if (r_.forecast) t.headline.push_back({"Trapped ratio", fixed(r_.trapped_ratio, 2) + ":1", "on this engine"});
    const auto* ask = r_.forecast ? &r_.engine->sheet.bench.ask : nullptr;
    const bool guideline = ask && (ask->gauge_high_kpa > 0 || ask->ratio_ceiling > 0);
    if (!r_.checks.empty())
      t.headline.push_back({"Limits", r_.passed() ? "kept" : "NOT KEPT",
                            !r_.passed()  ? "see what is marked OVER or UNDER"
                            : !guideline  ? "all of them"
                            : r_.as_asked ? "all of them; the volume is as the spec asks"
                            : r_.forecast->sites.size() > 1
                                ? "all of them; the guideline at " + r_.forecast->sites[r_.judged_site()].site.name
                                : "all of them"});
    volumes();
    shape();
    if (r_.engine) engine();
    deviation();
    for (const auto& c : r_.checks) limit(c);
    t.answer = std::move(facts_);
    t.reasons = r_.proposal.taken;
    explain_doubt(t);
    if (const auto svg = to_svg(r_); !svg.empty()) t.drawings.push_back({"Profile", svg, "Told apart by their lines."});
    for (const auto& w : r_.withheld) t.notes.push_back("Withheld: " + w);
    if (r_.forecast)
      for (auto& n : on_paper(r_.forecast->notes)) t.notes.push_back(std::move(n));
    t.cautions = on_paper(r_.cautions);
    for (const auto c : cautions().first(3)) t.cautions.emplace_back(c);
    return t;
  }

private:
  void add(std::string name, std::string value, std::string note = {}) {
    facts_.push_back({std::move(name), std::move(value), std::move(note)});
  }
  std::string length(double mm) const { return w_.length(mm, true); }

  void volumes() {
    add("holds, plug fitted", cc(r_.proposal.volume_cc));
    if (!r_.hole) return;
    for (const auto f : {engine::Fill::bottom_of_plug_hole, engine::Fill::top_of_plug_hole})
      add(fmt::format("filled {}", engine::fill_names[static_cast<std::size_t>(f)]),
          cc(engine::convert_fill_cc(r_.proposal.volume_cc, engine::Fill::plug_fitted, f, *r_.hole)));
  }

  void shape() {
    const auto& p = r_.proposal;
    add("depth", length(p.depth_mm), "sealing face to the highest point");
    add("diameter at the rim", length(2 * p.rim_radius_mm), r_.engine ? "bore " + length(r_.engine->bore_mm) : "");
    add("plug end above the face", length(p.plug_end_mm));
    if (!r_.features.band) return;
    const auto& b = *r_.features.band;
    add("mouth diameter, sharp", length(2 * b.mouth.r));
    add("squish band", length(b.width_mm),
        fmt::format("wide, {}° to the sealing face, its edge {} above it", fixed(b.angle_deg, 2),
                    length(b.edge_height)));
  }

  void engine() {
    add("clearance volume", cc(r_.clearance_cc), "gasket and deck added, crown taken off");
    if (r_.forecast) {
      add("trapped ratio", fixed(r_.trapped_ratio, 2) + ":1");
      add("full-stroke ratio", fixed(r_.full_ratio, 2) + ":1");
      const auto& unit = w_.pressure_unit();
      for (std::size_t i = 0; i < r_.forecast->sites.size(); ++i)
        add("gauge at " + r_.forecast->sites[i].site.name,
            known_to(r_.forecast->sites[i].gauge, unit.scale >= 50 ? 1 : 0, unit.scale,
                     fmt::format(" {}", unit.symbol)),
            against_guideline(r_, i, [](Standing s, bool judged) -> std::string {
              if (s == Standing::over) return judged ? "OVER" : "over, not judged";
              return s == Standing::ok ? "ok" : "short of it";
            }));
    }
    if (!r_.appraisal) return;
    const auto& a = *r_.appraisal;
    if (a.features.band)
      add("smallest squish gap", length(a.smallest_gap.gap_mm),
          fmt::format("at radius {}", w_.length(a.smallest_gap.radius_mm)));
    if (a.peak)
      add("peak gap velocity", units::format(a.peak->velocity_m_s, w_.velocity_unit(), 1),
          fmt::format("{}° before top dead centre", fixed(a.peak->before_tdc_deg, 0)));
    add("plug end to crown", length(a.plug_to_crown_mm));
    if (a.smallest_wall_mm) add("thinnest wall", length(*a.smallest_wall_mm), "grooves apart");
  }

  void deviation() {
    if (!r_.deviation) return;
    const auto& d = *r_.deviation;
    const double off = r_.proposal.volume_cc - d.own_cc;
    add("the spec's own profile", cc(d.own_cc),
        std::abs(off) < 5e-4 ? "this one holds the same"
                             : fmt::format("this one holds {} {}", cc(std::abs(off)), off > 0 ? "more" : "less"));
    if (!r_.proposal.chain.empty())
      add("largest distance from it", length(d.largest_mm),
          d.stands_out(w_) ? fmt::format("at radius {}, height {}", length(d.at.r), length(d.at.z)) : "");
  }

  /// Beside the figure it limits, where that stands already.
  void limit(const solve::Check& c) {
    auto verdict = fmt::format("{}: {} {}",
                               c.ok        ? "ok"
                               : c.minimum ? "UNDER"
                                           : "OVER",
                               c.minimum ? "at least" : "at most", w_.limit(c));
    for (auto& f : facts_)
      if (f.name == c.name) {
        f.note = f.note.empty() ? verdict : verdict + "; " + f.note;
        return;
      }
    if (const auto note = w_.note(c); !note.empty()) verdict += "; " + note;
    add(c.name, w_.value(c), verdict);
  }

  const CheckReport& r_;
  Words w_;
  std::vector<papers::Fact> facts_;
};

} // namespace

papers::Traveller check_page(const CheckReport& report) {
  return Judged(report).page();
}

} // namespace chamber::job
