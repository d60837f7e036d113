// From motions to strokes, and what a tool covers while it makes one.
#include "chamber/turning/compensate.hpp"
#include "chamber/turning/prove_detail.hpp"
#include "chamber/units/quantity.hpp"
#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace chamber::turning::detail {

using namespace sweep;
using profile::Kind;

namespace {

constexpr double as_wide_as_the_work_mm = 1e3;
constexpr double coarsest_plug_pitch_mm = 1.5;

/// Nose, end edge, head and bar behind it.
void add_bar(Silhouette& s) {
  const Tool& t = *s.tool;
  const double angle = units::radians(t.end_edge_angle_deg), slope = std::tan(angle);
  const Edge whole{-s.nose * std::sin(angle), s.nose * std::cos(angle), slope, 0};
  const double bar = t.min_bore_mm > 0 ? t.min_bore_mm : t.shank_mm;
  const double head = t.neck_mm > 0 ? t.neck_mm : bar;
  const double to_far_side = s.side < 0 ? as_wide_as_the_work_mm : std::max(0.0, head - s.nose + whole.dr);
  const double cut = std::min(cutting_edge_mm(t) * std::cos(angle), to_far_side);
  if (cut > 0) s.cutting.push_back({whole.dr, whole.dz, slope, cut});
  if (to_far_side > cut) s.bar.push_back({whole.dr - cut, whole.dz - cut * slope, slope, to_far_side - cut});
  if (s.side < 0) return;
  s.bar.push_back({0, s.nose - t.shank_mm / 2, 0, std::max(0.0, head - s.nose)});
  if (bar > head) s.bar.push_back({s.nose - head, s.nose - t.neck_length_mm, 0, bar - head});
}

Silhouette silhouette_of(const Tool& t) {
  Silhouette s;
  s.tool = &t;
  const Edge holder{as_wide_as_the_work_mm / 2, -t.reach_mm, 0, as_wide_as_the_work_mm};
  switch (t.kind) {
  case ToolKind::drill:
    s.cutter = t.purpose == Purpose::centring ? Cutter::centre_drill : Cutter::drill;
    s.cutting.push_back({0, 0, 1 / std::tan(units::radians(t.point_angle_deg) / 2), t.diameter_mm / 2});
    s.bar.push_back(holder);
    break;
  case ToolKind::tap:
    s.cutter = Cutter::tap;
    s.bar.push_back(holder);
    break;
  case ToolKind::grooving:
  case ToolKind::face_grooving:
    s.cutter = t.kind == ToolKind::grooving ? Cutter::radial_blade : Cutter::axial_blade;
    s.nose = std::min(t.nose_radius_mm, t.width_mm / 2);
    break;
  case ToolKind::threading: {
    s.cutter = Cutter::thread_point;
    s.nose = t.nose_radius_mm;
    // The point stands out of the bar by the height of its coarsest thread at least; the bar begins half a shank
    // behind it.
    const double far_side = t.min_bore_mm > 0 ? t.min_bore_mm : t.shank_mm;
    const double height = 0.65 * (t.pitch_mm > 0 ? t.pitch_mm : coarsest_plug_pitch_mm);
    const double stands_out = std::min(far_side, std::max(height, far_side - t.shank_mm));
    s.bar.push_back({s.nose - stands_out, s.nose - t.shank_mm / 2, 0, far_side - stands_out});
    s.bar.push_back({s.nose, s.nose - t.reach_mm, 0, as_wide_as_the_work_mm});
    break;
  }
  case ToolKind::turning:
    s.side = -1;
    s.nose = t.nose_radius_mm;
    add_bar(s);
    break;
  case ToolKind::boring:
    s.nose = t.nose_radius_mm;
    add_bar(s);
    s.bar.push_back({s.nose, s.nose - t.reach_mm, 0, as_wide_as_the_work_mm});
    break;
  }
  return s;
}

Box cut_box(const Silhouette& s, const Path& path) {
  Box b = box_of(path);
  const Box centre = b;
  b = {b.r_min - s.nose, b.r_max + s.nose, b.z_min - s.nose, b.z_max + s.nose};
  for (const auto& e : s.cutting) {
    b.r_min = std::min(b.r_min, centre.r_min + e.dr - e.width);
    b.r_max = std::max(b.r_max, centre.r_max + e.dr);
    b.z_max = std::max(b.z_max, centre.z_max + e.dz);
  }
  return b;
}

/// What a blade covers standing with its control corner at p.
Box blade_at(const Tool& t, const P& p) {
  if (t.kind == ToolKind::grooving) {
    const double low = t.orientation == 1 ? p.z : p.z - t.width_mm;
    return {p.r, p.r + t.max_depth_mm, low, low + t.width_mm};
  }
  const double low = t.orientation == 2 ? p.r : p.r - t.width_mm;
  return {low, low + t.width_mm, p.z - t.max_depth_mm, p.z};
}

void add_blade(Stroke& k, const Silhouette& s, bool top_side, double height) {
  const Box a = blade_at(*s.tool, k.path.from), b = blade_at(*s.tool, k.path.to);
  k.cut = {std::min(a.r_min, b.r_min), std::max(a.r_max, b.r_max), std::min(a.z_min, b.z_min),
           std::max(a.z_max, b.z_max)};
  Box core{k.cut.r_min + s.nose, k.cut.r_max - s.nose, k.cut.z_min + s.nose, k.cut.z_max - s.nose};
  if (top_side) core = {core.r_min, core.r_max, height - core.z_max, height - core.z_min};
  k.core = core;
  const P corners[4] = {
      {core.r_min, core.z_min}, {core.r_max, core.z_min}, {core.r_max, core.z_max}, {core.r_min, core.z_max}};
  for (int i = 0; i < 4; ++i) k.rims.push_back({Kind::line, corners[i], corners[(i + 1) % 4], {}, 0});
}

bool is_blade(const Silhouette& s) {
  return s.cutter == Cutter::radial_blade || s.cutter == Cutter::axial_blade;
}

std::string_view unusable(const Tool& t) {
  if (t.kind == ToolKind::grooving && t.orientation != 1 && t.orientation != 2)
    return "is a grooving blade whose control point is neither its corner 1 nor 2";
  if (t.kind == ToolKind::face_grooving && t.orientation != 2 && t.orientation != 3)
    return "is a face blade whose control point is neither its corner 2 nor 3";
  return {};
}

} // namespace

