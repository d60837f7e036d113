#include "chamber/turning/prove_detail.hpp"
#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace chamber::turning::detail {

using namespace sweep;

namespace {

constexpr double through = 1e9;     ///< height of a column without metal
constexpr double contact_mm = 5e-3; ///< what counts as touching: several rounding steps
constexpr double edge_mm = 0.01;    ///< an edge beyond the profile, along z: rounding on the steepest slopes
constexpr double beneath_mm = 0.02; ///< metal left under a cut, thicker than the staircase of the grid

class Blank {
public:
  Blank(const Sweep& sweep, const Part& part, const std::vector<Path>& faces, double grid, Proof& proof)
      : sweep_(sweep), proof_(proof), grid_(grid), thickness_(part.stock.thickness_mm) {
    const auto n = static_cast<std::size_t>(part.stock.outside_diameter_mm / 2 / grid_);
    height_.assign(n, 0.0);
    owner_.assign(n, -1);
    for (std::size_t i = 0; i < n; ++i) {
      if (column(i) < part.stock.bore_mm / 2) height_[i] = through;
      finished_.push_back(finished_height(faces, column(i)));
    }
  }

  std::vector<int> run() {
    for (std::size_t i = 0; i < sweep_.strokes.size(); ++i) {
      const Stroke& k = sweep_.strokes[i];
      if (k.motion->kind == MotionKind::rapid)
        rapid(k);
      else
        cut(k, static_cast<int>(i));
    }
    ask_for_pilot();
    return std::move(owner_);
  }

private:
  double column(std::size_t i) const { return (static_cast<double>(i) + 0.5) * grid_; }

  /// Columns (by |r|) that [low, high] touches.
  std::pair<std::size_t, std::size_t> columns(double low, double high) const {
    const double from = low <= 0 && high >= 0 ? 0 : std::min(std::abs(low), std::abs(high));
    const double to = std::max(std::abs(low), std::abs(high));
    const auto clamp = [&](double x) {
      return static_cast<std::size_t>(std::clamp(x, 0.0, static_cast<double>(height_.size())));
    };
    return {clamp(std::floor(from / grid_)), clamp(std::ceil(to / grid_) + 1)};
  }

  void rapid(const Stroke& k) {
    const Silhouette& s = sweep_.silhouettes[k.silhouette];
    Failure worst{FailureKind::rapid_through_metal, k.motion->line, 0, 0, {}, {}};
    double depth = contact_mm;
    const auto [a, b] = columns(k.cut.r_min, k.cut.r_max);
    for (std::size_t i = a; i < b; ++i) {
      if (k.cut.z_max <= height_[i]) continue;
      const double over = cut_top(s, k, column(i)) - height_[i];
      if (over > depth && over < through) {
        depth = over;
        worst.r_mm = column(i);
        worst.z_mm = height_[i];
      }
    }
    if (depth > contact_mm) {
      worst.message = fmt::format("line {}: a rapid of tool {} runs {:.3f} mm into metal at r {:.2f}, z {:.2f} mm.",
                                  worst.line, s.tool->number, depth, worst.r_mm, worst.z_mm);
      worst.cure = "retract first, or cut with a feed.";
      add_failure(proof_, worst);
    }
    bar(k, s);
  }

  void cut(const Stroke& k, int index) {
    const Silhouette& s = sweep_.silhouettes[k.silhouette];
    const auto [a, b] = columns(k.cut.r_min, k.cut.r_max);
    double area = 0, first = through, last = -through;
    Failure under{FailureKind::undercut, k.motion->line, 0, 0, {}, {}};
    double most_under = beneath_mm;
    for (std::size_t i = a; i < b; ++i) {
      if (k.cut.z_max <= height_[i]) continue;
      const double r = column(i), top = cut_top(s, k, r);
      if (top <= height_[i]) continue;
      if (s.nose > 0) {
        const double beneath = below_nose(k, s, r) - height_[i];
        if (beneath > most_under) {
          most_under = beneath;
          under.r_mm = r;
          under.z_mm = height_[i];
        }
      }
      if (s.nose > 0 && top > finished_[i] + edge_mm) edge_beyond(k, s, r, i);
      const double from = std::max(0.0, height_[i]), to = std::min(top, thickness_);
      area += (to - from) * grid_;
      for (const double z : {from, to}) {
        const double t = along(k.path, {r, z});
        first = std::min(first, t);
        last = std::max(last, t);
      }
      height_[i] = top >= thickness_ ? through : top;
      owner_[i] = index;
    }
    if (most_under > beneath_mm) {
      under.message = fmt::format("line {}: tool {} leaves {:.3f} mm of metal under its cut at r {:.2f}, z {:.2f} mm.",
                                  under.line, s.tool->number, most_under, under.r_mm, under.z_mm);
      under.cure = "a chamber that opens towards the piston has no such cut: check the coordinates.";
      add_failure(proof_, under);
    }
    if (s.nose > 0 && area > 0) depth(k, s, area / std::max(last - first, s.nose));
    bar(k, s);
  }

  /// How far along the path (of an arc: along its circle, from its middle) a point lies.
  static double along(const Path& path, const P& p) {
    if (path.kind == profile::Kind::line) {
      const P d = path.to - path.from;
      const double length = std::hypot(d.r, d.z);
      return length > 0 ? (d.r * (p.r - path.from.r) + d.z * (p.z - path.from.z)) / length : 0;
    }
    const P middle = (path.from - path.centre) + (path.to - path.centre), w = p - path.centre;
    return path.radius * std::atan2(middle.r * w.z - middle.z * w.r, middle.r * w.r + middle.z * w.z);
  }

