#include "chamber/turning/plan_bore.hpp"
#include "chamber/profile/distance.hpp"
#include "chamber/profile/integrals.hpp"
#include "chamber/profile/offset.hpp"
#include "chamber/turning/plan_path.hpp"
#include "chamber/units/quantity.hpp"
#include "chamber/units/tolerance.hpp"
#include <algorithm>
#include <fmt/format.h>

namespace chamber::turning::detail {

using namespace profile;

namespace {

constexpr double past_pilot_mm = 0.2;  ///< how far beyond the pilot's edge the finishing contact runs
constexpr double drill_past_mm = 1.0;  ///< how far the drill's full diameter runs past the blank
constexpr double bar_air_mm = 0.1;     ///< kept round the bar in the pilot
constexpr double least_turn_mm = 0.02; ///< radius left of a round when the nose rolls in it, where the control reckons
constexpr double parallels_meet_mm = 0.01; ///< a control joins parallels that miss each other by no more
constexpr double centre_steps = 3;         ///< of the grid that an arc's centre may be away from its place
constexpr double lead_turn_rad = 0.1;      ///< from the way in to the profile: more than rounding turns either

std::optional<Problem> refuse(std::string message, std::string cure) {
  return Problem{{}, std::move(message), std::move(cure)};
}

void add_drill_moves(Operation& op, double thickness, const Machine& machine) {
  const Tool& t = op.tool;
  const double point = t.diameter_mm / 2 / std::tan(units::radians(t.point_angle_deg / 2));
  const double bottom = -(thickness + point + drill_past_mm);
  const double peck = t.max_depth_mm > 0 ? t.max_depth_mm : t.diameter_mm;
  constexpr double short_of_mm = 0.5;
  const int n = static_cast<int>(std::ceil(-bottom / peck));
  op.passes = n;
  op.moves.push_back({Move::Kind::rapid, 0, clear_mm, 0, 0, 0});
  for (int k = 1; k <= n; ++k) {
    if (k > 1) op.moves.push_back({Move::Kind::rapid, 0, bottom * (k - 1) / n + short_of_mm, 0, 0, 0});
    op.moves.push_back({Move::Kind::line, 0, bottom * k / n, 0, 0, t.feed_mm_per_rev});
    op.moves.push_back({Move::Kind::rapid, 0, clear_mm, 0, 0, 0});
  }
  op.notes.push_back(
      fmt::format("the drill's point comes out {} behind Z0: leave room there", in_words(machine, -bottom)));
}

} // namespace

double rpm_at(double speed_m_per_min, double diameter_mm, double clamp) {
  return std::min(clamp, std::floor(speed_m_per_min * 1000 / (units::pi * diameter_mm)));
}

Result<Operation> drill(const Job& job, double depth_mm) {
  const bool tapped = !job.thread.name.empty();
  const double least = tapped ? job.thread.minor_low_mm : 0;
  const double most = tapped ? job.thread.minor_high_mm : 2 * job.plug_hole_radius_mm;
  std::optional<Problem> first;
  const Tool* best = nullptr;
  for (const auto& t : job.tools) {
    if (t.kind != ToolKind::drill || t.purpose == Purpose::centring) continue;
    auto why = unusable(t);
    const double need = depth_mm + t.diameter_mm + drill_past_mm + clear_mm;
    if (!why && t.diameter_mm > most + tolerance::point_mm)
      why = refuse(
          fmt::format("{} is {:.3f} mm in diameter, the plug hole at most {:.3f} mm.", label(t), t.diameter_mm, most),
          tapped ? fmt::format("take a drill of {:.3f} to {:.3f} mm.", least, most)
                 : std::string("take a drill no larger than the plug hole."));
    if (!why && t.diameter_mm < least - tolerance::point_mm)
      why = refuse(fmt::format("{} is {:.3f} mm in diameter; {} asks for a hole of {:.3f} to {:.3f} mm.", label(t),
                               t.diameter_mm, job.thread.name, least, most),
                   fmt::format("add a drill of {:.3f} to {:.3f} mm.", least, most));
    if (!why && t.reach_mm < need)
      why = refuse(
          fmt::format("{} reaches {:.1f} mm, {:.1f} mm are needed through the blank.", label(t), t.reach_mm, need),
          "take a longer drill.");
    if (why) {
      if (!first) first = why;
    } else if (!best || t.diameter_mm > best->diameter_mm) {
      best = &t;
    }
  }
  if (!best) {
    if (first) return tl::unexpected(*first);
    return fail("no drill is among the tools, and the pilot has to be drilled.",
                tapped ? fmt::format("add a drill of {:.3f} to {:.3f} mm.", least, most)
                       : fmt::format("add a drill of at most {:.2f} mm, or give the blank's bore.", most));
  }
  Operation op;
  op.cut = Cut::drill;
  op.title = tapped ? "drill through, to the size for the thread" : "drill the pilot through";
  op.tool = *best;
  op.reason = tapped ? fmt::format("the largest that the thread's {:.3f} to {:.3f} mm allow", least, most)
                     : fmt::format("the largest that the plug hole of {:.2f} mm allows", most);
  op.speed = rpm_at(best->cutting_speed_m_per_min, best->diameter_mm, job.machine.clamp_rpm);
  op.feed_mm_per_rev = best->feed_mm_per_rev;
  add_drill_moves(op, depth_mm, job.machine);
  return op;
}

std::optional<Operation> centre(const Job& job, double hole_diameter_mm) {
  for (const auto& t : job.tools) {
    if (t.kind != ToolKind::drill || t.purpose != Purpose::centring || unusable(t)) continue;
    // Deep enough to hold the drill's point, no deeper: its lips must not meet the mark's edge first.
    constexpr double deepest_mm = 2.5;
    const double half = std::tan(units::radians(t.point_angle_deg) / 2);
    const double depth = std::min(deepest_mm, std::min(t.diameter_mm, 0.8 * hole_diameter_mm) / 2 / half);
    const double wide = 2 * depth * half;
    Operation op;
    op.cut = Cut::drill;
    op.title = "mark the centre";
    op.tool = t;
    op.reason = "a drill starts true in it";
    op.speed = rpm_at(t.cutting_speed_m_per_min, wide, job.machine.clamp_rpm);
    op.feed_mm_per_rev = t.feed_mm_per_rev;
    op.passes = 1;
    op.moves = {{Move::Kind::rapid, 0, clear_mm, 0, 0, 0},
                {Move::Kind::line, 0, -depth, 0, 0, t.feed_mm_per_rev},
                {Move::Kind::rapid, 0, clear_mm, 0, 0, 0}};
    return op;
  }
  return std::nullopt;
}

namespace {

Result<Operation> rough_with(const Job& job, const Bore& bore, const Tool& t, double pilot) {
  if (const auto why = unusable(t)) return tl::unexpected(*why);
  const double nose = t.nose_radius_mm;
  auto contour = contour_at(bore.chain, nose + job.allowance_mm);
  // The pass along the contour takes this off, and what the steps leave on top of it.
  const double semi_finish = std::min(job.semi_finish_mm, t.max_depth_mm / 3);
  auto stepped = contour_at(bore.chain, nose + job.allowance_mm + semi_finish);
  for (const auto* c : {&contour, &stepped})
    if (!*c) return tl::unexpected(Problem{{}, label(t) + ": " + c->error().message, c->error().cure});

  Operation op;
  op.cut = Cut::rough;
  op.title = fmt::format("rough the {} in steps, then once along the contour", bore.what);
  op.tool = t;
  op.constant_speed = true;
  op.speed = t.cutting_speed_m_per_min;
  // The end edge, seen along the axis, has to be longer than the step it takes.
  const double step =
      std::min(t.max_depth_mm, 0.8 * cutting_edge_mm(t) * std::cos(units::radians(t.end_edge_angle_deg)));
  const double bar = std::max(t.min_bore_mm > 0 ? t.min_bore_mm : t.shank_mm, t.neck_mm);
  const auto passes = stepped_passes(*stepped, pilot, nose, step, bar + bar_air_mm);
  const double entry = passes.empty() ? pilot + nose : passes.front().front().start.r + nose;
  if (bar - entry > pilot - bar_air_mm)
    return fail(
        fmt::format(
            "{}: its bar needs a bore of {:.2f} mm, the pilot is {:.2f} mm and the first pass opens it to {:.2f} "
            "mm on one side.",
            label(t), bar, 2 * pilot, entry),
        "take a slimmer bar or a larger drill.");
  const auto standing = contour_at(bore.chain, job.allowance_mm + semi_finish);
  if (!standing) return tl::unexpected(standing.error());
  // What lies inside the pilot is air: the bar is only asked to go where the nose goes.
  const auto reached = between(*contour, contour->front().start.r, pilot - nose);
  if (const auto why = does_not_fit(bore, t, reached, *standing, pilot)) return tl::unexpected(*why);
  for (const auto& p : passes) append(op, p, t.feed_mm_per_rev);
  append(op, contour_pass(*contour, pilot - nose, nose), t.feed_mm_per_rev);
  op.passes = static_cast<int>(passes.size()) + 1;
  op.feed_mm_per_rev = t.feed_mm_per_rev;
  return op;
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
    return refuse(
        fmt::format("{} (nose {:.2f} mm) cannot cut the sharp corner of the {}.", label(t), t.nose_radius_mm, where),
        "no nose can: give the corner a round.");
  return refuse(
      fmt::format("{} (nose {:.2f} mm) cannot cut the {}, whose radius is {:.3f} mm.", label(t), t.nose_radius_mm,
                  where, worst.radius_mm),
      fmt::format("the largest usable nose is {:.3f} mm; or {}.", worst.radius_mm,
                  is_seat(bore)
                      ? "allow a larger round in inner corners (body.inner_corner)"
                      : "enlarge the round; or leave tight rounds standing ([lathe] leave_tight_rounds = true)"));
}

/// The direction in which a pass under G41 comes to its profile's start, or none where the nose has no room for it.
std::optional<P> way_in(const S& first, double nose) {
  const P along = direction_at(first, 0);
  if (std::abs(along.r) < 1e-9) return along; // down a wall: it stays there when it is rounded
  constexpr double slant = 0.2588;            // as in contour_pass: a tangent along the face would rub on it
  if (along.r > -0.5 || along.z >= slant)
    // The nose rolls on to the profile. A tangent that rounding turns the other way is a corner to the control, and
    // what lies before the point where the parallels of a flat arc and its tangent then cross would not be cut.
    return along * std::cos(lead_turn_rad) + left_of(along) * std::sin(lead_turn_rad);
  // Steeper than the profile: the parallels cross a little way along it.
  const P steep{-0.9659, slant};
  const double turn = std::acos(std::min(1.0, dot(steep, along)));
  const double parallel = !first.is_arc()           ? arc_length(first)
                          : first.kind == Kind::ccw ? (first.radius - nose) * std::abs(sweep(first))
                                                    : (first.radius + nose) * std::abs(sweep(first));
  if (parallel < 2 * nose * std::tan(turn / 2)) return std::nullopt;
  return steep;
}

/// The finishing pass along the profile under G41; false (with a note) where the control would be asked for too much.
bool follow_profile(Operation& op, const Machine& machine, const Bore& bore, double inner, double feed) {
  const double nose = op.tool.nose_radius_mm;
  const auto reached = reached_by(bore.chain, nose);
  bool whole = reached && std::abs(swept_volume(ChainView(bore.chain)) - swept_volume(ChainView(*reached))) < 1e-3;
  // A round of the nose's own size is an arc without radius to the control.
  for (const auto& s : bore.chain) whole = whole && (s.kind != Kind::ccw || s.radius > nose + least_turn_mm);
  Chain path = between(bore.chain, bore.chain.front().start.r, inner);
  if (!whole || path.empty()) {
    op.notes.push_back("rounds as small as the nose: its coordinates are compensated, G40");
    return false;
  }
  // Rounding turns so short a piece, or the ends of so tight an arc, that the parallels of its neighbours do not meet;
  // the way in just goes on along the first, where that lies along an axis.
  const double step = std::pow(10.0, -coordinate_decimals(machine)) * (machine.inch ? 25.4 : 1);
  const P along = direction_at(path.front(), 0);
  const bool goes_on = std::min(std::abs(along.r), std::abs(along.z)) < 1e-9;
  const auto turns = [&](const S& s) {
    return arc_length(s) * parallels_meet_mm < step * nose ||
           (s.is_arc() && s.radius * parallels_meet_mm < centre_steps * step * nose);
  };
  if (std::any_of(path.begin() + (goes_on ? 1 : 0), path.end(), turns)) {
    op.notes.push_back("pieces too short for the control to reckon with: the nose's coordinates are compensated, G40");
    return false;
  }
  const auto in = way_in(path.front(), nose);
  if (!in) {
    op.notes.push_back("no room for the control's way in: the nose's coordinates are compensated, G40");
    return false;
  }
  op.nose = Nose::left;
  const auto shift = control_shift(op.tool.orientation);
  const P last = path.back().end, off = left_of(direction_at(path.back(), 1)); // from the contact to the nose's centre
  append_by_control(op, path.front().start - *in * (2 * nose + clear_mm), path,
                    {last.r + (off.r + shift.x) * nose, last.z + (off.z - shift.z) * nose - retract_mm}, feed);
  return true;
}

Result<Operation> finish_with(const Job& job, const Bore& bore, const Tool& t, double pilot, Finished& done) {
  if (const auto why = unusable(t)) return tl::unexpected(*why);
  const auto why_tight = tight(bore, t);
  if (why_tight && (!job.leave_tight_rounds || is_seat(bore))) return tl::unexpected(*why_tight);
  const double nose = t.nose_radius_mm;
  const auto contour = contour_at(bore.chain, nose + grid_ease_mm(job.machine));
  if (!contour) return tl::unexpected(Problem{{}, label(t) + ": " + contour.error().message, contour.error().cure});
  if (job.allowance_mm > t.max_depth_mm)
    return fail(fmt::format("{} takes {:.2f} mm per pass, the finishing allowance is {:.2f} mm.", label(t),
                            t.max_depth_mm, job.allowance_mm),
                "lower the allowance or choose another tool.");
  // The contact ends a little past the pilot's edge; on a slope the nose's centre lies beside it.
  const double end = pilot - past_pilot_mm, inner = end - nose * direction_at(bore.chain.back(), 1).z;
  const auto path = between(*contour, contour->front().start.r, inner);
  const auto standing = contour_at(bore.chain, job.allowance_mm);
  if (!standing) return tl::unexpected(standing.error());
  if (const auto why = does_not_fit(bore, t, path, *standing, pilot)) return tl::unexpected(*why);

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
  if (job.nose_by_control && !why_tight && follow_profile(op, job.machine, bore, end, feed)) return op;
  append(op, contour_pass(*contour, inner, nose), feed);
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

Result<Operation> rough_bore(const Job& job, const Bore& bore, double pilot_mm) {
  return pick(job, Purpose::roughing, "roughing", [&](const Tool& t) { return rough_with(job, bore, t, pilot_mm); });
}

Result<Operation> finish_bore(const Job& job, const Bore& bore, double pilot_mm, Finished& done) {
  return pick(job, Purpose::finishing, "finishing",
              [&](const Tool& t) { return finish_with(job, bore, t, pilot_mm, done); });
}

Result<Operation> measure_bore(const Job& job, const Bore& bore, double pilot, const Operation& finish) {
  const Tool& t = finish.tool;
  const double left = job.allowance_mm / 2;
  const auto contour = contour_at(bore.chain, t.nose_radius_mm + left);
  if (!contour) return tl::unexpected(Problem{{}, label(t) + ": " + contour.error().message, contour.error().cure});
  Operation op = finish;
  op.title = fmt::format("cut half of what is left of the {}, to measure by", bore.what);
  op.nose = Nose::in_coordinates;
  op.moves.clear();
  op.notes.clear();
  const double inner = pilot - past_pilot_mm - (t.nose_radius_mm + left) * direction_at(bore.chain.back(), 1).z;
  append(op, contour_pass(*contour, inner, t.nose_radius_mm), finish.feed_mm_per_rev, left);
  return op;
}

} // namespace chamber::turning::detail
