#include "chamber/job/check.hpp"
#include "chamber/job/check_read.hpp"
#include "chamber/job/words.hpp"
#include "chamber/profile/distance.hpp"
#include "chamber/profile/integrals.hpp"
#include "chamber/units/printable.hpp"
#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace chamber::job {
namespace {

using profile::Chain;
using profile::ChainView;
using profile::P;
using units::fixed;

constexpr double least_clearance_cc = 0.5; ///< below, nothing is forecast: the piston meets the head
constexpr double as_asked_cc = 0.05;       ///< a profile may hold so much less than the spec asks and count as asked
constexpr double sample_mm = 0.1;
constexpr double largest_mm = 10e3; ///< of a chamber, across or deep; figures below are sampled by the millimetre

tl::unexpected<Failure> failed(Exit code, const std::string& file, Problem problem) {
  if (problem.place.file.empty()) problem.place.file = file;
  return tl::unexpected(Failure{code, {std::move(problem)}, {}, "Nothing was judged."});
}

/// The nearest place of a chain to one point after another, each near the last.
class Nearby {
public:
  explicit Nearby(ChainView chain) : chain_(chain) {
    for (const auto& s : chain) boxes_.push_back(profile::bounding_box(ChainView(&s, 1)));
  }
  profile::Nearest to(const P& p) {
    auto best = profile::nearest(p, chain_[last_]);
    for (std::size_t i = 0; i < boxes_.size(); ++i) {
      const auto& b = boxes_[i];
      if (b.r_min - p.r >= best.distance || p.r - b.r_max >= best.distance || b.z_min - p.z >= best.distance ||
          p.z - b.z_max >= best.distance)
        continue;
      if (const auto n = profile::nearest(p, chain_[i]); n.distance < best.distance) {
        best = n;
        last_ = i;
      }
    }
    return best;
  }

private:
  ChainView chain_;
  std::vector<profile::Box> boxes_;
  std::size_t last_ = 0;
};

/// mm. How far the chamber reaches in any direction.
double extent_of(const Proposal& p) {
  double size = std::max(2 * p.rim_radius_mm, p.depth_mm);
  for (const auto& s : p.chain) {
    const auto box = profile::bounding_box(ChainView(&s, 1));
    size = std::max({size, box.r_max - box.r_min, box.z_max - box.z_min});
  }
  return size;
}

/// The farthest that any place of `from` lies from `to`.
void farthest(ChainView from, ChainView to, bool own_first, Deviation& out) {
  Nearby nearby(to);
  for (const auto& s : from) {
    const int n = 1 + static_cast<int>(profile::arc_length(s) / sample_mm);
    for (int i = 0; i <= n; ++i) {
      const P p = profile::point_at(s, static_cast<double>(i) / n);
      const auto near = nearby.to(p);
      if (near.distance <= out.largest_mm) continue;
      out.largest_mm = near.distance;
      out.at = own_first ? near.b : p;
      out.to = own_first ? p : near.b;
    }
  }
}

Deviation deviation(ChainView proposed, ChainView own) {
  Deviation d;
  d.own_cc = profile::swept_volume(own) / 1000;
  farthest(proposed, own, false, d);
  farthest(own, proposed, true, d);
  return d;
}

std::optional<engine::PlugHole> plug_hole(const Spec* engine, const Proposal& p, const CheckOptions& o) {
  if (engine) {
    const auto& hole = engine->sheet.hole;
    return engine::PlugHole{hole.pitch_diameter_mm, shapes::seat_above_roof_mm(engine->task.plug), hole.plug_tip_cc};
  }
  const shapes::ThreadSize* thread = o.thread.empty() ? nullptr : shapes::find_thread(o.thread);
  for (const auto& t : shapes::plug_threads()) // the hole as drawn: at the tapped hole's diameter
    if (!thread && p.hole_radius_mm > 0 && 2 * p.hole_radius_mm >= t.minor_low_mm - 0.1 &&
        2 * p.hole_radius_mm <= t.minor_high_mm + 0.1)
      thread = &t;
  const double length = o.hole_length_mm > 0 ? o.hole_length_mm : p.hole_length_mm;
  if (!thread || !(length > 0)) return std::nullopt;
  return engine::PlugHole{shapes::pitch_diameter_mm(*thread), length, 0};
}

/// The gap over the part of a band that is turned, in a chamber that is not.
void judge_rim(CheckReport& r) {
  const auto& b = r.engine->budget;
  solve::GapAt smallest{0, 1e9};
  for (const auto& s : r.proposal.turned_rim) {
    const int n = 1 + static_cast<int>(profile::arc_length(s));
    for (int i = 0; i <= n; ++i) {
      const P p = profile::point_at(s, static_cast<double>(i) / n);
      const P way = profile::direction_at(s, static_cast<double>(i) / n);
      if (p.r > b.bore_mm / 2 + 1e-9 || std::abs(way.z) > std::abs(way.r)) continue; // the recess's wall is no band
      const solve::GapAt g{p.r, p.z + b.edge_below_face_mm() - engine::crown_height_at_mm(b.crown, b.bore_mm, p.r)};
      if (r.rim_gaps.empty() || r.rim_gaps.back().radius_mm - g.radius_mm > 1e-6) r.rim_gaps.push_back(g);
      if (g.gap_mm < smallest.gap_mm) smallest = g;
    }
  }
  if (r.rim_gaps.empty()) {
    r.withheld.push_back("No squish gap: no part of the band turns about the axis.");
    return;
  }
  r.withheld.push_back("The squish gap is known only where the band is turned all round; there it is given.");
  if (const double least = r.engine->task.limits.gap_min_mm; least > 0)
    r.checks.push_back({"smallest squish gap", "limits.gap_min", smallest.gap_mm >= least - 1e-9, smallest.gap_mm,
                        least, true, "mm", "where turned", smallest.radius_mm});
}

void judge_unturned(CheckReport& r) {
  const auto& p = r.proposal;
  r.withheld.push_back("No profile: " + p.no_chain);
  r.withheld.push_back("No squish area ratio and no gap velocity: the bowl's mouth is no circle about the axis.");
  if (!r.engine) return;
  judge_rim(r);
  const auto& b = r.engine->budget;
  const double crown = b.crown.form == engine::Crown::Form::domed ? b.crown.height_mm : 0;
  const double plug = p.plug_end_mm + b.edge_below_face_mm() - crown;
  if (const double least = r.engine->task.limits.plug_to_crown_min_mm; least > 0 && p.hole_radius_mm > 0)
    r.checks.push_back({"plug end to crown", "limits.plug_to_crown_min", plug >= least, plug, least, true, "mm",
                        "to the crown's top, whatever the plug's tilt"});
  r.withheld.push_back("No walls: they are measured from a turned profile.");
}

void judge_turned(CheckReport& r) {
  const double bore_radius = r.engine ? r.engine->bore_mm / 2 : 0;
  const Chain calm = without_jitter(r.proposal.chain, bore_radius);
  r.features = shapes::features(calm, bore_radius);
  if (!r.engine) {
    if (!r.features.band) r.withheld.push_back("No squish band: " + r.features.no_band);
    return;
  }
  r.appraisal = solve::appraise(calm, r.engine->task);
  r.features = r.appraisal->features;
  r.checks = r.appraisal->checks;
  for (const auto& c : r.appraisal->cautions) r.cautions.push_back(c);
  for (const auto& w : r.appraisal->withheld) r.withheld.push_back(w);
}

tl::expected<void, Failure> judge_engine(CheckReport& r) {
  const Spec& s = *r.engine;
  r.clearance_cc = s.budget.clearance_from_head_cc(r.proposal.volume_cc);
  const bool room = r.clearance_cc > least_clearance_cc;
  r.checks.push_back({"clearance volume", "", room, r.clearance_cc, least_clearance_cc, true, "cc",
                      room ? "" : "deck, crown and this chamber leave the piston no room"});
  if (!room) {
    r.withheld.push_back("No ratios and no forecast: there is no clearance volume.");
    return {};
  }
  r.trapped_ratio = engine::compression_ratio(s.trapped_swept_cc(), r.clearance_cc);
  r.full_ratio = engine::compression_ratio(s.swept_cc(), r.clearance_cc);
  r.as_asked = s.wanted != Wanted::guideline && r.proposal.volume_cc > s.task.head_cc - as_asked_cc;
  Spec as_proposed = s;
  as_proposed.wanted = Wanted::head_volume;
  as_proposed.wanted_value = r.proposal.volume_cc;
  as_proposed.sheet.bench.wish = {};
  as_proposed.sheet.bench.wish.head_cc = r.proposal.volume_cc;
  auto forecast = target_report(std::move(as_proposed), {});
  if (!forecast) return tl::unexpected(forecast.error());
  r.forecast = std::move(*forecast);
  return {};
}

/// A rim that is not the engine's: made for another bore, or in another unit.
void judge_rim_diameter(CheckReport& r) {
  constexpr double near_mm = 0.5; ///< on the diameter (common practice, no source)
  const auto& s = *r.engine;
  const double rim = 2 * r.proposal.rim_radius_mm, wanted = std::max(s.bore_mm, 2 * s.task.frame.rim_radius);
  if (std::abs(rim - wanted) <= near_mm) return;
  const Words w(s);
  r.cautions.push_back(fmt::format("The rim is {} across, the engine's bore {}{}: was this made for another bore?",
                                   w.length(rim), w.length(s.bore_mm),
                                   wanted - s.bore_mm > near_mm ? ", its recess " + w.length(wanted) : ""));
}

void compare(CheckReport& r) {
  if (r.engine->task.body.steps.empty()) return; // a sheet without a shape
  auto own = own_profile(*r.engine);
  if (!own) {
    r.cautions.push_back("The spec's own shape cannot meet its volume within its limits: nothing to compare with. "
                         "chamber design says why.");
    return;
  }
  r.own = std::move(*own);
  if (!r.proposal.chain.empty())
    r.deviation = deviation(r.proposal.chain, r.own);
  else
    r.deviation = Deviation{profile::swept_volume(ChainView(r.own)) / 1000, 0, {}, {}};
}

/// The spec as the file: its own profile on its own engine.
tl::expected<Proposal, Failure> from_spec(const std::string& file, const CheckOptions& o, Spec& spec) {
  auto read = load_spec(file, Need::design, o.guideline ? &*o.guideline : nullptr);
  if (!read) {
    const bool unreadable = read.error().size() == 1 && read.error()[0].place.line == 0;
    return tl::unexpected(Failure{unreadable ? Exit::files : Exit::spec, read.error(), {}, "Nothing was judged."});
  }
  spec = std::move(*read);
  auto chain = own_profile(spec);
  if (!chain) return tl::unexpected(Failure{Exit::out_of_reach, {}, chain.error(), "Nothing was judged."});
  Proposal p;
  p.kind = CheckKind::spec;
  p.chain = std::move(*chain);
  p.volume_cc = profile::swept_volume(ChainView(p.chain)) / 1000;
  p.depth_mm = profile::bounding_box(p.chain).z_max;
  p.rim_radius_mm = p.chain.front().start.r;
  p.plug_end_mm = p.chain.back().end.z;
  p.taken.push_back(fmt::format("The profile that \"{}\" is solved to.", spec.name));
  return p;
}

} // namespace

