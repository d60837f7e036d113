// The piece carried through a program in time order, on a grid of columns.
#include "chamber/turning/prove_detail.hpp"
#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace chamber::turning::detail {

using namespace sweep;

namespace {

constexpr double through_mm = 1e6;  ///< more than any piece is deep: a column without metal
constexpr double contact_mm = 5e-3; ///< what counts as touching: several rounding steps
constexpr double edge_mm = 0.01;    ///< an edge beyond the profile, along w: rounding on the steepest slopes
constexpr double beneath_mm = 0.02; ///< metal left under a cut, thicker than the staircase of the grid
constexpr double bar_run_on = 20;   ///< what a grooving blade's holder takes on the tailstock's side of the blade

class Carrier {
public:
  Carrier(const Sweep& sweep, const Outline& outline, double height, Piece& piece, Proof& proof)
      : sweep_(sweep), piece_(piece), proof_(proof), height_(height), grid_(piece.grid_mm) {
    owner_.assign(piece.columns.size(), -1);
    for (std::size_t i = 0; i < piece.columns.size(); ++i) {
      const Spans spans = finished_spans(outline, piece.column(i));
      // Seen from this clamping's front.
      finished_.push_back(spans.empty() ? nothing : sweep.top_side() ? height - spans.back().high : spans.front().low);
    }
  }

  std::vector<int> run(Watcher* watcher) {
    for (std::size_t i = 0; i < sweep_.strokes.size(); ++i) {
      const Stroke& k = sweep_.strokes[i];
      const Silhouette& s = sweep_.of(k);
      at_end_of_thread_ = i > 0 && sweep_.strokes[i - 1].motion->kind == MotionKind::thread;
      if (s.cutter == Cutter::drill || s.cutter == Cutter::centre_drill || s.cutter == Cutter::tap) on_centre(k, s);
      switch (s.cutter) {
      case Cutter::radial_blade:
        radial_blade(k, s, static_cast<int>(i));
        break;
      case Cutter::thread_point:
        thread_point(k, s);
        bar(k, s);
        break;
      case Cutter::tap:
        tap(k, s);
        bar(k, s);
        break;
      default:
        if (s.cutter == Cutter::axial_blade) face_blade(k, s);
        if (k.rapid())
          rapid(k, s);
        else {
          if (s.cutter == Cutter::drill) peck(k, s);
          cut(k, s, static_cast<int>(i));
        }
        bar(k, s);
      }
      if (watcher) watcher->after(sweep_, i, piece_);
    }
    ask_for_pilot();
    return std::move(owner_);
  }

private:
  double column(std::size_t i) const { return piece_.column(i); }
  Spans& metal(std::size_t i) { return piece_.columns[i]; }
  double front(std::size_t i) const { return front_of(piece_.columns[i]); }
  /// From the clamping's depth to the insert's z, for messages.
  double z(double w) const { return sweep_.top_side() ? height_ - w : w; }

  /// Columns (by |r|) that [low, high] touches.
  std::pair<std::size_t, std::size_t> columns(double low, double high) const {
    const double from = low <= 0 && high >= 0 ? 0 : std::min(std::abs(low), std::abs(high));
    const double to = std::max(std::abs(low), std::abs(high));
    const auto clamp = [&](double x) {
      return static_cast<std::size_t>(std::clamp(x, 0.0, static_cast<double>(piece_.columns.size())));
    };
    return {clamp(std::floor(from / grid_)), clamp(std::ceil(to / grid_) + 1)};
  }

  void complain(FailureKind kind, const Stroke& k, double r, double w, std::string message, std::string cure) {
    if (kind == last_kind_ && k.motion->line == last_line_) return;
    last_kind_ = kind;
    last_line_ = k.motion->line;
    add_failure(proof_, {kind, sweep_.index, k.motion->line, r, z(w), std::move(message), std::move(cure)});
  }

