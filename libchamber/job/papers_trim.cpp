// The sheet that goes to the lathe with an insert to be mended.
#include "chamber/job/files.hpp"
#include "chamber/job/papers.hpp"
#include "chamber/units/quantity.hpp"
#include "chamber/units/tolerance.hpp"
#include <cmath>
#include <fmt/format.h>

namespace chamber::job {
namespace {

using units::fixed;

class Mending {
public:
  explicit Mending(const TrimReport& r) : r_(r), w_(r.spec), base_(slug(r.spec.name)) {}

  papers::Traveller page() const {
    const auto& s = r_.spec;
    papers::Traveller t;
    t.job = fmt::format("{}: to be mended{}", s.name, r_.asked.insert.empty() ? "" : ", insert " + r_.asked.insert);
    t.revision = s.revision, t.customer = s.customer, t.material = s.material;
    t.made_by = "chamber " CHAMBER_VERSION;
    t.spec_hash = "sha256 " + s.sha256.substr(0, 16);
    t.headline = {{"It holds", cc(r_.measured_cc), "plug fitted"},
                  {"Wanted", cc(r_.wanted_cc), "plug fitted"},
                  {"Off by", sign(r_.error_cc) + " cc", fmt::format("± {} cc (95 %)", fixed(r_.rule.untold_cc, 2))}};
    const auto& way = r_.ways[*r_.recommended];
    t.headline.push_back({std::string(name(way.mend)), amount(way), "the cut"});
    t.answer = figures(way);
    t.reasons = reasons(way);
    t.measured = {{"Filled", filled()}};
    t.setups = setup_sheets(*r_.program, s, base_, true);
    if (way.mend == Mend::face)
      t.inspection.push_back(row("height over all", height() - way.amount_mm, way, 1, "micrometer"));
    else if (way.mend == Mend::widen_mouth)
      t.inspection.push_back(row("mouth of the bowl, sharp diameter",
                                 2 * (r_.fit.split.mouth_radius_mm + way.amount_mm), way, 2,
                                 "caliper, over its round"));
    t.burette = burette_test(s, r_.wanted_cc);
    t.programs = program_files(*r_.program, base_);
    t.notes = on_paper(r_.notes);
    for (const auto c : cautions()) t.cautions.emplace_back(c);
    return t;
  }

private:
  static std::string cc(double v) { return fixed(v, 2) + " cc"; }
  static std::string sign(double v) { return (v > 0 ? "+" : "−") + fixed(std::abs(v), 2); }
  std::string amount(const MendWay& way) const { return w_.length(way.amount_mm, true); }
  double height() const {
    double z = 0;
    for (const auto& step : r_.spec.task.body.steps) z += step.length_mm;
    return z;
  }

  /// Limits are what the volume's tolerance leaves, `per_amount` of the figure for one of the way's amount.
  papers::Measure row(std::string what, double mm, const MendWay& way, double per_amount, std::string with) const {
    const double near = per_amount * 0.1 * tolerance::cutting_volume_cc / std::abs(way.cc_per_tenth_mm);
    return {std::move(what), w_.length(mm, true),
            fmt::format("{} to {}", w_.figure(mm - near, true), w_.length(mm + near, true)), std::move(with)};
  }

  std::vector<papers::Fact> filled() const {
    std::vector<papers::Fact> out;
    const auto& read = r_.asked.read_cc;
    for (std::size_t i = 0; i < read.size(); ++i)
      out.push_back({fmt::format("filling {}", i + 1), cc(read[i]),
                     std::string(engine::fill_names[static_cast<std::size_t>(r_.asked.filled)])});
    return out;
  }

  std::vector<papers::Fact> figures(const MendWay& way) const {
    std::vector<papers::Fact> out;
    const auto add = [&](std::string what, std::optional<double> now, std::optional<double> after, auto words) {
      if (now && after) out.push_back({std::move(what), words(*after), "now " + words(*now)});
    };
    const auto length = [&](double mm) { return w_.length(mm); };
    const auto ratio = [](double v) { return fixed(v, 2) + ":1"; };
    const auto speed = [&](double v) { return w_.velocity(v); };
    add("head volume, plug fitted", r_.now.head_cc, way.after.head_cc, cc);
    add("trapped ratio", r_.now.trapped_ratio, way.after.trapped_ratio, ratio);
    add("full-stroke ratio", r_.now.full_ratio, way.after.full_ratio, ratio);
    add("smallest squish gap", r_.now.squish_gap_mm, way.after.squish_gap_mm, length);
    add("gap at the mouth", r_.now.mouth_gap_mm, way.after.mouth_gap_mm, length);
    add("peak gap velocity", r_.now.gap_velocity_m_s, way.after.gap_velocity_m_s, speed);
    add("plug end to crown", r_.now.plug_to_crown_mm, way.after.plug_to_crown_mm, length);
    add("smallest wall", r_.now.wall_mm, way.after.wall_mm, length);
    return out;
  }

  std::vector<std::string> reasons(const MendWay& way) const {
    std::vector<std::string> out{verdict_text(r_)};
    for (const auto& n : way.notes) out.push_back(n);
    for (const auto& other : r_.ways) {
      if (&other == &way) continue;
      out.push_back(!other.possible() ? fmt::format("Not possible: to {}; {}.", name(other.mend), other.impossible)
                    : other.allowed()
                        ? fmt::format("Also allowed: to {}, {}.", name(other.mend), amount(other))
                        : fmt::format("Forbidden: to {}, by {}.", name(other.mend), other.against.front()));
    }
    return out;
  }

  const TrimReport& r_;
  Words w_;
  std::string base_;
};

} // namespace

papers::Traveller trim_page(const TrimReport& report) {
  if (!report.program || !report.recommended) throw std::logic_error("papers: a sheet without a cut");
  return Mending(report).page();
}

} // namespace chamber::job
