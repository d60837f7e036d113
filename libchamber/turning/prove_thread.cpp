// The plug's thread: what tap or threading tool do in step with the spindle.
#include "chamber/turning/prove_detail.hpp"
#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <optional>

namespace chamber::turning::detail {

using namespace sweep;

namespace {

constexpr double exact_mm = 2e-3;      ///< two rounding steps of a coordinate
constexpr double lead_mm = 1e-3;       ///< a lead written in inches to four places
constexpr double over_major_mm = 0.05; ///< on the diameter, more than which the thread may not be opened
constexpr double run_in_leads = 2;     ///< for carriage and spindle to fall into step; common practice, no source
constexpr double run_out_leads = 0.5;  ///< full thread to the roof's edge

class Thread {
public:
  Thread(std::span<const Sweep> sweeps, const Work& work, const Outline& outline, Proof& proof)
      : sweeps_(sweeps), work_(work), t_(work.thread), outline_(outline), proof_(proof) {}

  void run() {
    bool any = false;
    for (const auto& sweep : sweeps_)
      for (std::size_t i = 0; i < sweep.strokes.size();) {
        const int call = sweep.strokes[i].motion->call;
        std::vector<const Stroke*> strokes;
        const Silhouette& s = sweep.of(sweep.strokes[i]);
        for (; i < sweep.strokes.size() && sweep.strokes[i].motion->call == call; ++i)
          if (sweep.strokes[i].motion->kind == MotionKind::thread) strokes.push_back(&sweep.strokes[i]);
        if (strokes.empty()) continue;
        any = true;
        take(sweep, s, strokes);
      }
    if (!any && !t_.name.empty())
      add_failure(proof_, {FailureKind::thread, 0, 0, t_.major_mm / 2, roof(),
                           fmt::format("no program cuts the thread {}.", t_.name), "tap it, or cut it in passes."});
  }

private:
  void complain(const Sweep& sweep, const Stroke& k, std::string what, std::string cure) {
    add_failure(proof_, {FailureKind::thread, sweep.index, k.motion->line, std::abs(k.path.to.r),
                         sweep.top_side() ? work_.height_mm - k.path.to.z : k.path.to.z,
                         fmt::format("line {}: {}", k.motion->line, what), std::move(cure)});
  }

  double roof() const { return work_.chamber.back().end.z; }
  double seat() const { return work_.outside.empty() ? work_.height_mm : work_.outside.back().end.z; }

  /// Radius of the hole half way through the thread, exact.
  double hole_radius() const {
    const double level = (roof() + seat()) / 2;
    double radius = sweeps_.front().run->clamping.bore_mm / 2;
    for (const auto& sweep : sweeps_) {
      for (const auto& k : sweep.strokes) {
        if (k.rapid()) continue;
        const Silhouette& s = sweep.of(k);
        if (s.cutter == Cutter::drill)
          radius = std::max(radius, s.tool->diameter_mm / 2);
        else if (s.cutter == Cutter::nose && s.side > 0)
          radius = std::max(radius, disc_top(transposed(k.rims.front()), s.nose, level));
      }
    }
    return radius;
  }

  void take(const Sweep& sweep, const Silhouette& s, const std::vector<const Stroke*>& strokes) {
    const Stroke& first = *strokes.front();
    if (t_.name.empty()) return complain(sweep, first, "a thread that the drawing does not have.", "remove it.");
    if (s.cutter != Cutter::tap && s.cutter != Cutter::thread_point)
      return complain(sweep, first, fmt::format("tool {} cuts no threads.", s.tool->number), "call a tap or threader.");
    const double hole = 2 * hole_radius();
    if (hole < t_.minor_low_mm - exact_mm || hole > t_.minor_high_mm + exact_mm)
      complain(sweep, first,
               fmt::format("the hole is {:.3f} mm across, {} wants {:.3f} to {:.3f} mm.", hole, t_.name,
                           t_.minor_low_mm, t_.minor_high_mm),
               "take the tap drill.");
    for (const auto* k : strokes) {
      if (std::abs(k->motion->feed_mm_per_rev - t_.pitch_mm) > lead_mm)
        complain(
            sweep, *k,
            fmt::format("a lead of {:.4f} mm, {} has {:.4f} mm.", k->motion->feed_mm_per_rev, t_.name, t_.pitch_mm),
            "write the thread's pitch.");
      if ((k->path.to.z > k->path.from.z) == k->motion->backwards)
        complain(sweep, *k, "the thread would be left-handed.",
                 "turn the spindle forwards towards the chuck, backwards away from it.");
    }
    if (s.cutter == Cutter::tap)
      tap(sweep, *s.tool, strokes);
    else
      passes(sweep, s, strokes, hole / 2);
  }

  /// In the clamping's coordinates: where the thread begins and ends, seen from the tailstock.
  double begins(const Sweep& sweep) const { return sweep.top_side() ? work_.height_mm - seat() : roof(); }
  double ends(const Sweep& sweep) const { return sweep.top_side() ? work_.height_mm - roof() : seat(); }

