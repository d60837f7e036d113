#include "chamber/turning/prove.hpp"
#include "chamber/profile/integrals.hpp"
#include "chamber/turning/prove_detail.hpp"
#include "chamber/units/quantity.hpp"
#include "chamber/units/tolerance.hpp"
#include <algorithm>
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
  case FailureKind::chuck_contact:
    return "chuck contact";
  case FailureKind::thread:
    return "thread";
  case FailureKind::rate:
    return "speed or feed";
  case FailureKind::compensation:
    return "nose compensation";
  }
  return "failure";
}

namespace detail {

void add_failure(Proof& proof, Failure failure) {
  constexpr std::size_t most = 50;
  if (proof.failures.size() < most) proof.failures.push_back(std::move(failure));
}

} // namespace detail

namespace {

constexpr double grid_mm = 0.02;
constexpr double left_spacing_mm = 0.05;
constexpr double far_mm = 1e9;

/// Largest radius a drill may have: the finished hole, or the tap drill's upper limit.
double largest_drill(const Work& work) {
  return std::max(work.plug_hole_radius_mm, work.thread.name.empty() ? 0 : work.thread.minor_high_mm / 2);
}

class Gouges {
public:
  Gouges(const Outline& outline, const Work& work, Proof& proof) : outline_(outline), work_(work), proof_(proof) {
    for (const auto& s : outline.closed) {
      faces_.push_back(path_of(s));
      boxes_.push_back(box_of(faces_.back()));
      reach_ = {std::min(reach_.r_min, boxes_.back().r_min), std::max(reach_.r_max, boxes_.back().r_max),
                std::min(reach_.z_min, boxes_.back().z_min), std::max(reach_.z_max, boxes_.back().z_max)};
    }
  }

  void look(const Sweep& sweep) {
    for (const auto& k : sweep.strokes) {
      const Silhouette& s = sweep.of(k);
      if (s.cutter == Cutter::drill) {
        if (k.cut.z_max > -sweep.run->clamping.front_mm)
          keep(s.tool->diameter_mm / 2 - largest_drill(work_), sweep, k, {s.tool->diameter_mm / 2, 0});
        continue;
      }
      if (s.cutter == Cutter::centre_drill) {
        // Widest where it enters: no wider there than the hole that follows it.
        const double half = units::radians(s.tool->point_angle_deg) / 2;
        const double wide = std::min(s.tool->diameter_mm / 2, std::max(0.0, k.cut.z_max) * std::tan(half));
        keep(wide - largest_drill(work_), sweep, k, {wide, 0});
        continue;
      }
      for (const auto& rim : k.rims) {
        disc(sweep, k, rim, s.nose);
        if (std::min(rim.from.r, rim.to.r) < -s.nose) disc(sweep, k, across(rim), s.nose);
      }
    }
  }

private:
  void disc(const Sweep& sweep, const Stroke& k, const Path& rim, double nose) {
    const Box centre = box_of(rim);
    if (box_gap(centre, reach_) >= nose) return;
    for (std::size_t i = 0; i < faces_.size(); ++i) {
      if (box_gap(centre, boxes_[i]) >= nose) continue;
      const double d = distance(rim, faces_[i]);
      // Controls differ in how they spread a mismatch of the radii over the arc: count it whole.
      if (d < nose) keep(nose - d + k.motion->mismatch / 2, sweep, k, nearest_on(faces_[i], rim.to));
    }
    if (!inside_metal(outline_, rim.to)) return;
    double d = far_mm;
    for (const auto& f : faces_) d = std::min(d, distance(rim.to, f));
    keep(nose + d, sweep, k, rim.to);
  }

  void keep(double gouge, const Sweep& sweep, const Stroke& k, const P& at) {
    if (gouge <= proof_.largest_gouge_mm) return;
    proof_.largest_gouge_mm = gouge;
    proof_.gouge_run = sweep.index;
    proof_.gouge_line = k.motion->line;
    proof_.gouge_r_mm = at.r;
    proof_.gouge_z_mm = at.z;
  }

