#include "chamber/turning/plan_fit.hpp"
#include "chamber/profile/distance.hpp"
#include "chamber/turning/plan_path.hpp"
#include "chamber/units/quantity.hpp"
#include <fmt/format.h>

namespace chamber::turning::detail {

using namespace profile;

namespace {
constexpr double no_metal = 1e9;
constexpr double bar_air_mm = 0.1; ///< kept round the bar

Problem problem(std::string message, std::string cure) {
  return {{}, std::move(message), std::move(cure)};
}
} // namespace

Surface::Surface(ChainView chain, double pilot_radius, double outside_radius) {
  const auto n = static_cast<std::size_t>(std::ceil(outside_radius / step_mm)) + 2;
  z_.assign(n, no_metal);
  const double rim = chain.front().start.r;
  for (std::size_t i = 0; i < n; ++i) {
    const double r = static_cast<double>(i) * step_mm;
    if (r > rim) z_[i] = r <= outside_radius ? 0.0 : no_metal;
  }
  for (const auto& s : chain) {
    const auto from = static_cast<std::size_t>(std::max(0.0, std::ceil(s.end.r / step_mm)));
    for (std::size_t i = from; i < n && static_cast<double>(i) * step_mm <= s.start.r; ++i) {
      const double r = static_cast<double>(i) * step_mm;
      if (r < pilot_radius) continue;
      double z = std::min(s.start.z, s.end.z);
      if (s.is_arc()) {
        const double x = r - s.centre.r, y = std::sqrt(std::max(0.0, s.radius * s.radius - x * x));
        z = s.centre.z + (s.kind == Kind::ccw ? y : -y);
      } else if (s.start.r - s.end.r > 1e-9) {
        z = s.start.z + (s.end.z - s.start.z) * (s.start.r - r) / (s.start.r - s.end.r);
      }
      z_[i] = std::min(z_[i], std::max(z, 0.0));
    }
  }
}

double Surface::metal_from(double r) const {
  const double at = std::abs(r) / step_mm;
  const auto i = static_cast<std::size_t>(at);
  if (i + 1 >= z_.size()) return no_metal;
  if (z_[i] >= no_metal || z_[i + 1] >= no_metal) return std::max(z_[i], z_[i + 1]);
  const double part = at - static_cast<double>(i);
  return z_[i] * (1 - part) + z_[i + 1] * part;
}

std::string label(const Tool& tool) {
  return tool.name.empty() ? fmt::format("tool {}", tool.number) : fmt::format("tool {} ({})", tool.number, tool.name);
}

std::string place(const Bore& bore, const P& at) {
  std::size_t best = 0;
  double distance = no_metal;
  for (std::size_t i = 0; i < bore.chain.size(); ++i)
    if (const double d = nearest(at, bore.chain[i]).distance; d < distance) {
      distance = d;
      best = i;
    }
  const std::string what = best < bore.names.size() ? bore.names[best] : bore.what;
  return fmt::format("{} at r {}, z {}", what, in_words(bore.inch, at.r),
                     in_words(bore.inch, bore.turned_at_mm > 0 ? bore.turned_at_mm - at.z : at.z));
}

std::string surface_note(const Machine& machine, double nose, double feed) {
  const double um = roughness_of_feed(feed, nose);
  const auto depth = machine.inch ? units::fixed(um / 0.0254, 0) + " uin" : units::fixed(um, 1) + " um";
  return fmt::format("nose {} at feed {}/rev leaves R {}", in_words(machine, nose), in_words(machine, feed, 3), depth);
}

bool positive(double x) {
  return std::isfinite(x) && x > 0;
}

namespace {

std::optional<Problem> unusable_edges(const Tool& t, const std::string& who) {
  if (!positive(t.nose_radius_mm) || !positive(t.shank_mm) || !positive(t.max_depth_mm))
    return problem(who + " lacks a nose radius, a shank or a depth per pass above 0.", "complete the tool's data.");
  if (!(t.end_edge_angle_deg >= 0 && t.end_edge_angle_deg < 90 && t.side_edge_angle_deg >= 0 &&
        t.end_edge_angle_deg + t.side_edge_angle_deg < 90))
    return problem(who + " has edge angles that leave no insert between them.",
                   "give end edge to face and side edge to wall, together under 90 degrees.");
  const auto shift = control_shift(t.orientation);
  const bool turning = t.kind == ToolKind::turning;
  if (t.orientation < 1 || t.orientation > 9 || shift.z > 0 || (turning ? shift.x > 0 : shift.x < 0))
    return problem(fmt::format("{} is a {} tool with tip orientation {}, which cuts away from the wall or the floor.",
                               who, name(t.kind), t.orientation),
                   turning ? "a tool that turns towards X- and Z- is orientation 2 (as the rs274 interpreter numbers "
                             "them)."
                           : "a bar that bores towards X+ and Z- is orientation 3 (as the rs274 interpreter numbers "
                             "them).");
  return std::nullopt;
}

std::optional<Problem> unusable_blade(const Tool& t, const std::string& who) {
  if (!positive(t.width_mm) || !positive(t.max_depth_mm) ||
      !(t.nose_radius_mm >= 0 && t.nose_radius_mm < t.width_mm / 2))
    return problem(who + " lacks a width or a depth above 0, or its corners are rounder than half its width.",
                   "complete the tool's data.");
  const bool face = t.kind == ToolKind::face_grooving;
  if (!(t.orientation == 2 || t.orientation == (face ? 3 : 1)))
    return problem(
        fmt::format("{} has tip orientation {}, which is no corner of its cutting edge.", who, t.orientation),
        face ? "write 2 (inner corner) or 3 (outer corner)." : "write 1 (tailstock corner) or 2 (chuck corner).");
  return std::nullopt;
}

std::optional<Problem> overhung(const Tool& t, const std::string& who, bool inch) {
  const double limit = t.carbide_shank ? 7 : 4;
  if (t.reach_mm <= limit * t.shank_mm * (1 + 1e-9)) return std::nullopt;
  return problem(fmt::format("{} sticks out {}, {:.1f} times its {} {} shank; {:.0f} times is the limit.", who,
                             in_words(inch, t.reach_mm, 1), t.reach_mm / t.shank_mm, in_words(inch, t.shank_mm, 1),
                             t.carbide_shank ? "carbide" : "steel", limit),
                 fmt::format("clamp it shorter ({}) or take a thicker{} bar.",
                             most_in_words(inch, limit * t.shank_mm, 1), t.carbide_shank ? "" : " or a carbide"));
}

} // namespace

std::optional<Problem> unusable(const Tool& t, const Machine& machine) {
  const auto who = label(t);
  if (!positive(t.cutting_speed_m_per_min) || !positive(t.feed_mm_per_rev) || !positive(t.reach_mm))
    return problem(who + " lacks a cutting speed, a feed or a reach above 0.", "complete the tool's data.");
  switch (t.kind) {
  case ToolKind::drill:
    if (positive(t.diameter_mm) && t.point_angle_deg >= 60 && t.point_angle_deg <= 180) return std::nullopt;
    return problem(who + " lacks a diameter above 0 or a point angle of 60 to 180 degrees.",
                   "complete the tool's data.");
  case ToolKind::tap:
    if (positive(t.diameter_mm) && positive(t.pitch_mm) && t.chamfer_mm >= 0) return std::nullopt;
    return problem(who + " lacks a diameter or a pitch above 0.", "complete the tool's data.");
  case ToolKind::grooving:
  case ToolKind::face_grooving:
    return unusable_blade(t, who);
  case ToolKind::threading:
    if (!positive(t.shank_mm) || !positive(t.max_depth_mm))
      return problem(who + " lacks a shank or a depth per pass above 0.", "complete the tool's data.");
    return overhung(t, who, machine.inch);
  case ToolKind::turning:
    return unusable_edges(t, who);
  case ToolKind::boring:
    break;
  }
  if (auto why = unusable_edges(t, who)) return why;
  return overhung(t, who, machine.inch);
}

namespace {

struct Contact {
  P nose, at;
  double over = 0;
  enum class Part { none, edge, bar, shank } part = Part::none;
};

/// The deepest contact of edge, head and bar with the surface when the nose centre stands at c.
void touch(const Tool& t, const P& c, const Surface& finished, const Surface& standing, Contact& worst) {
  const double rho = t.nose_radius_mm, angle = units::radians(t.end_edge_angle_deg);
  const P tangent{c.r - rho * std::sin(angle), c.z + rho * std::cos(angle)};
  const double tip = c.r + rho, bar = t.min_bore_mm > 0 ? t.min_bore_mm : t.shank_mm;
  const double head = t.neck_mm > 0 ? t.neck_mm : bar;
  const double slope = std::tan(angle), cut = cutting_edge_mm(t) * std::cos(angle);
  constexpr double step = 0.05, slack = 0.003;
  const auto ask = [&](double r, double z, Contact::Part part) {
    const double over =
        part == Contact::Part::edge ? z - finished.metal_from(r) : z + bar_air_mm - standing.metal_from(r);
    if (over > slack && over > worst.over) worst = {c, {r, z}, over, part};
  };
  for (double r = tangent.r - step; r > tip - head; r -= step) {
    const bool edge = tangent.r - r <= cut;
    ask(r, tangent.z - (tangent.r - r) * slope, edge ? Contact::Part::edge : Contact::Part::bar);
  }
  for (double r = c.r; r > tip - head; r -= step) ask(r, c.z + rho - t.shank_mm / 2, Contact::Part::bar);
  if (t.neck_mm > 0)
    for (double r = tip - head; r > tip - bar; r -= step) ask(r, c.z + rho - t.neck_length_mm, Contact::Part::shank);
}

} // namespace

std::optional<Problem> does_not_fit(const Bore& bore, const Tool& t, ChainView contour, ChainView standing,
                                    double pilot) {
  const auto who = label(t);
  const double depth = bounding_box(contour).z_max + t.nose_radius_mm;
  if (depth + clear_mm > t.reach_mm)
    return problem(fmt::format("{} reaches {}, the {} is {} deep and {} of air is wanted.", who,
                               in_words(bore.inch, t.reach_mm, 1), bore.what, least_in_words(bore.inch, depth, 1),
                               in_words(bore.inch, clear_mm, 1)),
                   "let it stick out further, or take a longer bar.");
  const double outside = bore.outside_radius_mm;
  const Surface finished(bore.chain, pilot, outside), rough(standing, pilot, outside);
  Contact worst;
  for (const auto& s : contour) {
    const int n = 1 + static_cast<int>(arc_length(s) / 0.12);
    for (int i = 0; i <= n; ++i) touch(t, point_at(s, static_cast<double>(i) / n), finished, rough, worst);
  }
  switch (worst.part) {
  case Contact::Part::none:
    return std::nullopt;
  case Contact::Part::edge:
    return problem(fmt::format("{}: its end edge, {:.0f} degrees to the face, would cut {} into the {}, which falls "
                               "more steeply towards the axis.",
                               who, t.end_edge_angle_deg, in_words(bore.inch, worst.over), place(bore, worst.at)),
                   "take a bar with a slimmer insert (a larger angle between end edge and face).");
  default:
    break;
  }
  return problem(fmt::format("{}: its {} would come {} too near to the {} when the nose is at r {}, z {}.", who,
                             worst.part == Contact::Part::shank ? "bar behind the neck" : "bar",
                             in_words(bore.inch, worst.over), place(bore, {std::abs(worst.at.r), worst.at.z}),
                             in_words(bore.inch, worst.nose.r), in_words(bore.inch, worst.nose.z)),
                 "take a slimmer bar, or one with a slimmer neck.");
}

} // namespace chamber::turning::detail
