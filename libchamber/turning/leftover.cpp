#include "chamber/turning/leftover.hpp"
#include "chamber/profile/thinner.hpp"
#include "chamber/turning/prove_detail.hpp"
#include "chamber/units/quantity.hpp"
#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <optional>

namespace chamber::turning {

using namespace detail;
using profile::P;
using units::fixed;

namespace {

constexpr double bucket_mm = 0.25;
constexpr double first_step_mm = 0.05;  ///< columns looked at first
constexpr double chord_mm = 3e-5;       ///< of the profile's lines from what is cut
constexpr double finest_step_mm = 1e-6; ///< a wall upright within this
constexpr double sliver_mm = 1.5e-3;    ///< thinner metal between two cuts is rounding: steps of 0.0001 in on diameters
constexpr double face_mm = 3e-3;        ///< steps of the coordinates: what still counts as the face
constexpr double face_width_mm = 0.3;   ///< a narrower level place is no sealing face
constexpr double hole_deeper_mm = 0.5;  ///< a drill's shoulder beyond the metal beside it makes a plug hole
constexpr double least_depth_mm = 0.5;
constexpr double carry_grid_mm = 0.05;
constexpr double most_radius_mm = 300;    ///< of cuts at the chamber's side; each is followed column by column
constexpr double most_way_mm = 200e3;     ///< across the axis, of all moves: thousands of passes over the widest face
constexpr double assumed_length_mm = 200; ///< where no blank is given: longer than any insert

/// How deep the feeds cut in every column, from Z0; 0 where nothing is cut.
class Depths {
public:
  Depths(const Sweep& sweep, double out) : buckets_(static_cast<std::size_t>(out / bucket_mm) + 2) {
    for (const auto& k : sweep.strokes) {
      if (k.rapid() || k.cut.z_max <= 0) continue;
      const Item item{&sweep.of(k), &k};
      for (const auto& [low, high] : {std::pair{k.cut.r_min, k.cut.r_max}, {-k.cut.r_max, -k.cut.r_min}}) {
        if (high < 0) continue;
        const auto last = std::min(buckets_.size() - 1, static_cast<std::size_t>(std::min(high, out) / bucket_mm));
        for (auto i = static_cast<std::size_t>(std::max(0.0, std::min(low, out)) / bucket_mm); i <= last; ++i)
          if (buckets_[i].empty() || buckets_[i].back().stroke != &k) buckets_[i].push_back(item);
      }
    }
    for (auto& b : buckets_)
      std::stable_sort(b.begin(), b.end(),
                       [](const Item& x, const Item& y) { return x.stroke->cut.z_max > y.stroke->cut.z_max; });
  }

  double at(double r) const {
    double top = 0;
    for (const auto& [s, k] : buckets_[std::min(buckets_.size() - 1, static_cast<std::size_t>(r / bucket_mm))]) {
      if (k->cut.z_max <= top) break;
      top = std::max(top, cut_top(*s, *k, r));
    }
    return top;
  }

private:
  struct Item {
    const Silhouette* silhouette;
    const Stroke* stroke;
  };
  std::vector<std::vector<Item>> buckets_;
};

/// How far out the tools' points come.
double reach_of(const Sweep& sweep) {
  double out = 0;
  for (const auto& k : sweep.strokes)
    if (!k.rapid() && k.cut.z_max >= -face_mm) out = std::max({out, std::abs(k.path.from.r), std::abs(k.path.to.r)});
  return out;
}

/// The largest drill's radius, and how deep it is that wide; 0: no drill.
P drilled(const Sweep& sweep) {
  P hole{0, 0};
  for (const auto& k : sweep.strokes) {
    const Silhouette& s = sweep.of(k);
    if (s.cutter != Cutter::drill || k.rapid()) continue;
    const double r = s.tool->diameter_mm / 2;
    const double shoulder = std::max(k.path.from.z, k.path.to.z) - r * s.cutting.front().slope;
    if (r > hole.r || (r == hole.r && shoulder > hole.z)) hole = {r, shoulder};
  }
  return hole;
}

/// How near the axis noses, drills and blades themselves come in the chamber: what only an end edge sweeps there is a
/// hole's air, not metal.
double innermost(const Sweep& sweep) {
  double in = 1e9;
  for (const auto& k : sweep.strokes) {
    const Silhouette& s = sweep.of(k);
    if (k.rapid() || k.cut.z_max < least_depth_mm) continue;
    if (s.cutter == Cutter::drill) return 0;
    if (s.cutter == Cutter::axial_blade) in = std::min(in, k.cut.r_min);
    if (s.cutter == Cutter::nose && s.side > 0) in = std::min(in, box_of(k.path).r_min - s.nose);
  }
  return std::max(0.0, in);
}

class Reading {
public:
  Reading(const Sweep& sweep, const LeftoverOptions& o, bool inch) : sweep_(sweep), o_(o), inch_(inch) {}

