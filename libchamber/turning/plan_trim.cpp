#include "chamber/turning/plan_trim.hpp"
#include "chamber/profile/distance.hpp"
#include "chamber/profile/integrals.hpp"
#include "chamber/profile/offset.hpp"
#include "chamber/profile/rise.hpp"
#include "chamber/turning/plan_bore.hpp"
#include "chamber/turning/plan_outside.hpp"
#include "chamber/turning/plan_path.hpp"
#include "chamber/turning/plan_setup.hpp"
#include "chamber/units/quantity.hpp"
#include "chamber/units/tolerance.hpp"
#include <algorithm>
#include <fmt/format.h>

namespace chamber::turning {

using namespace detail;
using namespace profile;
using tolerance::point_mm;

namespace {

constexpr double past_edge_mm = 0.5;  ///< how far past the face's inner edge the nose's centre runs
constexpr double past_pilot_mm = 0.2; ///< how far past the hole's edge the roof is cut
constexpr double lead_mm = 0.5;       ///< of the slants in and out of a pass, along each axis
constexpr double same_mm = 1e-7;      ///< two chains are one where they differ by less
constexpr double least_cut_mm = 1e-4; ///< a tenth of a coordinate's step: nothing to cut

/// Height at which an r-falling, rising segment is cut through; its part beyond.
S beyond(S s, double z) {
  if (!s.is_arc()) {
    s.start = s.start + (s.end - s.start) * ((z - s.start.z) / (s.end.z - s.start.z));
    return s;
  }
  const double y = z - s.centre.z, x = std::sqrt(std::max(0.0, s.radius * s.radius - y * y));
  const P left{s.centre.r - x, z}, right{s.centre.r + x, z};
  s.start = right.r <= s.start.r + point_mm && right.r >= s.end.r - point_mm && arc_covers(s, right - s.centre) ? right
                                                                                                                : left;
  return s;
}

/// The outside once the face has been taken back: it begins in the new plane.
Result<Chain> outside_faced(const Work& work, double t) {
  Chain out;
  std::size_t i = 0;
  while (i < work.outside.size() && work.outside[i].end.z <= t + point_mm) ++i;
  if (i == work.outside.size() || work.outside[i].end.r < work.chamber.front().start.r)
    return fail("facing takes the whole first step.", "cut a new insert.");
  S next = work.outside[i].start.z < t - point_mm ? beyond(work.outside[i], t) : work.outside[i];
  next.start.z = t;
  out.push_back(line(P{work.chamber.front().start.r, t}, next.start));
  out.push_back(next);
  out.insert(out.end(), work.outside.begin() + static_cast<std::ptrdiff_t>(i) + 1, work.outside.end());
  return out;
}

/// The front of the piece as it stands, outermost -> axis.
Chain standing_front(const Work& work) {
  Chain back;
  double r = 0;
  for (const auto& s : work.outside) {
    if (s.end.r < r - point_mm) break; // beyond the widest step nothing is seen from the front
    r = std::max(r, s.end.r);
    back.push_back(s);
  }
  Chain out = reversed(ChainView(back));
  out.insert(out.end(), work.chamber.begin(), work.chamber.end());
  return out;
}

template <class Try>
Result<Operation> pick(const Job& job, ToolKind kind, const char* what, Try attempt) {
  std::vector<const Tool*> candidates;
  for (const auto& t : job.tools)
    if (t.kind == kind) candidates.push_back(&t);
  // Finishing tools first, large noses first.
  std::stable_sort(candidates.begin(), candidates.end(), [](const Tool* a, const Tool* b) {
    const bool x = a->purpose == Purpose::roughing, y = b->purpose == Purpose::roughing;
    return x != y ? y : a->nose_radius_mm > b->nose_radius_mm;
  });
  std::optional<Problem> first;
  for (const Tool* t : candidates) {
    if (const auto why = unusable(*t, job.machine)) {
      if (!first) first = why;
      continue;
    }
    auto op = attempt(*t);
    if (op) {
      const auto nose = in_words(job.machine, t->nose_radius_mm);
      op->reason = first ? fmt::format("nose {}; ruled out: {}", nose, first->message)
                         : fmt::format("nose {}, the largest finishing tool, fits", nose);
      return op;
    }
    if (!first) first = op.error();
  }
  if (first) return tl::unexpected(*first);
  return fail(fmt::format("no {} tool is among the tools, and {} has to be cut.", name(kind), what),
              fmt::format("add one of kind \"{}\".", name(kind)));
}

double finishing_feed(const Job& job, const Tool& t) {
  return std::min(t.feed_mm_per_rev, feed_for_roughness(job.roughness_um, t.nose_radius_mm));
}

Operation face_with(const Job& job, const Clamping& c, const Tool& t, double face, double inner) {
  const double feed = finishing_feed(job, t), nose = t.nose_radius_mm;
  auto op = start(t, Cut::face, fmt::format("face {} off the sealing face", in_words(job.machine, face, 3)), feed);
  const double outer = c.diameter_mm / 2 + nose + clear_mm, end = inner - past_edge_mm;
  op.passes = std::max(1, static_cast<int>(std::ceil(face / t.max_depth_mm - 1e-9)));
  for (int k = 1; k <= op.passes; ++k) {
    const double w = face * k / op.passes - nose;
    append(op, {line(P{outer, w}, P{end, w}), line(P{end, w}, P{end - lead_mm, w - lead_mm})}, feed);
  }
  return op;
}

bool same(const S& a, const S& b) {
  const auto apart = [](const P& p, const P& q) { return std::max(std::abs(p.r - q.r), std::abs(p.z - q.z)); };
  return a.kind == b.kind && apart(a.start, b.start) < same_mm && apart(a.end, b.end) < same_mm;
}

/// From the same place along the same line or circle.
bool sets_out_alike(const S& a, const S& b) {
  if (a.kind != b.kind || length(a.start - b.start) > same_mm) return false;
  if (!a.is_arc()) return std::abs(cross(direction_at(a, 0), direction_at(b, 0))) < same_mm;
  return length(a.centre - b.centre) < same_mm && std::abs(a.radius - b.radius) < same_mm;
}

/// What `now` and `before` share at their beginning, taken off `now`.
Chain without_common_start(Chain now, const Chain& before) {
  std::size_t i = 0;
  while (i < now.size() && i < before.size() && same(now[i], before[i])) ++i;
  now.erase(now.begin(), now.begin() + static_cast<std::ptrdiff_t>(i));
  if (now.empty() || i >= before.size() || !sets_out_alike(now.front(), before[i])) return now;
  const double whole = arc_length(now.front()), shared = arc_length(before[i]);
  if (shared < whole - point_mm)
    now.front() = split(now.front(), shared / whole)[1];
  else
    now.erase(now.begin());
  return now;
}

/// The part of `now` from where it leaves `before` to where it is back on it.
Chain changed(const Chain& now, const Chain& before) {
  Chain a = without_common_start(now, before);
  if (a.empty()) return a;
  return reversed(ChainView(without_common_start(reversed(ChainView(a)), reversed(ChainView(before)))));
}

/// Onto a path at a slant from the air side, and square off its end: ahead of it there may be a floor.
Chain with_leads(Chain path) {
  const P d = direction_at(path.front(), 0), e = direction_at(path.back(), 1);
  const P in = path.front().start + (left_of(d) - d) * lead_mm, out = path.back().end + left_of(e) * lead_mm;
  path.insert(path.begin(), line(in, path.front().start));
  path.push_back(line(path.back().end, out));
  return path;
}

double most_removed(const Chain& now, const Chain& before) {
  double most = 0;
  for (const auto& s : now) {
    const int n = 1 + static_cast<int>(arc_length(s) / 0.1);
    for (int i = 0; i <= n; ++i)
      most = std::max(most, nearest(point_at(s, static_cast<double>(i) / n), before).distance);
  }
  return most;
}

/// What the tool can cut of a chamber: all of it, or all but its tight rounds where the job leaves those.
Result<Chain> within_reach(const Job& job, const Chain& chamber, const Tool& t) {
  const auto spots = too_tight_for(chamber, t.nose_radius_mm);
  if (spots.empty()) return chamber;
  if (job.leave_tight_rounds) return reached_by(chamber, t.nose_radius_mm);
  const auto said = [&](double mm) { return in_words(job.machine, mm); };
  return fail(fmt::format("{} (nose {}) does not reach into the round at r {}, z {}.", label(t), said(t.nose_radius_mm),
                          said(spots.front().at.r), said(spots.front().at.z)),
              "take a smaller nose, or leave tight rounds standing ([lathe] leave_tight_rounds = true).");
}

struct Recut {
  Chain before, after; ///< as the tool leaves them
  double removed_mm = 0;
};

Result<Operation> recut_with(const Trim& trim, const Tool& t, double pilot, Recut& out) {
  const Job& job = trim.job;
  const auto now = within_reach(job, trim.chamber, t), before = within_reach(job, job.chamber, t);
  if (!now) return tl::unexpected(now.error());
  if (!before) return tl::unexpected(before.error());
  const double nose = t.nose_radius_mm, removed = most_removed(*now, *before);
  const Bore bore{"chamber", *now, trim.names,      job.plug_hole_radius_mm, job.stock.outside_diameter_mm / 2,
                  0,         0,    job.machine.inch};
  const auto contour = contour_at(*now, nose), old = contour_at(*before, nose);
  for (const auto* c : {&contour, &old})
    if (!*c) return tl::unexpected(Problem{{}, label(t) + ": " + c->error().message, c->error().cure});
  const double inner = pilot - past_pilot_mm;
  const auto reach = [&](const Chain& c) { return between(c, c.front().start.r, inner); };
  const Chain path = changed(reach(*contour), reach(*old));
  if (path.empty()) return fail("the new profile is the old one.", "there is nothing to cut.");
  if (const auto why = does_not_fit(bore, t, path, *before, pilot)) return tl::unexpected(*why);

  const double feed = finishing_feed(job, t);
  auto op = start(t, Cut::finish, "recut the chamber where its profile changes", feed);
  op.passes = std::max(1, static_cast<int>(std::ceil(removed / t.max_depth_mm - 1e-9)));
  for (int k = op.passes - 1; k > 0; --k) {
    const auto step = contour_at(*now, nose + removed * k / op.passes);
    if (!step) return tl::unexpected(step.error());
    const Chain pass = between(*step, path.front().start.r, path.back().end.r);
    if (!pass.empty()) append(op, with_leads(pass), feed);
  }
  append(op, with_leads(path), feed);
  op.notes.push_back(fmt::format("takes at most {}, in {} {}", in_words(job.machine, removed, 3), op.passes,
                                 op.passes == 1 ? "pass" : "passes"));
  out = {*before, *now, removed};
  return op;
}

/// The face itself.
Result<Operation> face(const Trim& trim, const Clamping& c, TrimPlan& out) {
  const Job& job = trim.job;
  Work& work = out.work;
  const double t = trim.face_mm;
  work.chamber = faced(job.chamber, t);
  if (work.chamber.empty()) return fail("facing takes the whole chamber.", "cut a new insert.");
  auto outside = outside_faced(job, t);
  if (!outside) return tl::unexpected(outside.error());
  work.outside = std::move(*outside);
  for (auto& g : work.grooves) {
    if (!g.in_face) continue;
    if (g.z_high_mm < t + point_mm) return fail(fmt::format("facing takes the whole {}.", g.name), "cut a new insert.");
    g.z_low_mm = t;
  }
  const S& first = work.chamber.front();
  const bool in_plane = !first.is_arc() && std::abs(first.end.z - t) < point_mm;
  const double inner = in_plane ? first.end.r : first.start.r;
  out.removed_mm = t;
  out.before_cc = swept_volume(ChainView(job.chamber)) / 1000;
  return pick(job, ToolKind::turning, "the sealing face",
              [&](const Tool& tool) -> Result<Operation> { return face_with(job, c, tool, t, inner); });
}

Result<Operation> recut(const Trim& trim, Clamping& c, TrimPlan& out) {
  Recut done;
  auto op = pick(trim.job, ToolKind::boring, "the chamber",
                 [&](const Tool& t) { return recut_with(trim, t, c.bore_mm / 2, done); });
  if (!op) return op;
  if (rise_over(done.after, done.before).least < -least_cut_mm)
    return fail("the new profile lies inside the chamber that stands: metal would have to be put back.",
                "cut a new insert.");
  out.work.chamber = done.after;
  out.removed_mm = done.removed_mm;
  out.before_cc = swept_volume(ChainView(done.before)) / 1000;
  Work standing = trim.job;
  standing.chamber = done.before;
  c.standing = standing_front(standing);
  return op;
}

std::vector<std::string> setting_notes(const Trim& trim) {
  const double roof = trim.job.chamber.back().end.z;
  std::vector<std::string> out{"Clock the sealing face and the chamber's rim before cutting."};
  if (trim.face_mm > 0)
    out.push_back("Touch the tool off on the sealing face as it stands: that is Z0.");
  else
    out.push_back(fmt::format(
        "Set the bar by the piece: touch the pocket's roof as it stands and call it Z{}, so that an error of "
        "the first job does not come again.",
        in_words(trim.job.machine, -roof, 3)));
  return out;
}

} // namespace

Chain faced(ChainView chamber, double t) {
  const double rim = chamber.front().start.r;
  Chain out;
  // Everything from the last place that lies in front of the plane outwards is gone.
  std::size_t from = 0;
  for (std::size_t i = 0; i < chamber.size(); ++i)
    if (chamber[i].start.z < t - point_mm) from = i;
  if (chamber[from].end.z <= t + point_mm) return out;
  S first = chamber[from].start.z < t - point_mm ? beyond(chamber[from], t) : chamber[from];
  if (rim - first.start.r > point_mm) out.push_back(line(P{rim, t}, first.start));
  out.push_back(first);
  out.insert(out.end(), chamber.begin() + static_cast<std::ptrdiff_t>(from) + 1, chamber.end());
  return out;
}

Result<TrimPlan> plan_trim(const Trim& trim) {
  const Job& job = trim.job;
  if (!falls_in_r(job.chamber) || (trim.face_mm <= 0 && !falls_in_r(trim.chamber)))
    return fail("the chamber is undercut.", "this program turns chambers that open towards the piston everywhere.");
  if (trim.face_mm <= 0 && (trim.chamber.empty() || most_removed(trim.chamber, job.chamber) < least_cut_mm))
    return fail("the new profile is the old one.", "there is nothing to cut.");
  auto task = hold_finished(job);
  if (!task) return tl::unexpected(task.error());
  TrimPlan out;
  out.work = job;
  out.work.thread = {};
  auto& c = task->clamping;
  c.bore_mm = 2 * job.plug_hole_radius_mm;
  c.standing = standing_front(job);
  auto op = trim.face_mm > 0 ? face(trim, c, out) : recut(trim, c, out);
  if (!op) return tl::unexpected(op.error());
  if (c.soft_jaws && out.removed_mm > c.jaws_mm)
    return fail("the cut would reach the jaws.", "hold it on a mandrel in the plug thread.");

  auto& plan = out.plan;
  plan.title = job.title;
  plan.material = job.material;
  plan.stock = {c.diameter_mm, job.height_mm, c.bore_mm};
  plan.height_mm = job.height_mm;
  plan.finished = out.work.chamber;
  plan.trim = trim.about;
  Setup setup;
  setup.clamping = c;
  setup.notes = task->notes;
  for (auto& n : setting_notes(trim)) setup.notes.push_back(std::move(n));
  setup.operations.push_back(std::move(*op));
  plan.setups.push_back(std::move(setup));
  return out;
}

} // namespace chamber::turning
