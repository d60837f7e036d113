#include "chamber/solve/appraise.hpp"
#include "chamber/profile/distance.hpp"
#include "chamber/profile/integrals.hpp"
#include "chamber/solve/evaluate.hpp"
#include "chamber/solve/optimise.hpp"
#include "chamber/units/quantity.hpp"
#include <boost/math/tools/minima.hpp>
#include <limits>

namespace chamber::solve {
namespace {

using profile::ChainView;
using profile::P;
using profile::S;

/// Height of the profile above the crown at a point of it.
double gap_at(const engine::Budget& b, const P& p) {
  return p.z + b.edge_below_face_mm() - engine::crown_height_at_mm(b.crown, b.bore_mm, p.r);
}

/// Smallest height over the crown along one segment: sampled, then closed in on.
GapAt smallest_along(const engine::Budget& b, const S& s) {
  constexpr int samples = 16;
  const auto gap = [&](double u) { return gap_at(b, point_at(s, u)); };
  int best = 0;
  for (int i = 1; i <= samples; ++i)
    if (gap(static_cast<double>(i) / samples) < gap(static_cast<double>(best) / samples)) best = i;
  double u = static_cast<double>(best) / samples;
  if (best > 0 && best < samples && profile::arc_length(s) > 0.1)
    u = boost::math::tools::brent_find_minima(gap, (best - 1.0) / samples, (best + 1.0) / samples, 30).first;
  return {point_at(s, u).r, gap(u)};
}

/// Space over the piston, split at the mouth; the band's by parts, as it is swept.
engine::Split split_of(const engine::Budget& b, const shapes::Band& band, double head_mm3) {
  const double a = b.bore_mm / 2, rm = band.mouth.r;
  const double under_band =
      units::pi * (a * a * band.edge_height - rm * rm * band.mouth.z) + profile::swept_volume(ChainView(band.sharp));
  const double space = units::pi * (a * a - rm * rm) * b.edge_below_face_mm();
  engine::Split s;
  s.bore_mm = b.bore_mm;
  s.mouth_radius_mm = rm;
  s.band_volume_mm3 = under_band - engine::crown_volume_outside_mm3(b.crown, b.bore_mm, rm) + space;
  s.bowl_volume_mm3 = b.clearance_from_head_cc(head_mm3 / 1000) * 1000 - s.band_volume_mm3;
  s.mouth_gap_mm = gap_at(b, band.mouth);
  return s;
}

void find_gaps(ChainView chain, const engine::Budget& b, const shapes::Band& band, Appraisal& out) {
  out.smallest_gap.gap_mm = std::numeric_limits<double>::infinity();
  const auto take = [&](const S& s) {
    if (const auto g = smallest_along(b, s); g.gap_mm < out.smallest_gap.gap_mm) out.smallest_gap = g;
  };
  for (const auto& s : band.sharp) take(s);
  for (std::size_t i = band.bowl_at; i < chain.size(); ++i) take(chain[i]);
  constexpr int steps = 8;
  for (int i = 0; i <= steps; ++i) {
    const double r = b.bore_mm / 2 - band.width_mm * i / steps;
    const P p = i == 0 ? band.sharp.front().start : i == steps ? band.mouth : P{r, 0};
    if (i == 0 || i == steps)
      out.gaps.push_back({r, gap_at(b, p)});
    else if (const auto h = profile::heights_at(band.sharp, r))
      out.gaps.push_back({r, gap_at(b, P{r, h->low})});
  }
}

void judge_band(ChainView chain, const Task& task, Appraisal& out) {
  const auto& b = task.budget;
  const auto& band = *out.features.band;
  const auto& l = task.limits;
  out.squish_area_ratio = engine::squish_area_ratio(b.bore_mm, band.mouth.r);
  find_gaps(chain, b, band, out);
  out.split = split_of(b, band, out.head_cc * 1000);
  const double middle = b.bore_mm / 2 - band.width_mm / 2;
  double crown_deg = 0;
  if (b.crown.form != engine::Crown::Form::flat && b.crown.sphere_radius_mm > middle)
    crown_deg = units::degrees(std::asin(middle / b.crown.sphere_radius_mm));
  out.opening_deg = band.angle_deg - (b.crown.form == engine::Crown::Form::dished ? -crown_deg : crown_deg);
  const auto check = [&](const char* name, const char* key, double value, double limit, bool minimum, const char* unit,
                         double scale, double radius_mm = 0) {
    const double margin = (minimum ? value - limit : limit - value) / scale;
    out.checks.push_back({name, key, margin >= kept, value, limit, minimum, unit, "", radius_mm});
  };
  const double area = out.squish_area_ratio * 100;
  if (l.squish_area_min > 0)
    check("squish area ratio, least", "limits.squish_area_min", area, l.squish_area_min * 100, true, "%", 10);
  if (l.squish_area_max < 1)
    check("squish area ratio, most", "limits.squish_area_max", area, l.squish_area_max * 100, false, "%", 10);
  if (l.gap_min_mm > 0)
    check("smallest squish gap", "limits.gap_min", out.smallest_gap.gap_mm, l.gap_min_mm, true, "mm", 1,
          out.smallest_gap.radius_mm);
  if (task.peak_rpm <= 0) return;
  const bool sound = out.split.mouth_gap_mm > 0 && out.split.band_volume_mm3 > 0 && out.split.bowl_volume_mm3 > 0;
  if (!sound) {
    out.withheld.push_back("No gap velocity: the piston would touch the head.");
    return;
  }
  out.peak = engine::peak_gap_velocity(out.split, task.crank, task.peak_rpm);
  if (l.gap_velocity_max_m_s < 1e6)
    check("peak gap velocity", "limits.gap_velocity_max", out.peak->velocity_m_s, l.gap_velocity_max_m_s, false, "m/s",
          10);
}

void judge_plug(const Task& task, Appraisal& out) {
  const auto& b = task.budget;
  const double top = b.crown.form == engine::Crown::Form::domed ? b.crown.height_mm : 0.0;
  out.plug_to_crown_mm = out.features.roof_z_mm + b.edge_below_face_mm() - top;
  if (const double least = task.limits.plug_to_crown_min_mm; least > 0)
    out.checks.push_back({"plug end to crown", "limits.plug_to_crown_min", (out.plug_to_crown_mm - least) / 10 >= kept,
                          out.plug_to_crown_mm, least, true, "mm", ""});
}

void judge_body(ChainView chain, const Task& task, Appraisal& out) {
  double height = 0;
  for (const auto& s : task.body.steps) height += s.length_mm;
  const double seat = height - out.features.roof_z_mm - shapes::seat_above_roof_mm(task.plug);
  out.checks.push_back({"plug seat below the top face", "", seat / 10 >= kept, seat, 0, true, "mm", ""});
  double smallest = std::numeric_limits<double>::infinity();
  for (const auto& w : walls(task.body, task.plug, chain)) {
    if (w.distance_mm > 1e8) continue;
    const bool groove = w.name.find("groove") != std::string_view::npos;
    if (!groove) smallest = std::min(smallest, w.distance_mm);
    const double least = groove ? task.limits.groove_wall_min_mm : task.limits.wall_min_mm;
    if (least <= 0) continue;
    out.checks.push_back({"wall to " + std::string(w.name), groove ? "limits.groove_wall_min" : "limits.wall_min",
                          (w.distance_mm - least) / 5 >= kept, w.distance_mm, least, true, "mm", ""});
  }
  if (std::isfinite(smallest)) out.smallest_wall_mm = smallest;
}

} // namespace

Appraisal appraise(ChainView chain, const Task& task) {
  Appraisal out;
  out.features = shapes::features(chain, task.budget.bore_mm / 2);
  out.head_cc = profile::swept_volume(chain) / 1000;
  out.clearance_cc = task.budget.clearance_from_head_cc(out.head_cc);
  if (const double over = task.budget.bore_mm / 2 - out.features.rim_radius_mm; over > 0.05)
    out.cautions.push_back(
        "The profile's rim is smaller than the bore: the sealing face over the piston was counted as squish band.");
  if (out.features.band)
    judge_band(chain, task, out);
  else
    out.withheld.push_back("No squish figures: " + out.features.no_band);
  judge_plug(task, out);
  if (task.body.steps.empty())
    out.withheld.push_back("No walls: the insert's body is not known.");
  else
    judge_body(chain, task, out);
  return out;
}

} // namespace chamber::solve