  Result<Leftover> run() {
    out_ = reach_of(sweep_) + 1;
    if (o_.blank_diameter_mm > 0) out_ = std::min(out_, o_.blank_diameter_mm / 2);
    if (!(out_ < most_radius_mm))
      return fail(fmt::format("the tools cut out to a radius of {}, and no insert is that wide.", said(out_, 0)),
                  "check the program's unit.");
    depths_.emplace(sweep_, out_);
    if (const auto ok = close_hole(); !ok) return tl::unexpected(ok.error());
    if (const auto ok = find_rim(); !ok) return tl::unexpected(ok.error());
    trace();
    return std::move(left_);
  }

private:
  std::string said(double mm, int decimals = 3) const { return in_words(inch_, mm, decimals); }

  Result<void> close_hole() {
    const P drill = drilled(sweep_);
    hole_ = o_.hole_radius_mm;
    if (drill.r > 0 && drill.z > depths_->at(drill.r + 1e-3) + hole_deeper_mm) {
      hole_ = std::max(hole_, drill.r);
      left_.taken.push_back(fmt::format("The drill of diameter {} goes {} deep, beyond the chamber: the plug hole.",
                                        said(2 * drill.r), said(drill.z, 2)));
    }
    double inner = innermost(sweep_);
    roof_ = depths_->at(hole_ + 1e-3);
    if (roof_ > 0 && inner <= hole_ + face_mm) {
      if (hole_ > 0)
        left_.taken.push_back(
            fmt::format("A plug hole of diameter {} is closed flush with the metal beside it, {} above the face.",
                        said(2 * hole_), said(roof_)));
      left_.hole_radius_mm = hole_;
      return {};
    }
    if (inner >= out_)
      return fail(
          "this program cuts no chamber.",
          "give the program of the chamber side, with Z0 at the finished face and the tools it was written for.");
    return fail(hole_ > 0 ? fmt::format("a ring of metal is left between the hole's radius of {} and {}.", said(hole_),
                                        said(inner, 2))
                          : fmt::format("no tool cuts nearer to the axis than radius {}: there is a hole already.",
                                        said(inner, 2)),
                "say the diameter of the hole that is there: --hole \"12.7 mm\".");
  }

  double depth(double r) const { return r < hole_ ? roof_ : depths_->at(r); }

  Result<void> find_rim() {
    face_ = 1e9;
    for (double r = hole_ + 1e-3; r < out_; r += first_step_mm) face_ = std::min(face_, depth(r));
    if (face_ < face_mm)
      face_ = 0;
    else
      left_.taken.push_back(
          fmt::format("The face is left {} behind the program's Z0: taken as the sealing face.", said(face_)));
    double level = 0, deepest = 0;
    for (double r = hole_ + 1e-3; r < out_; r += first_step_mm) {
      deepest = std::max(deepest, depth(r) - face_);
      if (depth(r) > face_ + face_mm || deepest < least_depth_mm)
        level = 0;
      else if ((level += first_step_mm) >= face_width_mm || r + first_step_mm >= out_) {
        rim_ = r;
        while (rim_ > hole_ && depth(rim_ - first_step_mm) <= face_ + face_mm) rim_ -= first_step_mm;
        narrow_rim();
        return {};
      }
    }
    return fail(deepest < least_depth_mm ? "this program cuts no chamber."
                                         : "no sealing face is left round the chamber.",
                "give the program of the chamber side, with Z0 at the finished face.");
  }

  void narrow_rim() {
    double in = std::max(hole_, rim_ - first_step_mm), on = rim_;
    while (on - in > finest_step_mm) (depth((in + on) / 2) <= face_ + face_mm ? on : in) = (in + on) / 2;
    rim_ = on;
  }

  void add(double r, double z) { traced_.push_back({r, z - face_}); }