  const Outline& outline_;
  const Work& work_;
  Proof& proof_;
  std::vector<Path> faces_;
  std::vector<Box> boxes_;
  Box reach_{far_mm, -far_mm, far_mm, -far_mm};
};

/// Distance from places on the drawing to the nearest thing that was cut.
class Remains {
public:
  /// `end`: what is left of the piece, insert coordinates.
  Remains(std::span<const Sweep> sweeps, const Clamping& blank, double height, const Piece& end) : end_(end) {
    for (auto sweep = sweeps.rbegin(); sweep != sweeps.rend(); ++sweep)
      for (auto k = sweep->strokes.rbegin(); k != sweep->strokes.rend(); ++k) {
        if (k->rapid() || k->rims.empty()) continue;
        const Silhouette& s = sweep->of(*k);
        if (s.nose > 0) smallest_nose_ = std::min(smallest_nose_, s.nose);
        const bool blade = k->rims.size() > 1;
        cuts_.push_back({&*k, blade ? k->core : box_of(k->rims.front()), s.nose, blade});
      }
    // Where the blank itself has the drawn size there is nothing to cut.
    for (const auto& s : blank.standing) blank_.push_back(path_of(s));
    if (!blank.standing.empty()) return;
    const double r = blank.diameter_mm / 2, front = -blank.front_mm, back = front + blank.length_mm;
    for (const auto& [from, to] :
         {std::pair{P{0, front}, P{r, front}}, {P{r, front}, P{r, back}}, {P{r, back}, P{0, back}}})
      blank_.push_back(blank.side == Side::top ? sweep::turned_round({Kind::line, from, to, {}, 0}, height)
                                               : Path{Kind::line, from, to, {}, 0});
  }

  void look(const profile::Chain& drawn, Proof& proof) {
    for (const auto& s : drawn) {
      near_to(s);
      const int n = 1 + static_cast<int>(profile::arc_length(s) / left_spacing_mm);
      for (int i = 0; i <= n; ++i) {
        const P q = profile::point_at(s, static_cast<double>(i) / n);
        const double left = left_at(q);
        if (left <= proof.largest_left_mm) continue;
        if (left > left_limit_mm && air_at(q)) continue;
        proof.largest_left_mm = left;
        proof.left_r_mm = q.r;
        proof.left_z_mm = q.z;
      }
    }
    proof.left_error_mm = left_spacing_mm * left_spacing_mm / (8 * smallest_nose_);
  }

private:
  struct Cut {
    const Stroke* stroke;
    Box box;
    double nose;
    bool blade;
  };

  /// The cuts that can leave less than this on the segment; others matter only where none of these comes near.
  static constexpr double near_mm = 0.05;
  void near_to(const profile::S& s) {
    near_.clear();
    const Box b = box_of(path_of(s));
    for (std::size_t i = 0; i < cuts_.size(); ++i)
      if (box_gap(cuts_[i].box, b) - cuts_[i].nose < near_mm) near_.push_back(i);
    last_ = near_.empty() ? 0 : near_.front();
  }

  void try_cut(std::size_t i, const P& q, double& left) {
    const Cut& c = cuts_[i];
    const double gap = box_gap(c.box, {q.r, q.r, q.z, q.z}) - c.nose;
    if (gap >= left) return;
    const double d = c.blade ? gap : distance(q, c.stroke->rims.front()) - c.nose;
    if (d >= left) return;
    left = d;
    last_ = i;
  }

  /// Nothing is left where everything round the place is air: an inner corner cut sharper than it has to be.
  bool air_at(const P& q) const {
    const double room = 2 * end_.grid_mm;
    const auto from = static_cast<std::size_t>(std::max(0.0, (q.r - room) / end_.grid_mm));
    const auto to = static_cast<std::size_t>(std::max(0.0, (q.r + room) / end_.grid_mm));
    for (auto i = from; i <= to && i < end_.columns.size(); ++i)
      for (const auto& s : end_.columns[i])
        if (s.low < q.z + room && s.high > q.z - room) return false;
    return true;
  }

  double left_at(const P& q) {
    double left = far_mm;
    for (const auto& b : blank_) left = std::min(left, distance(q, b));
    if (!cuts_.empty()) try_cut(last_, q, left);
    // What is under the limit by this much cannot raise the figure that is reported.
    for (const auto i : near_) try_cut(i, q, left);
    if (left > near_mm)
      for (std::size_t i = 0; i < cuts_.size(); ++i) try_cut(i, q, left);
    return left;
  }

