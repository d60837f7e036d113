#include "chamber/job/trim.hpp"
#include "chamber/job/design.hpp"
#include "chamber/job/files.hpp"
#include "chamber/job/papers.hpp"
#include "chamber/job/target.hpp"
#include "chamber/job/trim_parts.hpp"
#include "chamber/profile/integrals.hpp"
#include "chamber/turning/plan_trim.hpp"
#include "chamber/units/quantity.hpp"
#include "chamber/units/tolerance.hpp"
#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace chamber::job {
namespace {

using units::fixed;

constexpr double another_part = 0.2; ///< an error over this share of the volume is no error of a lathe

tl::unexpected<Failure> failed(Exit code, Problem problem) {
  return tl::unexpected(Failure{code, {std::move(problem)}, {}});
}

/// The plug hole of the insert that was cut: as designed, its plug's tip as [today] has it.
engine::PlugHole hole_of(const Spec& spec) {
  const auto* t = shapes::find_thread(spec.task.plug.thread);
  return {shapes::pitch_diameter_mm(*t), shapes::seat_above_roof_mm(spec.task.plug), spec.sheet.hole.plug_tip_cc};
}

/// Mean, scatter and what they are known to.
void measure(TrimReport& r) {
  const auto& read = r.asked.read_cc;
  const auto n = static_cast<double>(read.size());
  const auto& doubts = r.spec.sheet.doubts;
  const auto hole = hole_of(r.spec);
  double mean = 0;
  for (const double v : read) mean += v / n;
  for (const double v : read) r.scatter_cc += n > 1 ? (v - mean) * (v - mean) / (n - 1) : 0;
  r.scatter_cc = std::sqrt(r.scatter_cc);
  r.measured_cc = engine::convert_fill_cc(mean, r.asked.filled, engine::Fill::plug_fitted, hole);
  const double burette = fillings_standard_cc(doubts, read.size(), r.scatter_cc);
  const bool plug_out = r.asked.filled != engine::Fill::plug_fitted;
  const double tip = plug_out ? doubts.plug_tip_cc : 0;
  const double length =
      r.asked.filled == engine::Fill::top_of_plug_hole
          ? units::pi / 4 * hole.pitch_diameter_mm * hole.pitch_diameter_mm * doubts.plug_hole_mm / 1000
          : 0;
  r.uncertainty_cc = std::sqrt(burette * burette + tip * tip + length * length);
  r.rule = fill_rule(r.uncertainty_cc);
  r.decided_by = burette >= std::max(tip, length) ? "the burette: fill it again"
                 : tip > length                   ? "what the plug's tip displaces: fill it with the plug fitted"
                                                  : "the plug hole's length: fill it with the plug fitted";
}

/// Where the figure would be near what was wanted, had it been filled otherwise.
std::string other_fill(const TrimReport& r) {
  double mean = 0;
  for (const double v : r.asked.read_cc) mean += v / static_cast<double>(r.asked.read_cc.size());
  for (const auto f : {engine::Fill::plug_fitted, engine::Fill::bottom_of_plug_hole, engine::Fill::top_of_plug_hole}) {
    const double cc = engine::convert_fill_cc(mean, f, engine::Fill::plug_fitted, hole_of(r.spec));
    if (f != r.asked.filled && std::abs(cc - r.wanted_cc) < 0.05 * r.wanted_cc)
      return fmt::format(" Filled \"{}\" it would be {} cc.", engine::fill_names[static_cast<std::size_t>(f)],
                         fixed(cc, 2));
  }
  return "";
}

std::string joined(const std::vector<std::string>& texts) {
  std::string out;
  for (const auto& t : texts) out += (out.empty() ? "" : "; ") + t;
  return out;
}

std::string reason(const TrimReport& r, const MendWay& w) {
  std::string out;
  switch (w.mend) {
  case Mend::face:
    out = "the only cut that makes a chamber smaller, and within every limit";
    break;
  case Mend::deepen_bowl:
    out = "squish band, gap and plug stay as they are";
    break;
  case Mend::widen_mouth:
    out = "the plug stays as it is; the gap stays, the band gets a little narrower";
    break;
  case Mend::deepen_pocket:
    out = "the only one that the limits allow, though it bares plug thread";
    break;
  }
  for (const auto& other : r.ways) {
    if (&other == &w) break;
    out += fmt::format("; to {} is out: {}", name(other.mend),
                       other.possible() ? joined(other.against) : other.impossible);
  }
  return out;
}

turning::Trim trim_of(const TrimReport& r, const MendWay& w, const shapes::Insert& insert) {
  turning::Trim t;
  t.job = turning_job(r.spec, r.fit, insert, {});
  t.job.machine.program_number += 2; // after both clampings'
  if (w.mend == Mend::face)
    t.face_mm = w.amount_mm;
  else
    t.chamber = w.chamber;
  t.names = w.roles;
  t.about = fmt::format(
      "{}, {}. AN INSERT CUT TO REV {}, PROFILE {} CC, THAT HOLDS {} CC, PLUG FITTED, INSTEAD OF {} CC{}", name(w.mend),
      turning::in_words(t.job.machine, w.amount_mm, 3), r.spec.revision, fixed(r.profile_cc, 3),
      fixed(r.measured_cc, 3), fixed(r.wanted_cc, 3), r.asked.insert.empty() ? "" : ". INSERT " + r.asked.insert);
  return t;
}

/// The first allowed way whose program is proven.
tl::expected<void, Failure> choose(TrimReport& r, const shapes::Insert& insert) {
  std::optional<Failure> first;
  for (std::size_t i = 0; i < r.ways.size(); ++i) {
    auto& w = r.ways[i];
    if (!w.allowed()) continue;
    const auto plan = trim_of(r, w, insert);
    double change = 0;
    auto program = turn_trim(plan, change);
    if (program) {
      r.program_cc = r.measured_cc + change - w.plug_cc;
      // The grid the cut stands on and the proof's own tolerance.
      if (std::abs(r.program_cc - r.wanted_cc) > tolerance::program_volume_cc)
        return failed(Exit::unproven, {{},
                                       fmt::format("the program would leave {} cc, {} cc are wanted.",
                                                   fixed(r.program_cc, 4), fixed(r.wanted_cc, 4)),
                                       "report this with the spec: it should have been caught earlier."});
      r.program = std::move(*program);
      r.recommended = i;
      r.why = reason(r, w);
      return {};
    }
    w.against.push_back("no proven program: " + program.error().problems.front().message);
    if (!first) first = program.error();
  }
  if (first) return tl::unexpected(std::move(*first));
  return {};
}

void judge_error(TrimReport& r) {
  if (r.rule.leave(r.error_cc)) {
    r.verdict = Verdict::leave;
    return;
  }
  r.ways = ways_to_mend(r.spec, r.fit, r.error_cc);
  r.gasket = other_gasket(r.spec, r.fit, r.error_cc);
  if (r.error_cc > 0) r.most_facing_mm = most_facing(r.spec, r.fit, r.error_cc);
}

/// Straight along an axis the whole finished chamber moves: what 0.1 mm of it is worth, cc.
void add_offset(TrimReport& r, const shapes::Insert& insert) {
  const auto log = r.asked.log.empty() ? read_logs(r.asked.folder) : read_log(r.asked.log);
  r.unreadable = log.unreadable;
  auto entries = log.entries;
  entries.push_back(r.entry);
  const auto common = systematic_error(entries, r.spec.machine.name);
  if (!common) return;
  Offset o;
  o.error = *common;
  auto chain = shapes::chain_of(r.fit.chamber);
  const double rim = chain.front().start.r;
  o.cc_per_tenth_z = units::pi * rim * rim * 0.1 / 1000;
  const auto moved = [&](double dr) {
    auto out = chain;
    for (auto& s : out) s.start.r += dr, s.end.r += dr, s.centre.r += s.is_arc() ? dr : 0;
    return profile::swept_volume(profile::ChainView(out)) / 1000;
  };
  o.cc_per_tenth_x = moved(0.05) - moved(-0.05);
  o.z_mm = common->mean_cc / (10 * o.cc_per_tenth_z);
  o.x_radius_mm = -common->mean_cc / (10 * o.cc_per_tenth_x);
  if (const auto plan = turning::plan(turning_job(r.spec, r.fit, insert, {})))
    for (const auto& setup : plan->setups)
      for (const auto& op : setup.operations)
        if (setup.clamping.side == turning::Side::chamber && op.cut == turning::Cut::finish &&
            op.tool.kind == turning::ToolKind::boring) {
          o.tool = op.tool.number;
          o.tool_name = op.tool.name;
        }
  r.offset = o;
}

void add_entry(TrimReport& r, std::string date) {
  auto& e = r.entry;
  e.date = std::move(date);
  e.job = r.spec.name;
  e.revision = r.spec.revision;
  e.insert = r.asked.insert;
  e.lathe = r.spec.machine.name;
  e.wanted_cc = r.wanted_cc;
  e.read_cc = r.asked.read_cc;
  e.filled = engine::fill_names[static_cast<std::size_t>(r.asked.filled)];
  e.measured_cc = r.measured_cc;
  e.error_cc = r.error_cc;
  e.uncertainty_cc = r.uncertainty_cc;
  e.verdict = key(r.verdict);
  if (!r.recommended) return;
  e.recommended = key(r.ways[*r.recommended].mend);
  e.amount_mm = r.ways[*r.recommended].amount_mm;
}

void add_notes(TrimReport& r, const std::string& base) {
  if (r.asked.filled != engine::Fill::plug_fitted)
    r.notes.push_back(
        fmt::format("Filled {}: converted with the plug hole as designed{}.",
                    engine::fill_names[static_cast<std::size_t>(r.asked.filled)],
                    r.spec.sheet.hole.plug_tip_cc == 0 ? ", the plug's tip taken as nothing ([today] plug_tip)" : ""));
  if (r.program)
    r.notes.push_back(
        "Where the error sits is not known. The program cuts from the surfaces as designed, so the bar is set by the "
        "piece itself; fill the insert again afterwards.");
  else
    for (const auto ext : {".ngc", ".nc"})
      if (const auto old = r.asked.folder / (base + "-trim" + ext); std::filesystem::exists(old))
        r.notes.push_back(fmt::format("CAUTION: {} is from an earlier trim, not for this insert.", old.string()));
  if (r.unreadable > 0)
    r.notes.push_back(fmt::format("{} line{} of the log could not be read and {} left out.", r.unreadable,
                                  r.unreadable == 1 ? "" : "s", r.unreadable == 1 ? "was" : "were"));
}

tl::expected<void, Failure> write(TrimReport& r, const std::string& base) {
  auto staging = Staging::open(r.asked.folder);
  if (!staging) return failed(Exit::files, staging.error());
  const auto put = [&](const std::string& name, const std::string& text) {
    r.files.push_back((r.asked.folder / name).string());
    return staging->write(name, text);
  };
  if (r.program)
    for (const auto& f : r.program->files)
      if (auto ok = put(base + f.suffix, f.text); !ok) return failed(Exit::files, ok.error());
  if (r.program) {
    const auto page = trim_page(r);
    if (auto ok = put(base + "-trim.html", papers::to_html(page)); !ok) return failed(Exit::files, ok.error());
    const auto pdf = papers::to_pdf(page, paper_of(r.spec), {});
    if (!pdf) return failed(Exit::files, pdf.error());
    if (auto ok = put(base + "-trim.pdf", *pdf); !ok) return failed(Exit::files, ok.error());
  }
  r.files.push_back((r.asked.folder / (base + "-trim.json")).string());
  if (auto ok = staging->write(base + "-trim.json", to_json(r)); !ok) return failed(Exit::files, ok.error());
  if (auto ok = staging->commit(); !ok) return failed(Exit::files, ok.error());
  if (auto ok = append(r.log, r.entry); !ok) {
    Failure f{Exit::files, {ok.error()}, {}};
    f.written = "Program and JSON were written; the measurement is not in the log.";
    return tl::unexpected(std::move(f));
  }
  return {};
}

} // namespace

