#include "chamber/job/paint.hpp"
#include "chamber/job/trim.hpp"
#include "chamber/job/words.hpp"
#include "chamber/units/quantity.hpp"
#include <fmt/format.h>

namespace chamber::job {
namespace {

using units::fixed;

std::string sign(double v, int decimals) {
  return (v > 0 ? "+" : "") + fixed(v, decimals);
}

/// What a step that is told on a lathe's handwheel is worth: 0.1 mm, or 0.001 in.
std::string per_step(const Words& w, double cc_per_tenth_mm, bool signed_) {
  const double cc = w.inch() ? cc_per_tenth_mm * 0.001 * units::mm_per_inch / 0.1 : cc_per_tenth_mm;
  const int decimals = w.inch() ? 4 : 3;
  return fmt::format("{} cc per {}", signed_ ? sign(cc, decimals) : fixed(cc, decimals),
                     w.inch() ? "0.001 in" : "0.1 mm");
}

void add_figures(std::string& out, const Words& w, const MendFigures& now, const MendFigures& after) {
  const auto row = [&](std::string_view what, std::optional<double> a, std::optional<double> b, int decimals,
                       std::string_view unit) {
    if (a && b)
      out += fmt::format("      {:<22}{:>9} -> {:>9} {}\n", what, fixed(*a, decimals), fixed(*b, decimals), unit);
  };
  const auto length = [&](std::string_view what, std::optional<double> a, std::optional<double> b) {
    if (a && b) row(what, w.lengths(*a), w.lengths(*b), w.inch() ? 4 : 3, w.length_unit());
  };
  const auto& speed = w.velocity_unit();
  row("head, plug fitted", now.head_cc, after.head_cc, 3, "cc");
  row("trapped ratio", now.trapped_ratio, after.trapped_ratio, 3, ":1");
  row("full-stroke ratio", now.full_ratio, after.full_ratio, 3, ":1");
  length("smallest squish gap", now.squish_gap_mm, after.squish_gap_mm);
  length("gap at the mouth", now.mouth_gap_mm, after.mouth_gap_mm);
  if (now.gap_velocity_m_s && after.gap_velocity_m_s)
    row("peak gap velocity", *now.gap_velocity_m_s / speed.scale, *after.gap_velocity_m_s / speed.scale, 1,
        speed.symbol);
  length("plug end to crown", now.plug_to_crown_mm, after.plug_to_crown_mm);
  length("smallest wall", now.wall_mm, after.wall_mm);
}

void add_way(std::string& out, const TrimReport& r, const MendWay& w, const Paint& paint) {
  const bool chosen = r.recommended && &r.ways[*r.recommended] == &w;
  const Words words(r.spec);
  if (!w.possible()) {
    out += fmt::format("  {} {}: {}.\n", paint.bad("no  "), name(w.mend), w.impossible);
    return;
  }
  out += fmt::format("  {} {}: {}, {}{}\n", w.allowed() ? paint.good("ok  ") : paint.bad("no  "), name(w.mend),
                     amount_text(r.spec, w), per_step(words, w.cc_per_tenth_mm, true), chosen ? "   RECOMMENDED" : "");
  if (!w.dimension.empty())
    out +=
        fmt::format("      {:<22}{:>9} -> {:>9}\n", w.dimension, words.figure(w.from, true), words.length(w.to, true));
  add_figures(out, words, r.now, w.after);
  for (const auto& n : w.notes) out += fmt::format("      {}\n", n);
  for (const auto& a : w.against) out += fmt::format("      forbidden by {}\n", a);
}

void add_program(std::string& out, const TrimReport& r, const Paint& paint) {
  const auto& t = *r.program;
  const auto& setup = t.plan.setups.front();
  const auto& c = setup.clamping;
  out += "\n" + paint.head(fmt::format("Trim program ({}, {}): {}\n", t.job.machine.name, t.job.machine.dialect,
                                       r.files.front()));
  const auto said = [&](double mm, int decimals = 2) { return turning::in_words(t.job.machine, mm, decimals); };
  out += c.mandrel ? fmt::format("  held   by the plug thread on a mandrel, which ends {} behind Z0\n",
                                 said(c.mandrel_end_mm))
                   : fmt::format("  held   soft jaws bored to {}, {} behind Z0, {} deep\n", said(c.grip_diameter_mm),
                                 said(c.jaws_mm), said(c.grip_mm));
  for (const auto& op : setup.operations) {
    out += fmt::format("  T{:<5} {}: {}, {} {}\n", op.tool.number, op.tool.name, op.title, op.passes,
                       op.passes == 1 ? "pass" : "passes");
    out += fmt::format("  why    {}\n", op.reason);
  }
  for (const auto& n : setup.notes) out += fmt::format("  note   {}\n", n);
  out += fmt::format("  proof  largest gouge {}, metal left {}; the insert then holds {} cc\n",
                     said(t.proof.largest_gouge_mm, 4), said(t.proof.largest_left_mm, 4), fixed(r.program_cc, 3));
}

void add_offset(std::string& out, const TrimReport& r, const Paint& paint) {
  if (!r.offset) return;
  const auto& o = *r.offset;
  const auto& e = o.error;
  out += "\n" + paint.head(fmt::format("The lathe ({}), by {} inserts in the log\n", r.spec.machine.name, e.inserts));
  out += fmt::format("  mean error {} cc +- {} cc (standard); it counts from {} cc on (95 %)\n", sign(e.mean_cc, 3),
                     fixed(e.standard_cc, 3), fixed(e.factor * e.standard_cc, 3));
  if (!e.significant) {
    out += "  No offset is proposed: the mean may be chance.\n";
    return;
  }
  out += fmt::format("  Proposed: {} cc, by one of these offsets of {}:\n", sign(-e.mean_cc, 3),
                     o.tool ? fmt::format("T{} ({})", o.tool, o.tool_name) : std::string("the finishing bar"));
  // What is typed into the control, in its unit; the X offset's as a diameter.
  const auto said = [&](double mm) { return (mm > 0 ? "+" : "") + turning::in_words(r.spec.machine, mm, 4); };
  const Words w(r.spec);
  out +=
      fmt::format("    Z {}   ({}; plus is away from the chuck)\n", said(o.z_mm), per_step(w, o.cc_per_tenth_z, false));
  out += fmt::format("    X {} on the diameter   ({} on the radius)\n", said(2 * o.x_radius_mm),
                     per_step(w, o.cc_per_tenth_x, false));
}

/// The traveller's limit, and what lies beyond it only by what the filling cannot tell.
std::string leave_text(const TrimReport& r) {
  if (r.rule.right(r.error_cc))
    return fmt::format("Leave it: it is within the limit of ± {} cc; the filling itself is known to ± {} cc (95 %).",
                       fixed(r.rule.limit_cc, 2), fixed(r.rule.untold_cc, 2));
  const auto n = r.asked.read_cc.size();
  return fmt::format(
      "Leave it: it is over the limit of ± {} cc, but by no more than the ± {} cc (95 %) that the filling "
      "is known to, so that it cannot be told from right.{}",
      fixed(r.rule.limit_cc, 2), fixed(r.rule.untold_cc, 2),
      n < usual_fillings ? fmt::format(" The mean of {} fillings tells more.", usual_fillings) : "");
}

} // namespace

std::string amount_text(const Spec& spec, const MendWay& way) {
  auto amount = Words(spec).length(way.amount_mm, true);
  switch (way.mend) {
  case Mend::face:
    return amount + " off the face";
  case Mend::deepen_bowl:
    return amount + " deeper at its top";
  case Mend::widen_mouth:
    return amount + " wider on the radius";
  case Mend::deepen_pocket:
    return amount + " deeper";
  }
  return amount;
}

std::string verdict_text(const TrimReport& r) {
  const Words words(r.spec);
  switch (r.verdict) {
  case Verdict::leave:
    return leave_text(r);
  case Verdict::mend: {
    const auto& w = r.ways[*r.recommended];
    return fmt::format("Mend it: {}, {} ({}). It is off by more than the limit of ± {} cc and the ± {} cc (95 %) that "
                       "the filling is known to.",
                       name(w.mend), amount_text(r.spec, w), r.why, fixed(r.rule.limit_cc, 2),
                       fixed(r.rule.untold_cc, 2));
  }
  case Verdict::gasket:
    return fmt::format("No cut is within the limits; a gasket of {} instead of {} (compressed) makes up for it.",
                       words.length(r.gasket->to_mm), words.length(r.gasket->from_mm));
  case Verdict::no_way:
    return r.error_cc > 0
               ? "Scrap: it holds more than facing within the limits takes away. Ease a limit named below, or cut it "
                 "anew."
               : "Too small, and every cut is against a limit: ease one that is named below, or cut it anew.";
  }
  return {};
}

std::string to_text(const TrimReport& r, bool colour) {
  const Paint paint{colour};
  const Words words(r.spec);
  std::string out = paint.head(fmt::format("{} (revision {}){}\n\n", r.spec.name, r.spec.revision,
                                           r.asked.insert.empty() ? "" : ", insert " + r.asked.insert));
  const auto row = [&](std::string_view what, double cc, std::string_view note) {
    out += fmt::format("  {:<22}{:>9} cc   {}\n", what, fixed(cc, 3), note);
  };
  out += paint.head("Head volume, plug fitted\n");
  row("wanted", r.wanted_cc, fmt::format("profile as designed {} cc", fixed(r.profile_cc, 3)));
  const auto n = r.asked.read_cc.size();
  row("measured", r.measured_cc,
      fmt::format("filled {}{}", engine::fill_names[static_cast<std::size_t>(r.asked.filled)],
                  n > 1 ? fmt::format(", {} times, scatter {} cc", n, fixed(r.scatter_cc, 3)) : ""));
  out += fmt::format("  {:<22}{:>9} cc   +- {} cc standard; decided by {}\n\n", "error", sign(r.error_cc, 3),
                     fixed(r.uncertainty_cc, 3), r.decided_by);
  out += paint.head(verdict_text(r)) + "\n";
  if (r.error_cc > 0 && r.verdict != Verdict::leave)
    out += fmt::format("The limits allow facing by {} at most.\n", words.length(r.most_facing_mm, true));
  if (!r.ways.empty()) out += "\n" + paint.head("Ways (now -> after)\n");
  for (const auto& w : r.ways) add_way(out, r, w, paint);
  if (r.gasket) {
    const auto& g = *r.gasket;
    out += fmt::format(
        "  {} another gasket: {} instead of {}, compressed; the clearance volume is then right, the head's own "
        "is not\n",
        g.against.empty() ? paint.good("ok  ") : paint.bad("no  "), words.length(g.to_mm), words.length(g.from_mm));
    add_figures(out, words, r.now, g.after);
    for (const auto& a : g.against) out += fmt::format("      forbidden by {}\n", a);
  }
  if (r.program) add_program(out, r, paint);
  add_offset(out, r, paint);
  if (!r.notes.empty()) out += "\n" + paint.head("Notes\n");
  for (const auto& note : r.notes) out += "  - " + note + "\n";
  out += "\n" + paint.head("Files\n");
  for (const auto& f : r.files) out += fmt::format("  {}\n", f);
  out += fmt::format("  {}   (one line added)\n", r.log);
  return out;
}

} // namespace chamber::job