double corner_draw(double corner, double behind) {
  if (behind >= corner) return 0;
  const double x = corner - std::max(0.0, behind);
  return corner - std::sqrt(std::max(0.0, corner * corner - x * x));
}

double cut_top(const Silhouette& s, const Stroke& k, double r) {
  if (s.cutter == Cutter::radial_blade || s.cutter == Cutter::tap || s.cutter == Cutter::thread_point) return nowhere;
  if (s.cutter == Cutter::axial_blade) {
    if (r < k.cut.r_min || r > k.cut.r_max) return nowhere;
    return k.cut.z_max - corner_draw(s.nose, std::min(r - k.cut.r_min, k.cut.r_max - r));
  }
  double top = nowhere;
  for (const double column : {r, -r}) {
    if (column < k.cut.r_min || column > k.cut.r_max) continue;
    if (s.nose > 0) top = std::max(top, disc_top(k.path, s.nose, column));
    for (const auto& e : s.cutting) top = std::max(top, edge_top(k.path, e, column));
  }
  return top;
}

Sweep strokes_of(const Run& run, int index, double height, std::span<const Tool> tools,
                 std::vector<Failure>& failures) {
  Sweep out;
  out.run = &run;
  out.index = index;
  const bool top = out.top_side();
  for (const auto& t : tools) out.silhouettes.push_back(silhouette_of(t));
  const auto to_insert = [&](const Path& p) { return top ? sweep::turned_round(p, height) : p; };
  const auto place = [&](double w) { return top ? height - w : w; };
  int missing = 0;
  for (const auto& m : run.program.motions) {
    if (!m.from_known && m.to.z <= run.clamping.front_mm)
      failures.push_back({FailureKind::unsafe_start, index, m.line, m.to.x, place(-m.to.z),
                          fmt::format("line {}: a first motion into the work's reach.", m.line),
                          "go to Z in front of the face first."});
    if (!m.from_known || m.tool == 0 || m.tool == missing) continue;
    const auto it = std::find_if(tools.begin(), tools.end(), [&](const Tool& t) { return t.number == m.tool; });
    const auto why = it == tools.end() ? "is not in the list" : unusable(*it);
    if (why.empty()) continue;
    failures.push_back({FailureKind::unknown_tool, index, m.line, 0, 0,
                        fmt::format("line {}: tool {} {}.", m.line, m.tool, why), "give the tool's data."});
    missing = m.tool;
  }
  for (const auto& ref : reference_paths(run.program, tools, index, failures)) {
    const Motion& m = *ref.motion;
    if (m.tool == missing) continue;
    const auto it = std::find_if(tools.begin(), tools.end(), [&](const Tool& t) { return t.number == m.tool; });
    Stroke k;
    k.motion = &m;
    k.silhouette = static_cast<std::size_t>(it - tools.begin());
    k.path = ref.path;
    const Silhouette& s = out.of(k);
    if (is_blade(s)) {
      add_blade(k, s, top, height);
    } else {
      if (s.cutter == Cutter::nose) k.rims.push_back(to_insert(k.path));
      if (s.side < 0) k.path = across(k.path);
      k.cut = cut_box(s, k.path);
    }
    out.strokes.push_back(std::move(k));
  }
  return out;
}

} // namespace chamber::turning::detail