bool CheckReport::passed() const {
  for (const auto& c : checks)
    if (!c.ok) return false;
  if (!forecast || as_asked) return true;
  return guideline_kept(*engine, forecast->sites[judged_site()].target);
}

std::size_t CheckReport::judged_site() const {
  return std::min(engine->wanted_site, forecast->sites.size() - 1);
}

bool Deviation::stands_out(const Words& w) const {
  return w.length(largest_mm, true) != w.length(0, true);
}

Words words_of(const CheckReport& r) {
  return r.engine ? Words(*r.engine) : Words(r.in_inches);
}

std::string against_guideline(const CheckReport& r, std::size_t site,
                              const std::function<std::string(Standing, bool)>& say) {
  const auto& ask = r.engine->sheet.bench.ask;
  const auto& t = r.forecast->sites[site].target;
  const Words w(*r.engine);
  const bool judged = !r.as_asked && site == r.judged_site();
  std::string out;
  if (ask.gauge_high_kpa > 0)
    out = fmt::format("window {} to {}: {}", w.pressure_figure(ask.gauge_low_kpa), w.pressure(ask.gauge_high_kpa),
                      say(in_window(*r.engine, t), judged));
  if (ask.ratio_ceiling > 0)
    out += fmt::format("{}ceiling {}: {}", out.empty() ? "" : "; ", fixed(ask.ratio_ceiling, 2),
                       say(under_ceiling(t), judged));
  return out;
}

