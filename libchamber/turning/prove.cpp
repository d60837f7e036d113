#include "chamber/turning/prove.hpp"
#include "chamber/profile/integrals.hpp"
#include "chamber/turning/prove_detail.hpp"
#include "chamber/units/quantity.hpp"
#include "chamber/units/tolerance.hpp"
#include <algorithm>
#include <array>
#include <cmath>
#include <fmt/format.h>

namespace chamber::turning {

using namespace detail;
using namespace sweep;
using profile::Kind;

std::string_view name(FailureKind kind) {
  switch (kind) {
  case FailureKind::volume:
    return "volume";
  case FailureKind::gouge:
    return "gouge";
  case FailureKind::metal_left:
    return "metal left";
  case FailureKind::rapid_through_metal:
    return "rapid through metal";
  case FailureKind::bar_contact:
    return "bar through metal";
  case FailureKind::undercut:
    return "undercut";
  case FailureKind::depth:
    return "depth of cut";
  case FailureKind::unknown_tool:
    return "unknown tool";
  case FailureKind::drill_off_centre:
    return "drill off centre";
  case FailureKind::pilot:
    return "pilot not through";
  case FailureKind::unsafe_start:
    return "unsafe start";
  }
  return "failure";
}

namespace detail {

void add_failure(Proof& proof, Failure failure) {
  constexpr std::size_t most = 50;
  if (proof.failures.size() < most) proof.failures.push_back(std::move(failure));
}

namespace {

Silhouette silhouette_of(const Tool& t) {
  Silhouette s;
  s.tool = &t;
  if (t.kind == ToolKind::drill) {
    s.cutting.push_back({0, 0, 1 / std::tan(units::radians(t.point_angle_deg) / 2), t.diameter_mm / 2});
    return s;
  }
  s.nose = t.nose_radius_mm;
  const double angle = units::radians(t.end_edge_angle_deg), slope = std::tan(angle);
  const Edge whole{-s.nose * std::sin(angle), s.nose * std::cos(angle), slope, 0};
  const double bar = t.min_bore_mm > 0 ? t.min_bore_mm : t.shank_mm;
  const double head = t.neck_mm > 0 ? t.neck_mm : bar;
  const double to_far_side = std::max(0.0, head - s.nose + whole.dr);
  const double cut = std::min(cutting_edge_mm(t) * std::cos(angle), to_far_side);
  if (cut > 0) s.cutting.push_back({whole.dr, whole.dz, slope, cut});
  if (to_far_side > cut) s.bar.push_back({whole.dr - cut, whole.dz - cut * slope, slope, to_far_side - cut});
  s.bar.push_back({0, s.nose - t.shank_mm / 2, 0, std::max(0.0, head - s.nose)});
  if (bar > head) s.bar.push_back({s.nose - head, s.nose - t.neck_length_mm, 0, bar - head});
  // The holder: as wide as the work, behind the stick-out.
  s.bar.push_back({s.nose, s.nose - t.reach_mm, 0, 1e3});
  return s;
}

/// Nose centre less control point, in noses, by tip orientation 0-9: (r, z up into the part).
constexpr std::array<std::array<int, 2>, 10> to_centre = {
    {{0, 0}, {1, 1}, {1, -1}, {-1, -1}, {-1, 1}, {0, 1}, {1, 0}, {0, -1}, {-1, 0}, {0, 0}}};

P reference_point(const Silhouette& s, const XZ& control) {
  const auto& d = to_centre[static_cast<std::size_t>(std::clamp(s.tool->orientation, 0, 9))];
  return {control.x + d[0] * s.nose, -control.z + d[1] * s.nose};
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

} // namespace

double cut_top(const Silhouette& s, const Stroke& k, double r) {
  double top = nowhere;
  for (const double column : {r, -r}) {
    if (column < k.cut.r_min || column > k.cut.r_max) continue;
    if (s.nose > 0) top = std::max(top, disc_top(k.path, s.nose, column));
    for (const auto& e : s.cutting) top = std::max(top, edge_top(k.path, e, column));
  }
  return top;
}

Sweep strokes_of(const Program& program, std::span<const Tool> tools, std::vector<Failure>& failures) {
  Sweep out;
  for (const auto& t : tools) out.silhouettes.push_back(silhouette_of(t));
  int missing = 0;
  for (const auto& m : program.motions) {
    if (!m.from_known || m.tool == 0) {
      if (m.from_known || m.to.z > 0) continue;
      failures.push_back({FailureKind::unsafe_start, m.line, m.to.x, -m.to.z,
                          fmt::format("line {}: a first motion into the work's reach.", m.line),
                          "go to Z in front of the face first."});
      continue;
    }
    const auto it = std::find_if(tools.begin(), tools.end(), [&](const Tool& t) { return t.number == m.tool; });
    if (it == tools.end() || (it->kind != ToolKind::drill && it->kind != ToolKind::boring)) {
      if (missing != m.tool)
        failures.push_back({FailureKind::unknown_tool, m.line, 0, 0,
                            fmt::format("line {}: tool {} is no drill or boring bar of the list.", m.line, m.tool),
                            "give the tool's data."});
      missing = m.tool;
      continue;
    }
    Stroke k;
    k.motion = &m;
    k.silhouette = static_cast<std::size_t>(it - tools.begin());
    const Silhouette& s = out.silhouettes[k.silhouette];
    k.path.kind = m.kind == MotionKind::arc_ccw ? Kind::ccw : m.kind == MotionKind::arc_cw ? Kind::cw : Kind::line;
    k.path.from = reference_point(s, m.from);
    k.path.to = reference_point(s, m.to);
    k.path.centre = reference_point(s, m.centre);
    k.path.radius = m.radius;
    k.cut = cut_box(s, k.path);
    if (s.nose == 0 && k.cut.z_max > 0 && (std::abs(m.from.x) > 1e-9 || std::abs(m.to.x) > 1e-9))
      failures.push_back({FailureKind::drill_off_centre, m.line, m.to.x, -m.to.z,
                          fmt::format("line {}: drill {} is off the axis inside the work.", m.line, m.tool),
                          "drill at X0."});
    out.strokes.push_back(k);
  }
  return out;
}

} // namespace detail

namespace {

constexpr double grid_mm = 0.1;
constexpr double left_spacing_mm = 0.05;

} // namespace

namespace detail {

/// What must not be cut: the chamber outside the plug hole, and the sealing face around it.
std::vector<Path> protected_faces(const Part& part) {
  std::vector<Path> out;
  const double hole = part.plug_hole_radius_mm;
  for (auto s : part.chamber) {
    if (s.start.r <= hole) continue;
    if (s.end.r < hole) {
      const double x = hole - s.centre.r;
      s.end = s.is_arc() ? P{hole, s.centre.z + std::copysign(std::sqrt(std::max(0.0, s.radius * s.radius - x * x)),
                                                              s.kind == Kind::ccw ? 1.0 : -1.0)}
                         : s.start + (s.end - s.start) * ((s.start.r - hole) / (s.start.r - s.end.r));
    }
    out.push_back({s.kind, s.start, s.end, s.centre, s.radius});
  }
  const P rim = part.chamber.front().start;
  out.push_back({Kind::line, {part.stock.outside_diameter_mm / 2, 0}, rim, {}, 0});
  return out;
}

double finished_height(const std::vector<Path>& faces, double r) {
  double z = -nowhere;
  for (const auto& f : faces) {
    const Box b = box_of(f);
    if (r < b.r_min || r > b.r_max) continue;
    if (f.kind == Kind::line) {
      const double d = f.from.r - f.to.r;
      z = std::min(z, d > 1e-12 ? f.from.z + (f.to.z - f.from.z) * (f.from.r - r) / d : std::min(f.from.z, f.to.z));
    } else {
      const double x = r - f.centre.r, y = std::sqrt(std::max(0.0, f.radius * f.radius - x * x));
      z = std::min(z, f.centre.z + (f.kind == Kind::ccw ? y : -y));
    }
  }
  return z;
}

} // namespace detail

namespace {

double box_gap(const Box& a, const Box& b) {
  const double dr = std::max({0.0, a.r_min - b.r_max, b.r_min - a.r_max});
  const double dz = std::max({0.0, a.z_min - b.z_max, b.z_min - a.z_max});
  return std::hypot(dr, dz);
}

void find_gouge(const Sweep& sweep, const std::vector<Path>& faces, const Part& part, Proof& proof) {
  std::vector<Box> boxes;
  for (const auto& f : faces) boxes.push_back(box_of(f));
  const auto keep = [&](double gouge, const Stroke& k, const P& at) {
    if (gouge <= proof.largest_gouge_mm) return;
    proof.largest_gouge_mm = gouge;
    proof.gouge_line = k.motion->line;
    proof.gouge_r_mm = at.r;
    proof.gouge_z_mm = at.z;
  };
  for (const auto& k : sweep.strokes) {
    const Silhouette& s = sweep.silhouettes[k.silhouette];
    if (s.nose == 0) {
      if (k.cut.z_max > 0) keep(s.tool->diameter_mm / 2 - part.plug_hole_radius_mm, k, {s.tool->diameter_mm / 2, 0});
      continue;
    }
    const Box centre = box_of(k.path);
    for (std::size_t i = 0; i < faces.size(); ++i) {
      if (box_gap(centre, boxes[i]) >= s.nose) continue;
      const double d = distance(k.path, faces[i]);
      // Controls differ in how they spread a mismatch of the radii over the arc: count it whole.
      if (d < s.nose) keep(s.nose - d + k.motion->mismatch / 2, k, nearest_on(faces[i], k.path.to));
    }
    if (centre.z_max > -s.nose && k.path.to.z > finished_height(faces, k.path.to.r)) {
      double d = 1e9;
      for (const auto& f : faces) d = std::min(d, distance(k.path.to, f));
      keep(s.nose + d, k, k.path.to);
    }
  }
}

void find_left(const Sweep& sweep, const std::vector<Path>& faces, Proof& proof) {
  double smallest_nose = 1e9;
  std::vector<const Stroke*> noses;
  std::vector<Box> boxes;
  for (auto k = sweep.strokes.rbegin(); k != sweep.strokes.rend(); ++k) {
    const double nose = sweep.silhouettes[k->silhouette].nose;
    if (nose == 0 || k->motion->kind == MotionKind::rapid) continue;
    smallest_nose = std::min(smallest_nose, nose);
    noses.push_back(&*k);
    boxes.push_back(box_of(k->path));
  }
  std::size_t last = 0;
  for (std::size_t f = 0; f + 1 < faces.size(); ++f) { // the last one is the sealing face
    const auto& p = faces[f];
    const profile::S s{p.kind, p.from, p.to, p.centre, p.radius};
    const int n = 1 + static_cast<int>(length_of(p) / left_spacing_mm);
    for (int i = 0; i <= n; ++i) {
      const P q = profile::point_at(s, static_cast<double>(i) / n);
      double left = 1e9;
      const auto look = [&](std::size_t j) {
        const double nose = sweep.silhouettes[noses[j]->silhouette].nose;
        if (box_gap(boxes[j], {q.r, q.r, q.z, q.z}) - nose >= left) return;
        if (const double d = distance(q, noses[j]->path) - nose; d < left) {
          left = d;
          last = j;
        }
      };
      if (!noses.empty()) look(last);
      for (std::size_t j = 0; j < noses.size(); ++j) look(j);
      if (left > proof.largest_left_mm) {
        proof.largest_left_mm = left;
        proof.left_r_mm = q.r;
        proof.left_z_mm = q.z;
      }
    }
  }
  proof.left_error_mm = left_spacing_mm * left_spacing_mm / (8 * smallest_nose);
}

void add_times(const Program& program, const Machine& machine, Proof& proof) {
  for (const auto& m : program.motions) {
    if (m.tool == 0) continue;
    auto it = std::find_if(proof.tools.begin(), proof.tools.end(), [&](const auto& t) { return t.tool == m.tool; });
    if (it == proof.tools.end()) it = proof.tools.insert(proof.tools.end(), {m.tool, m.line, m.line, 0, 0});
    it->last_line = m.line;
    if (!m.from_known) continue;
    const Kind kind = m.kind == MotionKind::arc_ccw ? Kind::ccw : m.kind == MotionKind::arc_cw ? Kind::cw : Kind::line;
    // Program axes (Z right, X up) are the part's (r, z) turned a quarter: the sense of an arc is the same.
    const Path path{kind, {m.from.x, -m.from.z}, {m.to.x, -m.to.z}, {m.centre.x, -m.centre.z}, m.radius};
    double per_minute = machine.rapid_mm_per_min;
    if (m.kind != MotionKind::rapid) {
      const double radius = std::max(0.1, (m.from.x + m.to.x) / 2);
      const double rpm = m.constant_speed ? std::min(m.clamp_rpm, m.speed * 1000 / (2 * units::pi * radius)) : m.speed;
      per_minute = m.feed_mm_per_rev * rpm;
    }
    if (per_minute > 0) it->time_s += 60 * length_of(path) / per_minute;
  }
}

void judge(Proof& proof) {
  if (!(std::abs(proof.volume_left_cc - proof.volume_expected_cc) <= tolerance::program_volume_cc))
    add_failure(proof, {FailureKind::volume, 0, 0, 0,
                        fmt::format("the program cuts {:.4f} cc, the profile holds {:.4f} cc.", proof.volume_left_cc,
                                    proof.volume_expected_cc),
                        "see the other failures for the place; the program must not be run."});
  if (proof.largest_gouge_mm > tolerance::gouge_mm)
    add_failure(proof, {FailureKind::gouge, proof.gouge_line, proof.gouge_r_mm, proof.gouge_z_mm,
                        fmt::format("line {}: the tool cuts {:.4f} mm beyond the profile at r {:.3f}, z {:.3f} mm.",
                                    proof.gouge_line, proof.largest_gouge_mm, proof.gouge_r_mm, proof.gouge_z_mm),
                        "check nose radius, tip orientation and the coordinates of that line."});
  if (proof.largest_left_mm > left_limit_mm)
    add_failure(proof, {FailureKind::metal_left, 0, proof.left_r_mm, proof.left_z_mm,
                        fmt::format("{:.4f} mm of metal are left on the profile at r {:.3f}, z {:.3f} mm.",
                                    proof.largest_left_mm, proof.left_r_mm, proof.left_z_mm),
                        "check the finishing pass there, and whether its nose fits."});
}

} // namespace

Proof prove(const Program& program, const Part& part, std::span<const Tool> tools, const Machine& machine) {
  Proof proof;
  proof.grid_mm = grid_mm;
  add_times(program, machine, proof);
  const auto sweep = strokes_of(program, tools, proof.failures);
  const auto faces = protected_faces(part);
  const auto owners = carry_stock(sweep, part, faces, grid_mm, proof);
  find_gouge(sweep, faces, part, proof);
  find_left(sweep, faces, proof);
  proof.volume_expected_cc = profile::swept_volume(profile::ChainView(part.chamber)) / 1000;
  measure_cavity(sweep, part, owners, proof);
  judge(proof);
  return proof;
}

} // namespace chamber::turning