  void into_metal(const Stroke& k, const Silhouette& s, double r, double w, double depth) {
    complain(FailureKind::rapid_through_metal, k, r, w,
             fmt::format("line {}: a rapid of tool {} runs {:.3f} mm into metal at r {:.2f}, z {:.2f} mm.",
                         k.motion->line, s.tool->number, depth, r, z(w)),
             "retract first, or cut with a feed.");
  }
  void bar_touches(const Stroke& k, const Silhouette& s, std::string_view what, double r, double w, double depth,
                   std::string_view cure) {
    complain(FailureKind::bar_contact, k, r, w,
             fmt::format("line {}: the {} of tool {} runs {:.3f} mm into metal at r {:.2f}, z {:.2f} mm.",
                         k.motion->line, what, s.tool->number, depth, r, z(w)),
             std::string(cure));
  }

  void rapid(const Stroke& k, const Silhouette& s) {
    double depth = contact_mm, r = 0;
    const auto [a, b] = columns(k.cut.r_min, k.cut.r_max);
    for (std::size_t i = a; i < b; ++i) {
      if (k.cut.z_max <= front(i)) continue;
      if (const double over = cut_top(s, k, column(i)) - front(i); over > depth) {
        depth = over;
        r = column(i);
      }
    }
    if (depth > contact_mm) into_metal(k, s, r, front(columns(r, r).first), depth);
  }

