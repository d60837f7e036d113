#include "chamber/turning/plan.hpp"
#include "chamber/profile/distance.hpp"
#include "chamber/profile/integrals.hpp"
#include "chamber/profile/offset.hpp"
#include "chamber/turning/plan_fit.hpp"
#include "chamber/turning/plan_path.hpp"
#include "chamber/units/quantity.hpp"
#include "chamber/units/tolerance.hpp"
#include <algorithm>
#include <fmt/format.h>

namespace chamber::turning {

using namespace detail;
using namespace profile;

double feed_for_roughness(double roughness_um, double nose_radius_mm) {
  return std::sqrt(8 * nose_radius_mm * roughness_um * 1e-3);
}
double roughness_of_feed(double feed_mm_per_rev, double nose_radius_mm) {
  return feed_mm_per_rev * feed_mm_per_rev / (8 * nose_radius_mm) * 1e3;
}

namespace {

constexpr double past_pilot_mm = 0.2; ///< how far beyond the pilot's edge the finishing contact runs
constexpr double drill_past_mm = 1.0; ///< how far the drill's full diameter runs past the blank
constexpr double bar_air_mm = 0.1;    ///< kept round the bar in the pilot

std::optional<Problem> refuse(std::string message, std::string cure) {
  return Problem{{}, std::move(message), std::move(cure)};
}

std::optional<Problem> check_job(const Job& job) {
  if (job.chamber.empty() || broken_at(job.chamber))
    return refuse("the chamber's meridian is empty or broken.", "give one unbroken chain from rim to axis.");
  if (std::abs(job.chamber.front().start.z) > tolerance::point_mm ||
      std::abs(job.chamber.back().end.r) > tolerance::point_mm)
    return refuse("the chamber's meridian must run from the sealing face (z = 0) to the axis (r = 0).",
                  "check the profile's ends.");
  if (!falls_in_r(job.chamber))
    return refuse("the chamber is undercut: somewhere it is wider inside than nearer the piston.",
                  "this form of the program turns chambers that open towards the piston everywhere.");
  const auto& m = job.machine;
  if (m.dialect != "rs274")
    return refuse(fmt::format("the dialect \"{}\" is not known.", m.dialect), "this form writes \"rs274\".");
  if (!(m.clamp_rpm > 0) || !(m.rapid_mm_per_min > 0) || m.change_z_mm < 10 || m.max_line_length < 40 ||
      coordinate_decimals(m) < 2 || coordinate_decimals(m) > 6)
    return refuse(
        "the machine lacks a spindle clamp, a rapid rate, a tool-change Z of 10 mm or more, 2 to 6 decimals or "
        "40 characters a line.",
        "complete the machine's data.");
  const auto box = bounding_box(job.chamber);
  if (!(job.stock.outside_diameter_mm / 2 > box.r_max) || !(job.stock.thickness_mm > box.z_max))
    return refuse(
        fmt::format("the blank ({:.2f} mm diameter, {:.2f} mm thick) does not hold the chamber (radius {:.2f}, depth "
                    "{:.2f} mm).",
                    job.stock.outside_diameter_mm, job.stock.thickness_mm, box.r_max, box.z_max),
        "take a larger blank.");
  if (job.stock.thickness_mm < job.insert_height_mm - tolerance::point_mm)
    return refuse(fmt::format("the blank is {:.2f} mm thick, the insert {:.2f} mm high.", job.stock.thickness_mm,
                              job.insert_height_mm),
                  "take a thicker blank.");
  if (!(job.allowance_mm > 0) || !(job.semi_finish_mm >= 0) || !(job.roughness_um > 0))
    return refuse("the finishing allowance and the wanted roughness must be above 0.", "give both.");
  return std::nullopt;
}

double rpm_at(double speed_m_per_min, double diameter_mm, double clamp) {
  return std::min(clamp, std::floor(speed_m_per_min * 1000 / (units::pi * diameter_mm)));
}

void add_drill_moves(Operation& op, double thickness) {
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
  op.notes.push_back(fmt::format("drill point reaches Z{:.2f} mm: leave room behind the blank", bottom));
}

Result<Operation> drill(const Job& job) {
  std::optional<Problem> first;
  const Tool* best = nullptr;
  for (const auto& t : job.tools) {
    if (t.kind != ToolKind::drill) continue;
    auto why = unusable(t);
    const double need = job.stock.thickness_mm + t.diameter_mm + drill_past_mm + clear_mm;
    if (!why && t.diameter_mm / 2 > job.plug_hole_radius_mm + tolerance::point_mm)
      why = refuse(fmt::format("{} is {:.3f} mm in diameter, the plug hole only {:.3f} mm.", label(t), t.diameter_mm,
                               2 * job.plug_hole_radius_mm),
                   "take a drill no larger than the tap drill.");
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
    return fail(
        "no drill is among the tools, and the pilot has to be drilled.",
        fmt::format("add a drill of at most {:.2f} mm, or give the blank's bore.", 2 * job.plug_hole_radius_mm));
  }
  Operation op;
  op.cut = Cut::drill;
  op.title = "drill the pilot through";
  op.tool = *best;
  op.speed = rpm_at(best->cutting_speed_m_per_min, best->diameter_mm, job.machine.clamp_rpm);
  add_drill_moves(op, job.stock.thickness_mm);
  return op;
}

Result<Operation> rough_with(const Job& job, const Tool& t, double pilot) {
  if (const auto why = unusable(t)) return tl::unexpected(*why);
  const double nose = t.nose_radius_mm;
  auto contour = contour_at(job.chamber, nose + job.allowance_mm);
  auto stepped = contour_at(job.chamber, nose + job.allowance_mm + job.semi_finish_mm);
  for (const auto* c : {&contour, &stepped})
    if (!*c) return tl::unexpected(Problem{{}, label(t) + ": " + c->error().message, c->error().cure});

  Operation op;
  op.title = "rough the chamber in steps, then once along the contour";
  op.tool = t;
  op.constant_speed = true;
  op.speed = t.cutting_speed_m_per_min;
  // The end edge, seen along the axis, has to be longer than the step it takes.
  const double step =
      std::min(t.max_depth_mm, 0.8 * cutting_edge_mm(t) * std::cos(units::radians(t.end_edge_angle_deg)));
  const double bar = std::max(t.min_bore_mm > 0 ? t.min_bore_mm : t.shank_mm, t.neck_mm);
  const auto passes = stepped_passes(*stepped, pilot, nose, step);
  const double entry = passes.empty() ? pilot + nose : passes.front().front().start.r + nose;
  if (bar - entry > pilot - bar_air_mm)
    return fail(
        fmt::format(
            "{}: its bar needs a bore of {:.2f} mm, the pilot is {:.2f} mm and the first pass opens it to {:.2f} "
            "mm on one side.",
            label(t), bar, 2 * pilot, entry),
        "take a slimmer bar or a larger drill.");
  const auto standing = contour_at(job.chamber, job.allowance_mm + job.semi_finish_mm);
  if (!standing) return tl::unexpected(standing.error());
  // What lies inside the pilot is air: the bar is only asked to go where the nose goes.
  const auto reached = between(*contour, contour->front().start.r, pilot - nose);
  if (const auto why = does_not_fit(job, t, reached, *standing, pilot)) return tl::unexpected(*why);
  for (const auto& p : passes) append(op, p, t.feed_mm_per_rev);
  append(op, contour_pass(*contour, pilot - nose, nose), t.feed_mm_per_rev);
  op.passes = static_cast<int>(passes.size()) + 1;
  return op;
}

std::optional<Problem> tight(const Job& job, const Tool& t) {
  const auto spots = too_tight_for(job.chamber, t.nose_radius_mm);
  if (spots.empty()) return std::nullopt;
  const auto worst = *std::min_element(spots.begin(), spots.end(),
                                       [](const auto& a, const auto& b) { return a.radius_mm < b.radius_mm; });
  const std::string where = place(job, worst.at);
  if (worst.radius_mm <= 0)
    return refuse(
        fmt::format("{} (nose {:.2f} mm) cannot cut the sharp corner of the {}.", label(t), t.nose_radius_mm, where),
        "no nose can: give the corner a round.");
  return refuse(
      fmt::format("{} (nose {:.2f} mm) cannot cut the {}, whose radius is {:.3f} mm.", label(t), t.nose_radius_mm,
                  where, worst.radius_mm),
      fmt::format("the largest usable nose is {:.3f} mm; or enlarge the round; or ask for tight rounds to be left.",
                  worst.radius_mm));
}

Result<Operation> finish_with(const Job& job, const Tool& t, double pilot, Plan& plan) {
  if (const auto why = unusable(t)) return tl::unexpected(*why);
  const auto why_tight = tight(job, t);
  if (why_tight && !job.leave_tight_rounds) return tl::unexpected(*why_tight);
  const double nose = t.nose_radius_mm;
  const auto contour = contour_at(job.chamber, nose);
  if (!contour) return tl::unexpected(Problem{{}, label(t) + ": " + contour.error().message, contour.error().cure});
  if (job.allowance_mm > t.max_depth_mm)
    return fail(fmt::format("{} takes {:.2f} mm per pass, the finishing allowance is {:.2f} mm.", label(t),
                            t.max_depth_mm, job.allowance_mm),
                "lower the allowance or choose another tool.");
  const auto path = between(*contour, contour->front().start.r, pilot - past_pilot_mm);
  const auto standing = contour_at(job.chamber, job.allowance_mm);
  if (!standing) return tl::unexpected(standing.error());
  if (const auto why = does_not_fit(job, t, path, *standing, pilot)) return tl::unexpected(*why);

  plan.finished = job.chamber;
  plan.tight_left_cc = 0;
  if (why_tight) {
    const auto reached = reached_by(job.chamber, nose);
    if (!reached) return tl::unexpected(reached.error());
    plan.finished = *reached;
    plan.tight_left_cc = (swept_volume(ChainView(job.chamber)) - swept_volume(ChainView(plan.finished))) / 1000;
    plan.notes.push_back(
        fmt::format("{} leaves {:.4f} cc standing in rounds tighter than its nose.", label(t), plan.tight_left_cc));
  }
  Operation op;
  op.cut = Cut::finish;
  op.title = "finish the chamber in one pass, rim to axis";
  op.tool = t;
  op.constant_speed = true;
  op.speed = t.cutting_speed_m_per_min;
  op.passes = 1;
  const double feed = std::min(t.feed_mm_per_rev, feed_for_roughness(job.roughness_um, nose));
  op.notes.push_back(fmt::format("nose {:.2f} mm at feed {:.3f} mm/rev leaves R {:.1f} um", nose, feed,
                                 roughness_of_feed(feed, nose)));
  append(op, contour_pass(*contour, pilot - past_pilot_mm, nose), feed);
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
    if (op) return op;
    if (!first) first = op.error();
  }
  if (first) return tl::unexpected(*first);
  return fail(fmt::format("no boring tool for {} is among the tools.", what), "add a boring bar, orientation 3.");
}

} // namespace