tl::expected<TrimReport, Failure> trim(Spec spec, const TrimOptions& options) {
  if (auto ok = check_fit(spec, engine::fit(spec.sheet.bench)); !ok) return tl::unexpected(ok.error());
  TrimReport r;
  auto fit = solve::fit(spec.task);
  if (!fit) return tl::unexpected(out_of_reach(spec, fit.error()));
  r.fit = std::move(*fit);
  const auto insert = shapes::assemble(r.fit.chamber, spec.task.body, spec.task.plug);
  if (!insert) return failed(Exit::spec, insert.error());
  r.spec = std::move(spec);
  r.asked = options;
  r.wanted_cc = r.spec.task.head_cc;
  r.profile_cc = r.fit.head_cc;
  measure(r);
  r.error_cc = r.measured_cc - r.wanted_cc;
  if (!(std::abs(r.error_cc) < another_part * r.wanted_cc))
    return failed(Exit::usage, {{},
                                fmt::format("{} cc, plug fitted, is no insert of this design, which holds {} cc.{}",
                                            fixed(r.measured_cc, 2), fixed(r.wanted_cc, 2), other_fill(r)),
                                "check the figure, its unit, to where it was filled, and the spec."});
  const auto chain = shapes::chain_of(r.fit.chamber);
  r.now = appraise_mend(r.spec, r.spec.task, chain, r.measured_cc - r.profile_cc).figures;
  judge_error(r);
  if (!r.rule.leave(r.error_cc)) {
    if (auto ok = choose(r, *insert); !ok) return tl::unexpected(ok.error());
    const bool gasket = r.gasket && r.gasket->against.empty();
    r.verdict = r.recommended ? Verdict::mend : gasket ? Verdict::gasket : Verdict::no_way;
  }
  const auto base = slug(r.spec.name);
  r.log = (options.log.empty() ? options.folder / (base + "-log.jsonl") : options.log).string();
  auto date = log_date();
  if (!date) return failed(Exit::usage, date.error());
  add_entry(r, std::move(*date));
  add_offset(r, *insert);
  add_notes(r, base);
  if (auto ok = write(r, base); !ok) return tl::unexpected(ok.error());
  return r;
}

} // namespace chamber::job