bool guideline_kept(const Spec& spec, const engine::Target& t) {
  const auto& ask = spec.sheet.bench.ask;
  return (ask.ratio_ceiling <= 0 || under_ceiling(t) == Standing::ok) &&
         (ask.gauge_high_kpa <= 0 || in_window(spec, t) != Standing::over);
}

tl::expected<Chain, solve::Shortfall> own_profile(const Spec& spec) {
  const auto fit = solve::fit(spec.task);
  if (!fit) return tl::unexpected(fit.error());
  return shapes::chain_of(fit->chamber);
}

tl::expected<CheckReport, Failure> check(const std::string& file, std::optional<Spec> engine,
                                         const CheckOptions& options) {
  auto seen = recognise(file);
  if (!seen) return tl::unexpected(seen.error());
  if (options.kind) *seen = {*options.kind, "as you said"};
  CheckReport r;
  r.file = file;
  auto o = options;
  if (engine) o.drawing.bore_radius_mm = engine->bore_mm / 2;
  tl::expected<Proposal, Failure> p = Proposal{};
  if (seen->kind == CheckKind::spec) {
    Spec own;
    p = from_spec(file, options, own);
    if (p && !engine) engine = std::move(own);
  } else {
    p = read_proposal(file, seen->kind, engine ? &*engine : nullptr, o);
  }
  if (!p) {
    for (auto& x : p.error().problems) {
      x.message = printable(x.message);
      x.cure = printable(x.cure);
    }
    return tl::unexpected(p.error());
  }
  r.proposal = std::move(*p);
  for (auto* texts : {&r.proposal.taken, &r.proposal.cautions})
    for (auto& t : *texts) t = printable(t);
  auto& taken = r.proposal.taken;
  taken.insert(taken.begin(), fmt::format("Taken for {}: {}.", kind_words(seen->kind), seen->why));
  if (!(r.proposal.volume_cc > 0) || !std::isfinite(r.proposal.volume_cc))
    return failed(Exit::spec, file, {{}, "the chamber holds nothing.", "check the file's unit and which way is up."});
  if (const double size = extent_of(r.proposal); !(size <= largest_mm))
    return failed(Exit::spec, file,
                  {{},
                   fmt::format("the chamber would be {:.3g} m across or deep: nobody turns that.", size / 1000),
                   "check the file's unit, and by how much its blocks are scaled."});
  r.engine = std::move(engine);
  r.in_inches = options.drawing.unit == profile::LengthUnit::inch;
  r.hole = plug_hole(r.engine ? &*r.engine : nullptr, r.proposal, options);
  if (!r.hole)
    r.withheld.push_back("No volume to the top of the plug hole: the plug is not known. Say --engine, or --plug and "
                         "--hole-length.");
  if (r.proposal.chain.empty())
    judge_unturned(r);
  else
    judge_turned(r);
  r.cautions.insert(r.cautions.begin(), r.proposal.cautions.begin(), r.proposal.cautions.end());
  if (!r.engine) return r;
  if (auto ok = judge_engine(r); !ok) return tl::unexpected(ok.error());
  judge_rim_diameter(r);
  compare(r);
  return r;
}

std::string_view kind_words(CheckKind kind) {
  static constexpr std::string_view words[] = {"a table of points", "a DXF drawing", "a STEP file", "a lathe program",
                                               "a spec"};
  return words[static_cast<std::size_t>(kind)];
}

} // namespace chamber::job
