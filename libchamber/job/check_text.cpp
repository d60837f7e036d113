#include "chamber/job/check.hpp"
#include "chamber/job/paint.hpp"
#include "chamber/job/words.hpp"
#include <cmath>
#include <fmt/format.h>

namespace chamber::job {
namespace {

using units::fixed;

class Text {
public:
  Text(const CheckReport& r, bool colour) : r_(r), w_(words_of(r)), paint_{colour} {}

  std::string run() {
    heading(r_.file);
    for (const auto& t : r_.proposal.taken) note(t);
    out_ += "\n";
    volumes();
    shape();
    if (r_.engine) engine();
    if (r_.deviation) deviation();
    if (!r_.checks.empty()) checks();
    list("Withheld", r_.withheld);
    list("Cautions", r_.cautions);
    if (r_.forecast) list("Notes", r_.forecast->notes);
    out_ += r_.passed() ? r_.checks.empty() ? "" : "\n" + paint_.good("Within every limit.") + "\n"
                        : "\n" + paint_.bad("NOT within the limits: see what is marked over or under.") + "\n";
    return std::move(out_);
  }

private:
  void heading(const std::string& text) { out_ += paint_.head(text) + "\n"; }
  void note(const std::string& text) { out_ += "  - " + text + "\n"; }
  void row(std::string_view name, const std::string& value, std::string_view more = "") {
    auto line = fmt::format("  {:<30}{:>14}  {}", name, value, more);
    line.erase(line.find_last_not_of(' ') + 1);
    out_ += line + "\n";
  }
  std::string length(double mm) const { return w_.length(mm, true); }
  void list(const std::string& title, const std::vector<std::string>& texts) {
    if (texts.empty()) return;
    out_ += "\n";
    heading(title);
    for (const auto& t : texts) note(t);
  }

  void volumes() {
    heading("What it holds");
    const double cc = r_.proposal.volume_cc;
    row("plug fitted", fixed(cc, 3) + " cc");
    if (!r_.hole) return;
    using engine::Fill;
    for (const auto f : {Fill::bottom_of_plug_hole, Fill::top_of_plug_hole})
      row(f == Fill::bottom_of_plug_hole ? "plug out, bottom of its hole" : "plug out, top of its hole",
          fixed(engine::convert_fill_cc(cc, Fill::plug_fitted, f, *r_.hole), 3) + " cc",
          f == Fill::bottom_of_plug_hole ? ""
                                         : fmt::format("hole {} long, pitch diameter {}", w_.length(r_.hole->length_mm),
                                                       length(r_.hole->pitch_diameter_mm)));
  }

  void shape() {
    const auto& p = r_.proposal;
    out_ += "\n";
    heading("Shape");
    row("depth", length(p.depth_mm), "sealing face to the highest point");
    row("diameter at the rim", length(2 * p.rim_radius_mm));
    row("plug end above the face", length(p.plug_end_mm));
    if (!r_.features.band) return;
    const auto& b = *r_.features.band;
    row("mouth diameter, sharp", length(2 * b.mouth.r));
    row("squish band width", length(b.width_mm));
    row("squish band angle", fixed(b.angle_deg, 2) + " deg", "at mid-band, to the sealing face");
    row("band edge above the face", length(b.edge_height));
    const double outer = b.mouth.r + b.width_mm;
    row("squish area ratio", fixed(100 * engine::squish_area_ratio(2 * outer, b.mouth.r), 1) + " %",
        r_.engine ? "" : "the rim standing for the bore");
  }

  void engine() {
    const auto& s = *r_.engine;
    out_ += "\n";
    heading(fmt::format("On the engine of \"{}\"", s.name));
    row("clearance volume", fixed(r_.clearance_cc, 3) + " cc", "gasket and deck added, crown taken off");
    if (r_.forecast) {
      row("trapped ratio", fixed(r_.trapped_ratio, 2) + ":1",
          fmt::format("trapped {} cc", fixed(s.trapped_swept_cc(), 1)));
      row("full-stroke ratio", fixed(r_.full_ratio, 2) + ":1",
          fmt::format("full stroke {} cc", fixed(s.swept_cc(), 1)));
    }
    squish();
    if (r_.forecast)
      for (const auto& t : r_.forecast->sites) site(t);
  }