  /// The nose's own gouge is judged square to the profile elsewhere; here only what the straight edge takes.
  void edge_beyond(const Stroke& k, const Silhouette& s, double r, std::size_t i) {
    double top = nowhere;
    for (const auto& e : s.cutting) top = std::max(top, edge_top(k.path, e, r));
    if (top <= finished_[i] + edge_mm || edge_line_ == k.motion->line) return;
    edge_line_ = k.motion->line;
    add_failure(
        proof_,
        {FailureKind::gouge, k.motion->line, r, finished_[i],
         fmt::format("line {}: the end edge of tool {} cuts {:.3f} mm beyond the profile at r {:.2f}, z {:.2f} mm.",
                     k.motion->line, s.tool->number, top - finished_[i], r, finished_[i]),
         "take a slimmer insert (a larger angle between end edge and face)."});
  }

  /// Where the metal that the stroke takes from a column begins. Towards the axis the insert lies under the nose.
  static double below_nose(const Stroke& k, const Silhouette& s, double r) {
    // A hair's breadth of nose in a column is rounding, not a cut; nor does a column between an arc and its own end
    // count.
    const double firm = disc_bottom(k.path, s.nose - 2 * contact_mm, r);
    if (firm > -nowhere / 2) return nowhere; // the nose does not come here, only the edge
    const double bottom = std::min(firm, disc_bottom(k.path, s.nose, r));
    const Edge body{0, 0, 0, s.nose + s.tool->shank_mm};
    return edge_top(k.path, body, r) >= bottom - beneath_mm ? nowhere : bottom;
  }

  /// Where a drill cuts, its full diameter has to come out at the back: tap and plug follow it.
  void ask_for_pilot() {
    for (const auto& s : sweep_.silhouettes) {
      const auto drilled = [&](const Stroke& k) {
        return &sweep_.silhouettes[k.silhouette] == &s && k.motion->kind != MotionKind::rapid;
      };
      const auto last = std::find_if(sweep_.strokes.rbegin(), sweep_.strokes.rend(), drilled);
      if (s.nose > 0 || last == sweep_.strokes.rend()) continue;
      const auto end = columns(0, s.tool->diameter_mm / 2 - 2 * grid_).second;
      for (std::size_t i = 0; i < end && column(i) < s.tool->diameter_mm / 2; ++i)
        if (height_[i] < through) {
          add_failure(proof_, {FailureKind::pilot, last->motion->line, column(i), height_[i],
                               fmt::format("line {}: drill {} does not come through the blank: {:.2f} mm are left.",
                                           last->motion->line, s.tool->number, thickness_ - height_[i]),
                               "drill deeper, past the point of the drill."});
          break;
        }
    }
  }

  void depth(const Stroke& k, const Silhouette& s, double mean) {
    for (auto& t : proof_.tools)
      if (t.tool == s.tool->number) t.deepest_cut_mm = std::max(t.deepest_cut_mm, mean);
    // The staircase the passes leave and the grid both blur the figure; half the depth again is a lost pass.
    if (mean <= 1.35 * s.tool->max_depth_mm + grid_) return;
    add_failure(proof_, {FailureKind::depth, k.motion->line, k.path.to.r, k.path.to.z,
                         fmt::format("line {}: tool {} cuts {:.2f} mm deep, its limit is {:.2f} mm.", k.motion->line,
                                     s.tool->number, mean, s.tool->max_depth_mm),
                         "take more passes."});
  }

  void bar(const Stroke& k, const Silhouette& s) {
    const Box box = box_of(k.path);
    for (const auto& e : s.bar) {
      if (box.z_max + e.dz <= 0) continue;
      const double low = box.r_min + e.dr - e.width, high = box.r_max + e.dr;
      const auto [a, b] = columns(low, high);
      for (std::size_t i = a; i < b; ++i) {
        if (box.z_max + e.dz <= height_[i] + contact_mm) continue;
        const double top = std::max(edge_top(k.path, e, column(i)), edge_top(k.path, e, -column(i)));
        if (top <= height_[i] + contact_mm) continue;
        add_failure(proof_,
                    {FailureKind::bar_contact, k.motion->line, column(i), height_[i],
                     fmt::format("line {}: the bar of tool {} runs {:.3f} mm into metal at r {:.2f}, z {:.2f} mm.",
                                 k.motion->line, s.tool->number, top - height_[i], column(i), height_[i]),
                     "take a slimmer bar or a slimmer insert."});
        return;
      }
    }
  }

  const Sweep& sweep_;
  Proof& proof_;
  double grid_, thickness_;
  int edge_line_ = 0;            ///< last line complained of for its edge
  std::vector<double> height_;   ///< where the metal of each column begins
  std::vector<double> finished_; ///< where it begins on the drawing
  std::vector<int> owner_;
};

} // namespace

std::vector<int> carry_stock(const Sweep& sweep, const Part& part, const std::vector<Path>& faces, double grid_mm,
                             Proof& proof) {
  return Blank(sweep, part, faces, grid_mm, proof).run();
}

} // namespace chamber::turning::detail