  const Piece& end_;
  std::vector<Cut> cuts_;
  std::vector<Path> blank_;
  std::vector<std::size_t> near_;
  std::size_t last_ = 0;
  double smallest_nose_ = far_mm;
};

/// What has to stand on the drawing's lines afterwards. Of a finished piece only chamber and sealing face are recut;
/// the face's grooves are there already.
profile::Chain to_be_cut(std::span<const Run> runs, const Work& work, const Outline& outline) {
  if (runs.front().clamping.standing.empty()) return outline.cut;
  profile::Chain out(outline.cut.begin(), outline.cut.begin() + static_cast<std::ptrdiff_t>(outline.chamber_count));
  const double face = work.chamber.front().start.z;
  for (std::size_t i = outline.chamber_count; i < outline.cut.size(); ++i)
    if (const auto& s = outline.cut[i]; std::max(std::abs(s.start.z - face), std::abs(s.end.z - face)) < 1e-6)
      out.push_back(s);
  return out;
}

void add_times(const Program& program, int run, const Machine& machine, Proof& proof) {
  for (const auto& m : program.motions) {
    if (m.tool == 0) continue;
    auto it = std::find_if(proof.calls.begin(), proof.calls.end(),
                           [&](const auto& c) { return c.run == run && c.call == m.call; });
    if (it == proof.calls.end())
      it = proof.calls.insert(proof.calls.end(), {run, m.call, m.tool, m.line, m.line, 0, 0});
    it->last_line = m.line;
    if (!m.from_known) continue;
    const Kind kind = m.kind == MotionKind::arc_ccw ? Kind::ccw : m.kind == MotionKind::arc_cw ? Kind::cw : Kind::line;
    const Path path{kind, {m.from.x, -m.from.z}, {m.to.x, -m.to.z}, {m.centre.x, -m.centre.z}, m.radius};
    double per_minute = machine.rapid_mm_per_min;
    if (m.kind != MotionKind::rapid) {
      const double radius = std::max(0.1, std::abs(m.from.x + m.to.x) / 2);
      const double rpm = m.constant_speed ? std::min(m.clamp_rpm, m.speed * 1000 / (2 * units::pi * radius)) : m.speed;
      per_minute = m.feed_mm_per_rev * rpm;
    }
    if (per_minute > 0) it->time_s += 60 * length_of(path) / per_minute;
  }
}

void judge(Proof& proof, int chamber_run) {
  if (!(std::abs(proof.volume_left_cc - proof.volume_expected_cc) <= tolerance::program_volume_cc))
    add_failure(proof, {FailureKind::volume, chamber_run, 0, 0, 0,
                        fmt::format("the program cuts {:.4f} cc, the profile holds {:.4f} cc.", proof.volume_left_cc,
                                    proof.volume_expected_cc),
                        "see the other failures for the place; the program must not be run."});
  if (proof.largest_gouge_mm > tolerance::gouge_mm)
    add_failure(proof, {FailureKind::gouge, proof.gouge_run, proof.gouge_line, proof.gouge_r_mm, proof.gouge_z_mm,
                        fmt::format("line {}: the tool cuts {:.4f} mm beyond the profile at r {:.3f}, z {:.3f} mm.",
                                    proof.gouge_line, proof.largest_gouge_mm, proof.gouge_r_mm, proof.gouge_z_mm),
                        "check nose radius, tip orientation and the coordinates of that line."});
  if (proof.largest_left_mm > left_limit_mm)
    add_failure(proof, {FailureKind::metal_left, 0, 0, proof.left_r_mm, proof.left_z_mm,
                        fmt::format("{:.4f} mm of metal are left on the profile at r {:.3f}, z {:.3f} mm.",
                                    proof.largest_left_mm, proof.left_r_mm, proof.left_z_mm),
                        "check the finishing pass there, and whether its nose fits."});
}

/// Radius of the hole that other clampings than this sweep's leave through the piece.
double through_besides(std::span<const Sweep> sweeps, const Sweep& here) {
  double radius = sweeps.front().run->clamping.bore_mm / 2;
  for (const auto& sweep : sweeps)
    if (&sweep != &here)
      for (const auto& k : sweep.strokes)
        if (sweep.of(k).cutter == Cutter::drill && !k.rapid())
          radius = std::max(radius, sweep.of(k).tool->diameter_mm / 2);
  return radius;
}

} // namespace