  void squish() {
    const auto& gaps = r_.appraisal ? r_.appraisal->gaps : r_.rim_gaps;
    if (!gaps.empty()) {
      std::string along;
      for (std::size_t i = 0; i < gaps.size(); i += std::max<std::size_t>(1, (gaps.size() - 1) / 4))
        along += fmt::format("{}{} at {}", along.empty() ? "" : ", ", w_.figure(gaps[i].gap_mm, true),
                             w_.figure(gaps[i].radius_mm));
      out_ += fmt::format("  squish gap along the band, {} at radius: {}\n", w_.length_unit(), along);
    }
    if (!r_.appraisal) return;
    const auto& a = *r_.appraisal;
    if (a.features.band) {
      row("smallest gap", length(a.smallest_gap.gap_mm), "at radius " + w_.length(a.smallest_gap.radius_mm));
      row("band opens beyond the crown", fixed(a.opening_deg, 2) + " deg", "at mid-band");
    }
    if (a.peak)
      row("peak gap velocity", units::format(a.peak->velocity_m_s, w_.velocity_unit(), 1),
          fmt::format("{} deg before top dead centre at {} rpm", fixed(a.peak->before_tdc_deg, 1),
                      fixed(r_.engine->peak_rpm, 0)));
    row("plug end to crown", length(a.plug_to_crown_mm));
    if (a.smallest_wall_mm) row("thinnest wall", length(*a.smallest_wall_mm), "grooves apart");
  }

  void site(const SiteTarget& t) {
    const double half = (t.gauge.high - t.gauge.low) / 2;
    row(fmt::format("gauge at {}", t.site.name),
        std::isfinite(half) ? fmt::format("{} +- {}", w_.pressure_figure(t.target.gauge_fitted_kpa), w_.pressure(half))
                            : w_.pressure(t.target.gauge_fitted_kpa),
        against_guideline(r_, static_cast<std::size_t>(&t - r_.forecast->sites.data()),
                          [&](Standing s, bool judged) -> std::string {
                            if (s == Standing::short_of) return "short of it";
                            if (s == Standing::ok) return paint_.good("ok");
                            return judged ? paint_.bad("over") : "over, not judged";
                          }));
  }

  void deviation() {
    const auto& d = *r_.deviation;
    out_ += "\n";
    heading("Against the spec's own profile");
    const double off = r_.proposal.volume_cc - d.own_cc;
    row("the spec's own", fixed(d.own_cc, 3) + " cc");
    row("this one holds", fmt::format("{}{} cc", off >= 0 ? "+" : "", fixed(off, 3)),
        std::abs(off) < 5e-4 ? "the same"
        : off > 0            ? "more"
                             : "less");
    if (!r_.proposal.chain.empty())
      row("largest distance", length(d.largest_mm),
          d.stands_out(w_) ? fmt::format("at radius {}, height {}", length(d.at.r), length(d.at.z)) : "");
  }

  void checks() {
    out_ += "\n";
    heading("Limits");
    for (const auto& c : r_.checks)
      out_ +=
          fmt::format("  {} {:<36}{:>14}   {} {}{}{}\n",
                      c.ok ? paint_.good("ok   ") : paint_.bad(c.minimum ? "under" : "over "), c.name, w_.value(c),
                      c.minimum ? "at least" : "at most ", w_.limit(c), w_.note(c).empty() ? "" : "   ", w_.note(c));
  }

  const CheckReport& r_;
  Words w_;
  Paint paint_;
  std::string out_;
};

} // namespace

std::string to_text(const CheckReport& report, bool colour) {
  return Text(report, colour).run();
}

} // namespace chamber::job