  void cut(const Stroke& k, const Silhouette& s, int index) {
    const auto [a, b] = columns(k.cut.r_min, k.cut.r_max);
    double area = 0, first = nothing, last = -nothing, most_under = beneath_mm;
    P under{0, 0};
    const bool nose = s.cutter == Cutter::nose;
    for (std::size_t i = a; i < b; ++i) {
      const double begins = front(i);
      if (k.cut.z_max <= begins) continue;
      const double r = column(i), top = cut_top(s, k, r);
      if (top <= begins) continue;
      if (nose) {
        if (const double beneath = s.side < 0 ? 0 : below_nose(k, s, r) - begins; beneath > most_under) {
          most_under = beneath;
          under = {r, begins};
        }
        if (top > finished_[i] + edge_mm) edge_beyond(k, s, i);
      }
      area += take(metal(i), -nothing, top) * grid_;
      for (const double w : {begins, top}) {
        const double t = along(k.path, {r * s.side, w});
        first = std::min(first, t);
        last = std::max(last, t);
      }
      owner_[i] = index;
    }
    if (most_under > beneath_mm)
      complain(FailureKind::undercut, k, under.r, under.z,
               fmt::format("line {}: tool {} leaves {:.3f} mm of metal under its cut at r {:.2f}, z {:.2f} mm.",
                           k.motion->line, s.tool->number, most_under, under.r, z(under.z)),
               "an insert that opens towards the tool has no such cut: check the coordinates.");
    // A plunge shorter than the nose is wide takes its section over that width.
    if (nose && area > 0) depth(k, s, area / std::max(last - first, 2 * s.nose));
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
  void edge_beyond(const Stroke& k, const Silhouette& s, std::size_t i) {
    double top = nowhere;
    for (const auto& e : s.cutting)
      top = std::max({top, edge_top(k.path, e, column(i)), edge_top(k.path, e, -column(i))});
    if (top <= finished_[i] + edge_mm) return;
    complain(FailureKind::gouge, k, column(i), finished_[i],
             fmt::format("line {}: the end edge of tool {} cuts {:.3f} mm beyond the profile at r {:.2f}, z {:.2f} mm.",
                         k.motion->line, s.tool->number, top - finished_[i], column(i), z(finished_[i])),
             "take a slimmer insert (a larger angle between end edge and face).");
  }

  /// Where the metal that the stroke takes from a column begins. Behind the nose the insert lies under it.
  static double below_nose(const Stroke& k, const Silhouette& s, double r) {
    // A hair's breadth of nose in a column is rounding, not a cut; nor does a column between an arc and its own end
    // count, for nose or insert.
    const double firm = disc_bottom(k.path, s.nose - 2 * contact_mm, r);
    if (firm > -nowhere / 2) return nowhere; // the nose does not come here, only the edge
    const double bottom = std::min(firm, disc_bottom(k.path, s.nose, r));
    const auto body = [&](double wider) { return edge_top(k.path, {wider, 0, 0, s.nose + s.tool->shank_mm}, r); };
    return std::max(body(0), body(contact_mm)) >= bottom - beneath_mm ? nowhere : bottom;
  }

  void depth(const Stroke& k, const Silhouette& s, double mean) {
    for (auto& c : proof_.calls)
      if (c.run == sweep_.index && c.call == k.motion->call) c.deepest_cut_mm = std::max(c.deepest_cut_mm, mean);
    // The staircase the passes leave and the grid both blur the figure; half the depth again is a lost pass.
    if (mean <= 1.35 * s.tool->max_depth_mm + 0.1) return;
    complain(FailureKind::depth, k, std::abs(k.path.to.r), k.path.to.z,
             fmt::format("line {}: tool {} cuts {:.2f} mm deep, its limit is {:.2f} mm.", k.motion->line,
                         s.tool->number, mean, s.tool->max_depth_mm),
             "take more passes.");
  }

  /// How much a drill takes at once, and how far behind the piece its point comes.
  void peck(const Stroke& k, const Silhouette& s) {
    const Tool& t = *s.tool;
    const double tip = std::max(k.path.from.z, k.path.to.z);
    if (!metal(0).empty()) {
      const double at_once = tip - front(0), most = t.max_depth_mm > 0 ? t.max_depth_mm : t.diameter_mm;
      if (at_once > 1.25 * most + 1)
        complain(FailureKind::depth, k, 0, front(0),
                 fmt::format("line {}: drill {} takes {:.1f} mm at once, its limit is {:.1f} mm.", k.motion->line,
                             t.number, at_once, most),
                 "come out more often.");
    }
    const Clamping& c = sweep_.run->clamping;
    if (const double behind = tip - (c.length_mm - c.front_mm); behind > t.diameter_mm + 3)
      complain(FailureKind::chuck_contact, k, 0, tip,
               fmt::format("line {}: the point of drill {} comes {:.1f} mm behind the piece.", k.motion->line, t.number,
                           behind),
               "drill through, and no farther.");
  }

  /// A blade moved sideways only cleans up: its flank is no turning tool's edge.
  void sideways(const Stroke& k, const Silhouette& s, double area) {
    const P d = k.path.to - k.path.from;
    const double along = s.cutter == Cutter::radial_blade ? std::abs(d.z) : std::abs(d.r);
    const double across = s.cutter == Cutter::radial_blade ? std::abs(d.r) : std::abs(d.z);
    if (along <= across) return;
    const double deep = area / std::max(along, s.tool->width_mm / 2), most = 0.25 * s.tool->width_mm + 0.1;
    if (deep > most)
      complain(FailureKind::depth, k, k.path.to.r, k.path.to.z,
               fmt::format("line {}: blade {} cuts {:.2f} mm deep sideways, {:.2f} mm are its limit.", k.motion->line,
                           s.tool->number, deep, most),
               "plunge, and move a blade sideways only to clean up.");
  }

  void bar(const Stroke& k, const Silhouette& s) {
    const Box box = box_of(k.path);
    for (const auto& e : s.bar) {
      const auto [a, b] = columns(box.r_min + e.dr - e.width, box.r_max + e.dr);
      for (std::size_t i = a; i < b; ++i) {
        if (box.z_max + e.dz <= front(i) + contact_mm) continue;
        const double top = std::max(edge_top(k.path, e, column(i)), edge_top(k.path, e, -column(i)));
        if (top <= front(i) + contact_mm) continue;
        bar_touches(k, s, "bar or holder", column(i), front(i), top - front(i),
                    "take a slimmer bar or insert, or one that reaches farther.");
        return;
      }
    }
  }

  void radial_blade(const Stroke& k, const Silhouette& s, int index) {
    const double holder = k.cut.r_max - std::abs(k.path.to.r - k.path.from.r);
    const auto [a, b] = columns(k.cut.r_min, nothing);
    double taken = 0;
    for (std::size_t i = a; i < b; ++i) {
      const double r = column(i);
      if (r < k.cut.r_min || metal(i).empty()) continue;
      if (r > holder)
        if (const double into = overlap(metal(i), k.cut.z_min - bar_run_on, k.cut.z_max); into > contact_mm)
          return bar_touches(k, s, "holder", r, k.cut.z_max, into, "take a longer blade.");
      if (r > k.cut.r_max) continue;
      const double draw = corner_draw(s.nose, r - k.cut.r_min);
      const double low = k.cut.z_min + draw, high = k.cut.z_max - draw;
      if (k.rapid()) {
        if (const double into = overlap(metal(i), low, high); into > contact_mm) return into_metal(k, s, r, low, into);
        continue;
      }
      if (const double here = take(metal(i), low, high); here > 0) {
        taken += here;
        owner_[i] = index;
      }
    }
    if (taken <= 0) return;
    along_an_axis(k, s);
    sideways(k, s, taken * grid_);
  }

  void face_blade(const Stroke& k, const Silhouette& s) {
    const double holder = k.cut.z_min + std::abs(k.path.to.z - k.path.from.z);
    bool cuts = false;
    double area = 0;
    for (std::size_t i = 0; i < piece_.columns.size(); ++i) {
      if (holder > front(i) + contact_mm)
        return bar_touches(k, s, "holder", column(i), front(i), holder - front(i), "take a longer blade.");
      const double over = cut_top(s, k, column(i)) - front(i);
      cuts = cuts || over > contact_mm;
      if (over > 0 && over < through_mm) area += over * grid_;
    }
    if (!cuts || k.rapid()) return;
    sideways(k, s, area);
    along_an_axis(k, s);
    // Only the first plunge has to bend with the blade; what follows widens it.
    if (plunged_ == k.motion->call) return;
    plunged_ = k.motion->call;
    const Tool& t = *s.tool;
    const double outer = 2 * k.cut.r_max;
    if (outer < t.face_min_mm - contact_mm || (t.face_max_mm > 0 && outer > t.face_max_mm + contact_mm))
      complain(FailureKind::bar_contact, k, k.cut.r_max, k.cut.z_max,
               fmt::format("line {}: the flank of face blade {} rubs: it plunges at diameter {:.2f} mm, made for "
                           "{:.2f} to {:.2f} mm.",
                           k.motion->line, t.number, outer, t.face_min_mm, t.face_max_mm),
               "begin elsewhere in the groove, or take another blade.");
  }

  void along_an_axis(const Stroke& k, const Silhouette& s) {
    const P d = k.path.to - k.path.from;
    if (k.path.kind == profile::Kind::line && std::min(std::abs(d.r), std::abs(d.z)) <= contact_mm) return;
    complain(FailureKind::bar_contact, k, k.path.to.r, k.path.to.z,
             fmt::format("line {}: blade {} cuts aslant.", k.motion->line, s.tool->number),
             "move blades along an axis.");
  }

  /// The point of a threading tool: in step it may cut, else it must be clear.
  void thread_point(const Stroke& k, const Silhouette& s) {
    if (k.motion->kind == MotionKind::thread) return;
    const P d = k.path.to - k.path.from;
    if (at_end_of_thread_ && std::abs(d.z) < contact_mm && d.r < 0) return; // out of its own groove
    const auto [a, b] = columns(k.cut.r_min, k.cut.r_max);
    for (std::size_t i = a; i < b; ++i) {
      const double r = column(i), high = disc_top(k.path, s.nose, r), low = disc_bottom(k.path, s.nose, r);
      if (high < low) continue;
      if (const double into = overlap(metal(i), low, high); into > contact_mm) {
        if (k.rapid()) return into_metal(k, s, r, low, into);
        return complain(FailureKind::thread, k, r, low,
                        fmt::format("line {}: the threading tool cuts out of step at r {:.2f}, z {:.2f} mm.",
                                    k.motion->line, r, z(low)),
                        "clear the hole's wall on every move but the thread's.");
      }
    }
  }

  /// A tap stands in its hole; only in step may its teeth meet the wall.
  void tap(const Stroke& k, const Silhouette& s) {
    const bool in_step = k.motion->kind == MotionKind::thread;
    const Tool& t = *s.tool;
    const double core = t.diameter_mm / 2 - (in_step ? t.pitch_mm : 0); // the tap's own core is well within
    const double tip = k.cut.z_max;
    const auto [a, b] = columns(0, core - grid_);
    for (std::size_t i = a; i < b && column(i) < core; ++i) {
      if (front(i) >= tip - contact_mm) continue;
      if (!in_step && k.rapid()) return into_metal(k, s, column(i), front(i), tip - front(i));
      return complain(FailureKind::thread, k, column(i), front(i),
                      fmt::format("line {}: tap {} meets metal at r {:.2f}, z {:.2f} mm{}.", k.motion->line, t.number,
                                  column(i), z(front(i)), in_step ? ", inside its hole" : " out of step"),
                      "drill the hole through first, and move the tap in step only.");
    }
  }

  void on_centre(const Stroke& k, const Silhouette& s) {
    if (std::max(std::abs(k.path.from.r), std::abs(k.path.to.r)) < 1e-9) return;
    double foremost = nothing;
    for (std::size_t i = 0; i < piece_.columns.size(); ++i) foremost = std::min(foremost, front(i));
    if (k.cut.z_max <= foremost) return;
    complain(FailureKind::drill_off_centre, k, k.path.to.r, k.path.to.z,
             fmt::format("line {}: tool {} is off the axis inside the work.", k.motion->line, s.tool->number),
             "drill and tap at X0.");
  }

  /// Where a drill cuts, its full diameter has to come out at the back: tap and plug follow it.
  void ask_for_pilot() {
    const Stroke* largest = nullptr;
    for (const auto& k : sweep_.strokes)
      if (sweep_.of(k).cutter == Cutter::drill && !k.rapid() &&
          (!largest || sweep_.of(k).tool->diameter_mm >= sweep_.of(*largest).tool->diameter_mm))
        largest = &k;
    if (!largest) return;
    const Tool& t = *sweep_.of(*largest).tool;
    for (std::size_t i = 0; i < piece_.columns.size() && column(i) < t.diameter_mm / 2 - 2 * grid_; ++i) {
      if (metal(i).empty()) continue;
      double left = 0;
      for (const auto& s : metal(i)) left += s.high - s.low;
      return complain(FailureKind::pilot, *largest, column(i), front(i),
                      fmt::format("line {}: drill {} does not come through the blank: {:.2f} mm are left.",
                                  largest->motion->line, t.number, left),
                      "drill deeper, past the point of the drill.");
    }
  }

  const Sweep& sweep_;
  Piece& piece_;
  Proof& proof_;
  double height_, grid_;
  std::vector<double> finished_; ///< where the metal of each column begins on the drawing
  std::vector<int> owner_;
  bool at_end_of_thread_ = false;
  int plunged_ = 0; ///< last call whose face blade has plunged
  FailureKind last_kind_ = FailureKind::volume;
  int last_line_ = -1;
};

} // namespace

std::vector<int> carry_stock(const Sweep& sweep, const Outline& outline, double height, Piece& piece, Proof& proof,
                             Watcher* watcher) {
  return Carrier(sweep, outline, height, piece, proof).run(watcher);
}

} // namespace chamber::turning::detail