Result<Plan> plan(const Job& job) {
  if (const auto why = check_job(job)) return tl::unexpected(*why);
  Plan out;
  out.title = job.title;
  out.material = job.material;
  out.stock = job.stock;
  out.insert_height_mm = job.insert_height_mm;
  double pilot = job.stock.bore_mm / 2;
  if (pilot <= 0) {
    auto op = drill(job);
    if (!op) return tl::unexpected(op.error());
    pilot = op->tool.diameter_mm / 2;
    out.operations.push_back(std::move(*op));
  } else if (pilot > job.plug_hole_radius_mm + tolerance::point_mm) {
    return fail(fmt::format("the blank's bore of {:.2f} mm is larger than the plug hole of {:.2f} mm.",
                            job.stock.bore_mm, 2 * job.plug_hole_radius_mm),
                "take another blank.");
  }
  auto rough = pick(job, Purpose::roughing, "roughing", [&](const Tool& t) { return rough_with(job, t, pilot); });
  if (!rough) return tl::unexpected(rough.error());
  out.operations.push_back(std::move(*rough));
  auto finish =
      pick(job, Purpose::finishing, "finishing", [&](const Tool& t) { return finish_with(job, t, pilot, out); });
  if (!finish) return tl::unexpected(finish.error());
  out.operations.push_back(std::move(*finish));
  return out;
}

} // namespace chamber::turning
