#include "chamber/turning/plan_bore.hpp"
#include "chamber/profile/distance.hpp"
#include "chamber/profile/integrals.hpp"
#include "chamber/profile/offset.hpp"
#include "chamber/turning/plan_control.hpp"
#include "chamber/turning/plan_path.hpp"
#include "chamber/units/quantity.hpp"
#include "chamber/units/tolerance.hpp"
#include <algorithm>
#include <fmt/format.h>

namespace chamber::turning::detail {

using namespace profile;

namespace {

constexpr double past_pilot_mm = 0.2;   ///< how far beyond the pilot's edge the finishing contact runs
constexpr double bar_air_mm = 0.1;      ///< kept round the bar in the pilot
constexpr double least_depth_mm = 0.03; ///< an edge that takes less rubs (common practice, no source)
constexpr int most_passes = 8;          ///< along a contour, for what one would take too deep; more wants another tool

std::optional<Problem> refuse(std::string message, std::string cure) {
  return Problem{{}, std::move(message), std::move(cure)};
}

/// Where the nose's centre ends, `distance` from the profile, when it cuts the bore a little past the pilot's edge: on
/// a slope, or in a round that runs out there, it lies beside the place it touches.
double inner_end(const Bore& bore, double pilot, double distance) {
  const double end = pilot - past_pilot_mm;
  constexpr double wall_mm = 0.01; // in a round it stands still, and has come down a wall right above
  const auto at_end = [&](ChainView surface) {
    const auto cut = between(surface, surface.front().start.r, end);
    const S& last = cut.empty() ? surface.back() : cut.back();
    return end - distance * direction_at(last, 1).z - (last.kind == Kind::ccw ? wall_mm : 0);
  };
  const auto reached = reached_by(bore.chain, distance);
  return at_end(reached ? ChainView(*reached) : ChainView(bore.chain));
}

/// Steps parallel to the axis, and what stands after them.
struct Steps {
  std::vector<Chain> passes;
  Standing left;
  bool all_in = true; ///< each goes in as far as the nose may; else only as far as it must
};

/// How far in the centre of the roughing nose goes, `distance` from the profile.
double rough_end(const Bore& bore, double pilot, double nose, double distance, bool all_in) {
  const double farthest = pilot - nose;
  return all_in ? farthest : std::max(farthest, inner_end(bore, pilot, distance));
}

Result<Steps> rough_steps(const Bore& bore, const Tool& t, double pilot, double distance, const Standing& standing) {
  const auto contour = contour_at(bore.chain, distance);
  if (!contour) return tl::unexpected(Problem{{}, label(t) + ": " + contour.error().message, contour.error().cure});
  const double nose = t.nose_radius_mm;
  // The end edge, seen along the axis, has to be longer than the step it takes.
  const double step =
      std::min(t.max_depth_mm, 0.8 * cutting_edge_mm(t) * std::cos(units::radians(t.end_edge_angle_deg)));
  const double bar = std::max(t.min_bore_mm > 0 ? t.min_bore_mm : t.shank_mm, t.neck_mm);
  std::optional<Problem> why;
  // A bar in the way of what still stands, beside it or across the axis, takes narrower steps and goes in no farther
  // than it must.
  for (const auto& [part, all_in] : {std::pair{1.0, true}, {1.0, false}, {0.8, false}, {0.6, false}, {0.4, false}}) {
    Steps s{stepped_passes(*contour, pilot, nose, part * step, bar + bar_air_mm,
                           rough_end(bore, pilot, nose, distance, all_in), bore.front_mm),
            standing, all_in};
    const double entry = s.passes.empty() ? pilot + nose : s.passes.front().front().start.r + nose;
    const bool fits_in = bar - entry <= pilot - bar_air_mm;
    if (!fits_in && why) break; // a narrower first step makes no room
    if (!fits_in)
      return fail(
          fmt::format("{}: its bar needs a bore of {}, the pilot is {} and the first pass opens it to {} on one side.",
                      label(t), in_words(bore.inch, bar), in_words(bore.inch, 2 * pilot), in_words(bore.inch, entry)),
          "take a slimmer bar or a larger drill.");
    Bite bite;
    for (const auto& p : s.passes) bite.add(s.left.cut(t, p));
    why = unbearable(bore, t, bite);
    if (!why) return s;
  }
  return tl::unexpected(*why);
}

Operation rough_operation(const Bore& bore, const Tool& t, const std::vector<Chain>& steps,
                          const std::vector<Chain>& along) {
  Operation op;
  op.cut = Cut::rough;
  op.title = fmt::format("rough the {} in steps, then {} along the contour", bore.what,
                         along.size() == 1 ? std::string("once") : fmt::format("{} times", along.size()));
  op.tool = t;
  op.constant_speed = true;
  op.speed = t.cutting_speed_m_per_min;
  op.feed_mm_per_rev = t.feed_mm_per_rev;
  op.passes = static_cast<int>(steps.size() + along.size());
  for (const auto* passes : {&steps, &along})
    for (const auto& p : *passes) append(op, p, t.feed_mm_per_rev);
  return op;
}

Result<Operation> rough_with(const Job& job, const Bore& bore, const Tool& t, double pilot, Roughed& done) {
  if (const auto why = unusable(t, job.machine)) return tl::unexpected(*why);
  const double nose = t.nose_radius_mm;
  const auto contour = contour_at(bore.chain, nose + job.allowance_mm);
  if (!contour) return tl::unexpected(Problem{{}, label(t) + ": " + contour.error().message, contour.error().cure});
  // The passes along the contour take this off, and what the steps leave on top of it.
  const double semi_finish = std::min(job.semi_finish_mm, t.max_depth_mm / 3);
  const auto standing = contour_at(bore.chain, job.allowance_mm + semi_finish);
  if (!standing) return tl::unexpected(standing.error());
  // What lies inside the pilot is air: the bar is only asked to go where the nose goes.
  const auto reached = between(*contour, contour->front().start.r, pilot - nose);
  if (const auto why = does_not_fit(bore, t, reached, *standing, pilot)) return tl::unexpected(*why);
  const auto steps = rough_steps(bore, t, pilot, nose + job.allowance_mm + semi_finish, done.standing);
  if (!steps) return tl::unexpected(steps.error());

  std::optional<Problem> why;
  for (int n = 1; n <= most_passes; ++n) {
    Roughed left{steps->left, nose};
    Bite bite;
    std::vector<Chain> along;
    for (int k = n - 1; k >= 0; --k) {
      const double distance = nose + job.allowance_mm + semi_finish * k / n;
      const auto path = contour_at(bore.chain, distance);
      if (!path) continue;
      along.push_back(contour_pass(*path, rough_end(bore, pilot, nose, distance, steps->all_in), nose));
      bite.add(left.standing.cut(t, along.back()));
    }
    const auto too_much = unbearable(bore, t, bite);
    if (!why) why = too_much;
    if (too_much) continue;
    done = std::move(left);
    return rough_operation(bore, t, steps->passes, along);
  }
  return tl::unexpected(*why);
}

/// The plug's seat, from the top side: the rounds its corners may keep are the outside's, not the chamber's.
bool is_seat(const Bore& bore) {
  return bore.turned_at_mm > 0;
}

std::optional<Problem> tight(const Bore& bore, const Tool& t) {
  const auto spots = too_tight_for(bore.chain, t.nose_radius_mm);
  if (spots.empty()) return std::nullopt;
  const auto worst = *std::min_element(spots.begin(), spots.end(),
                                       [](const auto& a, const auto& b) { return a.radius_mm < b.radius_mm; });
  const std::string where = place(bore, worst.at);
  if (worst.radius_mm <= 0)
    return refuse(fmt::format("{} (nose {}) cannot cut the sharp corner of the {}.", label(t),
                              in_words(bore.inch, t.nose_radius_mm), where),
                  "no nose can: give the corner a round.");
  return refuse(
      fmt::format("{} (nose {}) cannot cut the {}, whose radius is {}.", label(t),
                  in_words(bore.inch, t.nose_radius_mm), where, in_words(bore.inch, worst.radius_mm, 3)),
      fmt::format("the largest usable nose is {}; or {}.", most_in_words(bore.inch, worst.radius_mm, 3),
                  is_seat(bore)
                      ? "allow a larger round in inner corners (body.inner_corner)"
                      : "enlarge the round; or leave tight rounds standing ([lathe] leave_tight_rounds = true)"));
}

/// Whether the finishing pass, or that and others before it, take what the roughing left; else why not.
std::optional<Problem> split_allowance(const Job& job, const Bore& bore, const Tool& t, double pilot, const Chain& last,
                                       const Roughed& roughed, bool measured, Finished& done) {
  constexpr double air_mm = 0.01; ///< a pass that takes less cuts air
  const double nose = t.nose_radius_mm;
  // More than a larger nose leaves in a square corner, beyond the allowance.
  const double in_corners = std::max(0.0, roughed.nose_mm - nose);
  std::optional<Problem> why;
  for (int parts = measured ? 2 : 1; parts <= most_passes; ++parts) {
    const double each = job.allowance_mm / parts;
    if (why && each < least_depth_mm) break;
    for (const double beyond : {0.0, in_corners}) {
      Standing left = roughed.standing;
      Bite bite;
      done.before_mm.clear();
      for (int k = static_cast<int>(std::ceil((job.allowance_mm + beyond) / each - 1e-9)) - 1; k > 0; --k) {
        const auto contour = contour_at(bore.chain, nose + k * each);
        if (!contour && k < parts && measured) return contour.error(); // there would be nothing to measure by
        if (!contour) continue;
        Standing then = left;
        const auto taken = then.cut(t, contour_pass(*contour, inner_end(bore, pilot, nose + k * each), nose));
        if (k >= parts && taken.depth_mm < air_mm) continue;
        left = std::move(then);
        bite.add(taken);
        done.before_mm.push_back(k * each);
      }
      bite.add(left.cut(t, last));
      why = unbearable(bore, t, bite);
      if (!why) return why;
      if (in_corners == 0) break;
    }
  }
  return why;
}

Result<Operation> finish_with(const Job& job, const Bore& bore, const Tool& t, double pilot, const Roughed& roughed,
                              bool measured, Finished& done) {
  if (const auto why = unusable(t, job.machine)) return tl::unexpected(*why);
  const auto why_tight = tight(bore, t);
  if (why_tight && (!job.leave_tight_rounds || is_seat(bore))) return tl::unexpected(*why_tight);
  const double nose = t.nose_radius_mm;
  const auto contour = contour_at(bore.chain, nose + grid_ease_mm(job.machine));
  if (!contour) return tl::unexpected(Problem{{}, label(t) + ": " + contour.error().message, contour.error().cure});
  if (job.allowance_mm > t.max_depth_mm)
    return fail(fmt::format("{} takes {} per pass, the finishing allowance is {}.", label(t),
                            in_words(job.machine, t.max_depth_mm), in_words(job.machine, job.allowance_mm)),
                "lower the allowance or choose another tool.");
  const double inner = inner_end(bore, pilot, nose);
  const auto path = between(*contour, contour->front().start.r, inner);
  const auto standing = contour_at(bore.chain, job.allowance_mm);
  if (!standing) return tl::unexpected(standing.error());
  if (const auto why = does_not_fit(bore, t, path, *standing, pilot)) return tl::unexpected(*why);
  const auto last = contour_pass(*contour, inner, nose);
  if (const auto why = split_allowance(job, bore, t, pilot, last, roughed, measured, done)) return tl::unexpected(*why);

  done.chain = bore.chain;
  done.tight_left_cc = 0;
  if (why_tight) {
    const auto reached = reached_by(bore.chain, nose);
    if (!reached) return tl::unexpected(reached.error());
    done.chain = *reached;
    done.tight_left_cc = (swept_volume(ChainView(bore.chain)) - swept_volume(ChainView(done.chain))) / 1000;
    done.notes.push_back(
        fmt::format("{} leaves {:.4f} cc standing in rounds tighter than its nose.", label(t), done.tight_left_cc));
  }
  Operation op;
  op.cut = Cut::finish;
  op.title = fmt::format("finish the {} in one pass, from its rim inwards", bore.what);
  op.tool = t;
  op.constant_speed = true;
  op.speed = t.cutting_speed_m_per_min;
  op.passes = 1;
  const double feed = std::min(t.feed_mm_per_rev, feed_for_roughness(job.roughness_um, nose));
  op.feed_mm_per_rev = feed;
  op.notes.push_back(surface_note(job.machine, nose, feed));
  if (job.nose_by_control && !why_tight && follow_profile(op, job.machine, bore, pilot - past_pilot_mm, feed))
    return op;
  append(op, last, feed);
  return op;
}

/// Tries the tools kept for a purpose, best first, and returns the first that can, or the first refusal.
template <class Try>
Result<Operation> pick(const Job& job, Purpose purpose, const char* what, Try attempt) {
  std::vector<const Tool*> candidates;
  const Purpose other = purpose == Purpose::roughing ? Purpose::finishing : Purpose::roughing;
  for (const auto& t : job.tools)
    if (t.kind == ToolKind::boring && t.purpose != other) candidates.push_back(&t);
  std::stable_sort(candidates.begin(), candidates.end(), [&](const Tool* a, const Tool* b) {
    return purpose == Purpose::roughing ? a->max_depth_mm > b->max_depth_mm : a->nose_radius_mm > b->nose_radius_mm;
  });
  std::optional<Problem> first;
  for (const Tool* t : candidates) {
    auto op = attempt(*t);
    if (op) {
      const auto best = purpose == Purpose::roughing ? "takes " + in_words(job.machine, t->max_depth_mm) + " per pass"
                                                     : "nose " + in_words(job.machine, t->nose_radius_mm);
      op->reason = first ? fmt::format("{}, the most of those that fit; ruled out: {}", best, first->message)
                         : best + ", the most on offer, and fits";
      return op;
    }
    if (!first) first = op.error();
  }
  if (first) return tl::unexpected(*first);
  return fail(fmt::format("no boring tool for {} is among the tools.", what), "add a boring bar, orientation 3.");
}

} // namespace

Result<Operation> rough_bore(const Job& job, const Bore& bore, double pilot_mm, Roughed& done) {
  return pick(job, Purpose::roughing, "roughing",
              [&](const Tool& t) { return rough_with(job, bore, t, pilot_mm, done); });
}

Result<Operation> finish_bore(const Job& job, const Bore& bore, double pilot_mm, const Roughed& roughed, bool measured,
                              Finished& done) {
  return pick(job, Purpose::finishing, "finishing",
              [&](const Tool& t) { return finish_with(job, bore, t, pilot_mm, roughed, measured, done); });
}

Result<Operation> passes_before(const Bore& bore, double pilot, const Operation& finish,
                                const std::vector<double>& left_mm, bool measured) {
  Operation op = finish;
  op.nose = Nose::in_coordinates;
  op.moves.clear();
  op.notes.clear();
  op.passes = static_cast<int>(left_mm.size());
  const std::string many = op.passes == 1 ? std::string("one pass") : fmt::format("{} passes", op.passes);
  op.title = !measured        ? fmt::format("take the {} down in {}, before the last one", bore.what, many)
             : op.passes == 1 ? fmt::format("cut half of what is left of the {}, to measure by", bore.what)
                              : fmt::format("take the {} down in {}, to measure by", bore.what, many);
  const double nose = finish.tool.nose_radius_mm;
  for (const double left : left_mm) {
    const auto contour = contour_at(bore.chain, nose + left);
    if (!contour)
      return tl::unexpected(Problem{{}, label(op.tool) + ": " + contour.error().message, contour.error().cure});
    append(op, contour_pass(*contour, inner_end(bore, pilot, nose + left), nose), finish.feed_mm_per_rev, left);
  }
  return op;
}

} // namespace chamber::turning::detail