namespace detail {

Carried carry(std::span<const Run> runs, const Work& work, const Outline& outline, std::span<const Tool> tools,
              Proof& proof, Watcher* watcher) {
  Carried out;
  for (std::size_t i = 0; i < runs.size(); ++i)
    out.sweeps.push_back(strokes_of(runs[i], static_cast<int>(i), work.height_mm, tools, proof.failures));
  Piece piece = blank_of(runs.front().clamping, grid_mm);
  for (std::size_t i = 0; i < runs.size(); ++i) {
    if (i > 0 && runs[i].clamping.side != runs[i - 1].clamping.side)
      piece = detail::turned_round(piece, work.height_mm);
    if (watcher) watcher->before(out.sweeps[i], piece);
    check_chuck(out.sweeps[i], work.height_mm, proof);
    out.owners.push_back(carry_stock(out.sweeps[i], outline, work.height_mm, piece, proof, watcher));
  }
  out.piece = runs.back().clamping.side == Side::top ? detail::turned_round(piece, work.height_mm) : piece;
  return out;
}

Outline outline_of(std::span<const Run> runs, const Work& work, std::vector<Failure>& failures) {
  const Clamping& c = runs.front().clamping;
  return outline_of(work, c.diameter_mm / 2, c.length_mm - c.front_mm, failures);
}

} // namespace detail

Proof prove(std::span<const Run> runs, const Work& work, std::span<const Tool> tools, const Machine& machine,
            std::vector<StepPicture>* pictures) {
  Proof proof;
  proof.grid_mm = grid_mm;
  if (runs.empty()) return proof;
  for (std::size_t i = 0; i < runs.size(); ++i) add_times(runs[i].program, static_cast<int>(i), machine, proof);
  const Outline outline = outline_of(runs, work, proof.failures);
  const auto watcher = pictures ? draughtsman(work, outline, *pictures) : nullptr;
  const Carried carried = carry(runs, work, outline, tools, proof, watcher.get());
  Gouges gouges(outline, work, proof);
  for (const auto& sweep : carried.sweeps) gouges.look(sweep);
  Remains(carried.sweeps, runs.front().clamping, work.height_mm, carried.piece)
      .look(to_be_cut(runs, work, outline), proof);
  check_thread(carried.sweeps, work, outline, proof);
  check_rates(runs, tools, machine, proof);
  proof.volume_expected_cc = profile::swept_volume(profile::ChainView(work.chamber)) / 1000;
  int chamber_run = 0;
  for (std::size_t i = 0; i < runs.size(); ++i) {
    const Sweep& sweep = carried.sweeps[i];
    if (sweep.top_side()) continue;
    chamber_run = static_cast<int>(i);
    measure_cavity(sweep, work, carried.owners[i], through_besides(carried.sweeps, sweep), proof);
  }
  judge(proof, chamber_run);
  return proof;
}

std::vector<Failure> prove_in_air(const Run& run, std::span<const Tool> tools, const Machine& machine,
                                  double clear_mm) {
  (void)machine;
  std::vector<Failure> failures;
  const Clamping& c = run.clamping;
  const Sweep sweep = strokes_of(run, 0, 0, tools, failures);
  const double front = -c.front_mm - clear_mm;
  double beside = c.diameter_mm / 2 + clear_mm;
  // Jaws reach out beside the blank; in front of them a tool may come down beside it.
  constexpr double jaws_out_mm = 40;
  const double jaws = c.grip_diameter_mm / 2 + jaws_out_mm + clear_mm;
  int last = 0;
  for (const auto& k : sweep.strokes) {
    const Silhouette& s = sweep.of(k);
    const Box path = box_of(k.path);
    double highest = k.cut.z_max;
    for (const auto& e : s.bar) highest = std::max(highest, path.z_max + e.dz);
    const bool outside_tool = s.side < 0 || s.cutter == Cutter::radial_blade;
    const double nearest = s.side < 0 ? -k.cut.r_max : k.cut.r_min;
    const bool clear_of_jaws = c.jaws_mm <= 0 || highest < c.jaws_mm - clear_mm || nearest > jaws;
    if (highest <= front || (outside_tool && nearest >= beside && clear_of_jaws) || k.motion->line == last) continue;
    last = k.motion->line;
    if (failures.size() < 50)
      failures.push_back(
          {FailureKind::rapid_through_metal, 0, last, std::abs(k.path.to.r), k.path.to.z,
           fmt::format("line {}: tool {} comes within {:.2f} mm of the blank or jaws in a trial in the air.", last,
                       s.tool->number, std::max(0.0, -c.front_mm - highest)),
           "lift the program higher."});
  }
  return failures;
}

} // namespace chamber::turning