  /// Slivers of metal between two cuts, thinner than coordinates are written: gone with the first touch.
  void fill_slivers() {
    std::vector<double> filled;
    for (std::size_t i = 0; i < traced_.size(); ++i) {
      double outside = -1e9, inside = -1e9;
      for (std::size_t k = i; k-- > 0 && traced_[k].r - traced_[i].r < sliver_mm;)
        outside = std::max(outside, traced_[k].z);
      for (std::size_t k = i + 1; k < traced_.size() && traced_[i].r - traced_[k].r < sliver_mm; ++k)
        inside = std::max(inside, traced_[k].z);
      filled.push_back(std::max(traced_[i].z, std::min(outside, inside)));
    }
    for (std::size_t i = 0; i < traced_.size(); ++i) traced_[i].z = filled[i];
  }

  /// Columns from b down to a; b is there already.
  void between(double a, double za, double b, double zb) {
    if (b - a > finest_step_mm) {
      const auto off = [&](double u) { return std::abs(depth(a + (b - a) * u) - za - (zb - za) * u) > chord_mm; };
      if (off(0.5) || off(0.29) || off(0.83)) {
        const double m = (a + b) / 2, zm = depth(m);
        between(m, zm, b, zb);
        between(a, za, m, zm);
        return;
      }
    }
    add(a, za);
  }

  void trace() {
    add(rim_, face_);
    double r = rim_, z = face_;
    while (r > hole_) {
      const double next = std::max(hole_, r - first_step_mm), zn = depth(next);
      between(next, zn, r, z);
      r = next;
      z = zn;
    }
    if (hole_ > 0) add(hole_, roof_);
    add(0, hole_ > 0 ? roof_ : depth(0));
    fill_slivers();
    profile::detail::Thinner thinner(chord_mm, 4e-4, 100000);
    for (const auto& p : traced_) thinner.add(p, 0);
    thinner.finish();
    const auto& p = thinner.points();
    for (std::size_t i = 0; i + 1 < p.size(); ++i) left_.chain.push_back(profile::line(p[i], p[i + 1]));
  }

  const Sweep& sweep_;
  const LeftoverOptions& o_;
  bool inch_;
  std::optional<Depths> depths_;
  double out_ = 0, hole_ = 0, roof_ = 0, face_ = 0, rim_ = 0;
  std::vector<P> traced_;
  Leftover left_;
};

/// What the columns cannot show, and what would not go well: metal left under a cut, and with a known blank, rapids and
/// bars through metal.
void look_in_time_order(const Sweep& sweep, const LeftoverOptions& o, Leftover& left) {
  Proof proof;
  Piece piece = blank_of(sweep.run->clamping, carry_grid_mm);
  carry_stock(sweep, Outline{}, 0, piece, proof);
  std::size_t more = 0;
  for (const auto& f : proof.failures) {
    const bool undercut = f.kind == FailureKind::undercut;
    if (!undercut && (o.blank_length_mm <= 0 || (f.kind != FailureKind::rapid_through_metal &&
                                                 f.kind != FailureKind::bar_contact && f.kind != FailureKind::depth)))
      continue;
    if (left.cautions.size() < 10)
      left.cautions.push_back(std::string(name(f.kind)) + ": " + f.message +
                              (undercut ? " The volume counts that metal as cut." : ""));
    else
      ++more;
  }
  if (more > 0) left.cautions.push_back(fmt::format("and {} more of these.", more));
}

} // namespace

Result<Leftover> leftover(const Program& program, std::span<const Tool> tools, const LeftoverOptions& o) {
  Run run{program, {}};
  run.clamping.length_mm = o.blank_length_mm > 0 ? o.blank_length_mm : assumed_length_mm;
  run.clamping.bore_mm = 2 * o.hole_radius_mm;
  std::vector<Failure> failures;
  const Sweep sweep = strokes_of(run, 0, 0, tools, failures);
  for (const auto& f : failures)
    if (f.kind != FailureKind::unsafe_start) {
      Problem p{{"", f.line, 0}, f.message, f.cure};
      if (f.kind == FailureKind::unknown_tool) p.cure = "name a lathe file that lists it: --lathe.";
      return tl::unexpected(std::move(p));
    }
  double way = 0;
  for (const auto& k : sweep.strokes) way += std::abs(k.path.to.r - k.path.from.r);
  if (way > most_way_mm)
    return fail(fmt::format("the tools go {} m to and fro across the work: no chamber takes so many passes.",
                            fixed(way / 1000, 0)),
                "check that it is the right file.");
  auto left = Reading(sweep, o, program.inch).run();
  if (!left) return left;
  run.clamping.diameter_mm =
      o.blank_diameter_mm > 0 ? o.blank_diameter_mm : 2 * (left->chain.front().start.r + face_width_mm);
  look_in_time_order(sweep, o, *left);
  return left;
}

} // namespace chamber::turning