  void tap(const Sweep& sweep, const Tool& tool, const std::vector<const Stroke*>& strokes) {
    const Stroke& in = *strokes.front();
    if (std::abs(tool.diameter_mm - t_.major_mm) > exact_mm || std::abs(tool.pitch_mm - t_.pitch_mm) > lead_mm)
      complain(sweep, in,
               fmt::format("tap {} is {}x{}, not {}.", tool.number, tool.diameter_mm, tool.pitch_mm, t_.name),
               "call the thread's own tap.");
    const double needed = ends(sweep) + tool.chamfer_mm + run_out_leads * t_.pitch_mm;
    if (in.path.to.z < needed - exact_mm)
      complain(
          sweep, in,
          fmt::format("the tap stops at Z{:.2f}; with its chamfer it has to come to Z{:.2f}.", -in.path.to.z, -needed),
          "tap deeper.");
    run_in(sweep, in);
    if (strokes.size() != 2 || !strokes[1]->motion->backwards ||
        std::abs(strokes[1]->path.to.z - in.path.from.z) > exact_mm)
      complain(sweep, in, "the tap does not come back out in step to where it began.",
               "reverse the spindle and run it out to the same Z.");
  }

  void run_in(const Sweep& sweep, const Stroke& k) {
    const double needed = begins(sweep) - run_in_leads * t_.pitch_mm;
    if (k.path.from.z > needed + exact_mm)
      complain(sweep, k,
               fmt::format("a run-in from Z{:.2f}; to fall into step it has to begin at Z{:.2f} or before.",
                           -k.path.from.z, -needed),
               "begin farther away.");
  }

  void passes(const Sweep& sweep, const Silhouette& s, const std::vector<const Stroke*>& strokes, double hole) {
    const Tool& tool = *s.tool;
    if (tool.pitch_mm > 0 && t_.pitch_mm > tool.pitch_mm + lead_mm)
      complain(sweep, *strokes.front(), fmt::format("tool {} cuts pitches up to {} mm.", tool.number, tool.pitch_mm),
               "take a coarser threading tool.");
    const double start = strokes.front()->path.from.z, needed = ends(sweep) + run_out_leads * t_.pitch_mm;
    double deepest = hole;
    const Stroke* last = strokes.front();
    for (const auto* k : strokes) {
      const double x = k->motion->from.x;
      if (std::abs(k->motion->to.x - x) > exact_mm)
        complain(sweep, *k, "a pass that is not parallel to the axis.", "keep X.");
      if (std::abs(k->path.from.z - start) > exact_mm)
        complain(sweep, *k, "a pass that begins at another Z than the first: it would cut another thread.",
                 "begin every pass at the same Z.");
      run_in(sweep, *k);
      if (k->path.to.z < needed - exact_mm)
        complain(sweep, *k,
                 fmt::format("the pass stops at Z{:.2f}; it has to come to Z{:.2f}.", -k->path.to.z, -needed),
                 "run it past the thread's end.");
      if (x - deepest > tool.max_depth_mm + exact_mm)
        complain(sweep, *k,
                 fmt::format("the pass goes {:.3f} mm deeper, tool {} may take {:.3f} mm.", x - deepest, tool.number,
                             tool.max_depth_mm),
                 "take more passes.");
      runs_into_chamber(sweep, s, *k);
      if (x >= deepest) {
        deepest = x;
        last = k;
      }
    }
    const double over = 2 * deepest - t_.major_mm;
    if (over < -exact_mm || over > over_major_mm + exact_mm)
      complain(sweep, *last,
               fmt::format("the last pass cuts to diameter {:.3f} mm, the thread's major is {:.3f} mm.", 2 * deepest,
                           t_.major_mm),
               "cut to the major diameter, at most 0.05 mm over it.");
  }

  /// Past its end the point has to be in the air of the finished chamber.
  void runs_into_chamber(const Sweep& sweep, const Silhouette& s, const Stroke& k) {
    const double tip = k.path.to.z + s.nose;
    for (double r = hole_radius() + exact_mm; r < k.motion->to.x - exact_mm; r += 0.05)
      for (auto span : finished_spans(outline_, r)) {
        if (sweep.top_side()) span = {work_.height_mm - span.high, work_.height_mm - span.low};
        if (span.low > ends(sweep) + exact_mm && span.low < tip - exact_mm)
          return complain(sweep, k,
                          fmt::format("the thread runs {:.2f} mm into the metal beyond its end.", tip - span.low),
                          "end the pass sooner.");
      }
  }

  std::span<const Sweep> sweeps_;
  const Work& work_;
  const turning::Thread& t_;
  const Outline& outline_;
  Proof& proof_;
};

} // namespace

void check_thread(std::span<const Sweep> sweeps, const Work& work, const Outline& outline, Proof& proof) {
  Thread(sweeps, work, outline, proof).run();
}

} // namespace chamber::turning::detail
