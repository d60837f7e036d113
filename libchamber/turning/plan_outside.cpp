#include "chamber/turning/plan_outside.hpp"
#include "chamber/profile/offset.hpp"
#include "chamber/turning/plan_fit.hpp"
#include "chamber/turning/plan_path.hpp"
#include "chamber/units/quantity.hpp"
#include "chamber/units/tolerance.hpp"
#include <algorithm>
#include <fmt/format.h>

namespace chamber::turning::detail {

using namespace profile;
using tolerance::point_mm;

Operation start(const Tool& t, Cut cut, std::string title, double feed) {
  Operation op;
  op.cut = cut;
  op.title = std::move(title);
  op.tool = t;
  op.constant_speed = true;
  op.speed = t.cutting_speed_m_per_min;
  op.feed_mm_per_rev = feed;
  return op;
}

namespace {

constexpr double past_edge_mm = 0.2; ///< how far beyond the widest step an edge break or a shoulder is followed
constexpr double lead_mm = 0.8;      ///< of the slants in and out, along each axis

/// The outside with its ends run on into the air: outermost -> past the axis.
Chain extended(const Task& task, double distance) {
  Chain chain = task.outside;
  S& first = chain.front();
  const P back = direction_at(first, 0) * -1.0;
  // An edge break or a shoulder runs on, a cylinder ends where its reach does.
  if (std::abs(back.r) > 1e-9) first.start = first.start + back * (past_edge_mm / back.r);
  chain.back().end.r = -2 * distance - 1;
  return chain;
}

/// Path of the nose centre at `distance` from the outside; falls in r.
Result<Chain> outside_contour(const Task& task, double distance) {
  auto contour = offset_left(extended(task, distance), distance);
  if (!contour) return contour;
  if (!falls_in_r(*contour))
    return fail("the outside's contour doubles back.", "use a smaller nose radius or allowance.");
  return contour;
}

double smallest_cylinder(const Task& task) {
  // Where the face begins: nothing outside it is left to longitudinal cuts.
  return task.outside.back().start.r;
}

/// Tries the turning tools kept for a purpose, best first.
template <class Try>
auto pick_turning(const Job& job, Purpose purpose, Try attempt) -> decltype(attempt(job.tools.front())) {
  std::vector<const Tool*> candidates;
  const Purpose other = purpose == Purpose::roughing ? Purpose::finishing : Purpose::roughing;
  for (const auto& t : job.tools)
    if (t.kind == ToolKind::turning && t.purpose != other) candidates.push_back(&t);
  std::stable_sort(candidates.begin(), candidates.end(), [&](const Tool* a, const Tool* b) {
    return purpose == Purpose::roughing ? a->max_depth_mm > b->max_depth_mm : a->nose_radius_mm > b->nose_radius_mm;
  });
  std::optional<Problem> first;
  for (const Tool* t : candidates) {
    if (auto why = unusable(*t, job.machine)) {
      if (!first) first = why;
      continue;
    }
    auto done = attempt(*t);
    if (done) return done;
    if (!first) first = done.error();
  }
  if (first) return tl::unexpected(*first);
  return fail(fmt::format("no turning tool for {} is among the tools, and the outside has to be turned.",
                          purpose == Purpose::roughing ? "roughing" : "finishing"),
              fmt::format("add one of kind \"turning\", orientation 2{}.",
                          purpose == Purpose::finishing
                              ? fmt::format(", nose at most {}", most_in_words(job.machine.inch, job.inner_corner_mm))
                              : std::string()));
}

/// Moves in clamping coordinates for one tool: (r, w) of the nose centre.
class Pen {
public:
  Pen(Operation& op, double feed) : op_(op), feed_(feed) {
    const auto s = control_shift(op.tool.orientation);
    dx_ = s.x * op.tool.nose_radius_mm;
    dz_ = s.z * op.tool.nose_radius_mm;
  }
  void rapid(const P& p) { put(Move::Kind::rapid, p, {}, 0); }
  void feed(const P& p) { put(Move::Kind::line, p, {}, feed_); }
  void follow(const Chain& path) {
    for (const auto& s : path)
      put(s.kind == Kind::line ? Move::Kind::line
          : s.kind == Kind::cw ? Move::Kind::arc_cw
                               : Move::Kind::arc_ccw,
          s.end, s.centre, feed_);
  }

private:
  void put(Move::Kind kind, const P& p, const P& c, double f) {
    op_.moves.push_back({kind, p.r + dx_, -p.z + dz_, c.r + dx_, -c.z + dz_, f});
  }
  Operation& op_;
  double feed_, dx_ = 0, dz_ = 0;
};

Operation face_roughly(const Job& job, const Task& task, const Tool& t, double bore) {
  auto op = start(t, Cut::face, "face the raw end", t.feed_mm_per_rev);
  Pen pen(op, t.feed_mm_per_rev);
  const double nose = t.nose_radius_mm, front = task.clamping.front_mm, away = -(front + nose + clear_mm);
  const double outside = task.clamping.diameter_mm / 2 + nose + clear_mm;
  // A solid centre is cut through to the axis; a bore is left as soon as the nose is over it.
  const double inner = bore > 0 ? bore - 2 * nose : -0.1;
  const double depth = front - job.allowance_mm;
  const int n = std::max(1, static_cast<int>(std::ceil(depth / t.max_depth_mm - 1e-9)));
  double back = away;
  for (int k = 1; k <= n; ++k) {
    const double w = -(front - depth * k / n) - nose;
    pen.rapid({outside, back});
    pen.rapid({outside, w});
    pen.feed({inner, w});
    back = w - clear_mm;
    pen.rapid({inner, back});
  }
  pen.rapid({inner, away});
  op.passes = n;
  return op;
}

Result<Operation> turn_roughly(const Job& job, const Task& task, const Tool& t) {
  auto op = start(t, Cut::turn, "rough the outside in steps", t.feed_mm_per_rev);
  Pen pen(op, t.feed_mm_per_rev);
  const double nose = t.nose_radius_mm, stock = task.clamping.diameter_mm / 2;
  const auto contour = outside_contour(task, nose + job.allowance_mm);
  if (!contour) return tl::unexpected(Problem{{}, label(t) + ": " + contour.error().message, contour.error().cure});
  const double outermost = stock + nose, innermost = smallest_cylinder(task) + nose + job.allowance_mm;
  const double front = -(job.allowance_mm + nose + clear_mm);
  const int n = std::max(1, static_cast<int>(std::ceil((outermost - innermost) / t.max_depth_mm - 1e-9)));
  const double reach = contour->front().start.r;
  double before = outermost + 0.2;
  for (int k = 1; k <= n; ++k) {
    const double r = outermost + (innermost - outermost) * k / n;
    // Just outside a cylinder the pass would leave a sliver that the next one takes whole; harmless.
    Chain path = reversed(ChainView(between(*contour, before, std::min(r, reach))));
    const P bottom = path.empty() ? P{r, contour->front().start.z} : path.front().start;
    pen.rapid({std::min(r, bottom.r), front});
    pen.feed(bottom);
    pen.follow(path);
    const P last = path.empty() ? bottom : path.back().end;
    pen.feed({std::max(last.r, before) + retract_mm, last.z - retract_mm});
    pen.rapid({std::max(last.r, before) + retract_mm, front});
    before = r;
  }
  op.passes = n;
  return op;
}

} // namespace

Result<std::vector<Operation>> rough_outside(const Job& job, const Task& task, double bore_mm) {
  return pick_turning(job, Purpose::roughing, [&](const Tool& t) -> Result<std::vector<Operation>> {
    if (t.edge_length_mm > 0 && t.max_depth_mm > 0.8 * t.edge_length_mm)
      return fail(fmt::format("{}: its edge of {} is too short for passes {} deep.", label(t),
                              in_words(job.machine, t.edge_length_mm, 1), in_words(job.machine, t.max_depth_mm)),
                  "take less depth per pass.");
    std::vector<Operation> ops;
    const auto reason = fmt::format("takes {} per pass, the most on offer", in_words(job.machine, t.max_depth_mm));
    if (task.clamping.front_mm > job.allowance_mm) ops.push_back(face_roughly(job, task, t, bore_mm));
    auto turned = turn_roughly(job, task, t);
    if (!turned) return tl::unexpected(turned.error());
    ops.push_back(std::move(*turned));
    for (auto& op : ops) op.reason = reason;
    return ops;
  });
}

namespace {

void finish_face(Operation& op, const Task& task, double allowance, double inner_mm) {
  Pen pen(op, op.feed_mm_per_rev);
  const double nose = op.tool.nose_radius_mm, front = -(allowance + nose + clear_mm);
  const double from = smallest_cylinder(task) + allowance + nose + lead_mm;
  pen.rapid({from, front});
  pen.feed({from, -nose});
  pen.feed({inner_mm, -nose});
  pen.feed({inner_mm - lead_mm, -nose - lead_mm});
  pen.rapid({inner_mm - lead_mm, front});
}

/// `left`: what the pass leaves, square to the profile.
void finish_contour(Operation& op, const Task& task, const Chain& contour, double allowance, double left = 0) {
  Pen pen(op, op.feed_mm_per_rev);
  const double nose = op.tool.nose_radius_mm, front = -(allowance + nose + clear_mm);
  const double begin = smallest_cylinder(task) - lead_mm;
  const Chain path = reversed(ChainView(between(contour, contour.front().start.r + 1, begin)));
  pen.rapid({begin - lead_mm, front});
  pen.feed({begin - lead_mm, -nose - left - lead_mm});
  pen.feed({begin, -nose - left});
  pen.follow(path);
  const P last = path.back().end;
  const double out = task.clamping.diameter_mm / 2 + nose + clear_mm;
  pen.feed({last.r + lead_mm, last.z - lead_mm});
  pen.rapid({out, last.z - lead_mm});
  pen.rapid({out, front});
}

/// The same along the profile, under G42: in along a parallel to the face, then down on it at a slant.
void follow_outside(Operation& op, const Task& task, double allowance) {
  op.nose = Nose::right;
  const double nose = op.tool.nose_radius_mm, feed = op.feed_mm_per_rev;
  const Chain whole = extended(task, nose);
  const double begin = smallest_cylinder(task) - lead_mm, above = nose / 2 + 0.3, run = 2 * nose + 1;
  const Chain face_on = reversed(ChainView(between(whole, whole.front().start.r + 1, begin)));
  const P in{begin - 2 * above - run, -above}, down{begin - 2 * above, -above};
  Chain path{line(in, down), line(down, P{begin, 0})};
  path.insert(path.end(), face_on.begin(), face_on.end());
  const auto shift = control_shift(op.tool.orientation);
  const P last = path.back().end, back = direction_at(path.back(), 1);
  // Where the nose stands at the end, and from there out of the work at a slant.
  const P centre = last - left_of(back) * nose;
  const P out{centre.r + lead_mm + 2 * nose, centre.z - lead_mm};
  append_by_control(op, {in.r - run, in.z}, path, {out.r + shift.x * nose, out.z - shift.z * nose}, feed, allowance);
  // The retreat along Z must not pass through the blank's skin.
  Move& retreat = op.moves.back();
  const double clear = std::max(retreat.x_mm, task.clamping.diameter_mm / 2 + clear_mm);
  Move away = retreat;
  away.z_mm = op.moves[op.moves.size() - 2].z_mm;
  away.x_mm = retreat.x_mm = clear;
  op.moves.insert(op.moves.end() - 1, away);
}

/// Along a shoulder higher than the edge is long, the holder behind the edge must clear the allowance.
std::optional<Problem> holder_rubs(const Job& job, const Task& task, const Tool& t) {
  const double angle = units::radians(t.end_edge_angle_deg), edge = cutting_edge_mm(t);
  constexpr double air_mm = 0.02;
  double highest = 0;
  for (const auto& s : task.outside)
    if (!s.is_arc() && std::abs(s.start.z - s.end.z) < point_mm && s.start.z > point_mm)
      highest = std::max(highest, s.start.r - s.end.r);
  if (highest <= edge * std::cos(angle) || edge * std::sin(angle) >= job.allowance_mm + air_mm) return std::nullopt;
  return Problem{{},
                 fmt::format("{}: a shoulder is {} high, its edge only {} long, and the holder behind it would rub on "
                             "the allowance of {}.",
                             label(t), in_words(job.machine, highest), in_words(job.machine, edge),
                             in_words(job.machine, job.allowance_mm)),
                 "take a longer edge, a larger end edge angle or a smaller allowance."};
}

Result<std::vector<Operation>> finish_with(const Job& job, const Task& task, const Tool& t, double inner_mm) {
  const double nose = t.nose_radius_mm;
  if (nose > job.inner_corner_mm + point_mm)
    return fail(fmt::format("{}: its nose of {} leaves more than the {} round that inner corners may keep.", label(t),
                            in_words(job.machine, nose), most_in_words(job.machine.inch, job.inner_corner_mm)),
                "take a smaller nose, or allow a larger body.inner_corner.");
  if (job.allowance_mm > t.max_depth_mm)
    return fail(fmt::format("{} takes {} per pass, the finishing allowance is {}.", label(t),
                            in_words(job.machine, t.max_depth_mm), in_words(job.machine, job.allowance_mm)),
                "lower the allowance or choose another tool.");
  if (auto why = holder_rubs(job, task, t)) return tl::unexpected(*why);
  const auto contour = outside_contour(task, nose);
  if (!contour) return tl::unexpected(Problem{{}, label(t) + ": " + contour.error().message, contour.error().cure});
  const double feed = std::min(t.feed_mm_per_rev, feed_for_roughness(job.roughness_um, nose));
  auto face = start(t, Cut::turn, "finish the face inwards, then the outside in one pass", feed);
  face.reason = fmt::format("nose {}, the largest that inner corners of {} allow", in_words(job.machine, nose),
                            in_words(job.machine, job.inner_corner_mm));
  face.notes.push_back(surface_note(job.machine, nose, feed));
  face.passes = 2;
  finish_face(face, task, job.allowance_mm, inner_mm);
  if (!job.nose_by_control) {
    finish_contour(face, task, *contour, job.allowance_mm);
    return std::vector{face};
  }
  auto turn = face;
  face.title = "finish the face inwards";
  face.cut = Cut::face;
  turn.title = "finish the outside in one pass";
  face.passes = turn.passes = 1;
  turn.moves.clear();
  follow_outside(turn, task, job.allowance_mm);
  return std::vector{face, turn};
}

} // namespace

Result<std::vector<Operation>> finish_outside(const Job& job, const Task& task, double inner_mm) {
  return pick_turning(job, Purpose::finishing, [&](const Tool& t) { return finish_with(job, task, t, inner_mm); });
}

Result<Operation> measure_outside(const Job& job, const Task& task, const Operation& finish) {
  const double nose = finish.tool.nose_radius_mm, left = job.allowance_mm / 2;
  const auto contour = outside_contour(task, nose + left);
  if (!contour) return tl::unexpected(contour.error());
  Operation op =
      start(finish.tool, Cut::turn, "cut half of what is left of the outside, to measure by", finish.feed_mm_per_rev);
  op.reason = finish.reason;
  op.passes = 1;
  finish_contour(op, task, *contour, job.allowance_mm, left);
  return op;
}

} // namespace chamber::turning::detail
