// Limits drawn in to where every check of the design still holds.
#include "chamber/job/limits.hpp"
#include "chamber/job/trim_parts.hpp"
#include "chamber/job/words.hpp"
#include "chamber/units/quantity.hpp"
#include "chamber/units/tolerance.hpp"
#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace chamber::job {
namespace {

using shapes::Limits;
using shapes::Size;

constexpr double least_room_mm = 0.01; ///< between limits: less cannot be cut on purpose (common practice, no source)
constexpr double noise = 1e-9;
constexpr int most_rounds = 40;
constexpr const char* by_head_volume = "the head volume";

/// The insert with each size off by so much, as far as the checks see it.
class Part {
public:
  Part(const Spec& spec, const solve::Fit& fit, const shapes::Insert& insert, std::span<const Limits> sizes,
       std::span<const double> off)
      : spec_(spec), sizes_(sizes), off_(off), task(spec.task), d(fit.rounded) {
    chamber();
    body();
    plug(insert);
  }

  std::vector<Margin> margins() const {
    std::vector<Margin> out;
    for (const auto& c : solve::judge(task, d)) {
      if (c.name == "tightest place of the profile") continue; // the design's, not the part's
      auto value = c.minimum ? c.value - c.limit : c.limit - c.value;
      if (c.name == "plug end to crown") value += std::min(0.0, plug_end_off_mm_);
      out.push_back({c.name, c.key, value});
    }
    const auto fill = [&](const shapes::ORingSize* ring, const std::string& name, double width, double depth) {
      if (!ring) return;
      const auto f = shapes::groove_fill(name, *ring, width, depth);
      out.push_back({"O-ring fill, " + name, name + ".width", 100 * (shapes::most_fill - f.fill)});
    };
    for (std::size_t i = 0; i < task.body.face_grooves.size(); ++i)
      fill(ring_in_face_groove(spec_, i), fmt::format("body.face_groove[{}]", i + 1),
           task.body.face_grooves[i].width_mm, task.body.face_grooves[i].depth_mm);
    for (std::size_t i = 0; i < task.body.radial_grooves.size(); ++i)
      fill(ring_in_radial_groove(spec_, i), fmt::format("body.radial_groove[{}]", i + 1),
           task.body.radial_grooves[i].width_mm,
           spec_.task.body.radial_grooves[i].depth_mm - off(Size::radial_groove_floor, i) / 2);
    return out;
  }

private:
  double off(Size size, std::size_t i = 0) const {
    for (std::size_t k = 0; k < sizes_.size(); ++k)
      if (sizes_[k].size == size && sizes_[k].index == i) return off_[k];
    return 0;
  }

  /// Deviation of the band at the bore, and how much steeper it rises towards the axis.
  std::pair<double, double> band() const {
    const auto *outer = find(sizes_, Size::band, 0), *inner = find(sizes_, Size::band, 1);
    if (!outer) return {0, 0};
    const double a = off(Size::band, 0), b = off(Size::band, 1);
    const double slope = inner ? (b - a) / ((outer->gauge_diameter_mm - inner->gauge_diameter_mm) / 2) : 0;
    return {a + slope * (outer->gauge_diameter_mm / 2 - task.frame.bore_radius), slope};
  }

  void chamber() {
    auto& f = task.frame;
    const auto as_drawn = shapes::build(f, d, false);
    const auto [lift, steeper] = band();
    f.edge_height += lift;
    const double crown =
        f.follow_crown && f.crown_radius > 0 ? std::asin((f.bore_radius - d.squish_width / 2) / f.crown_radius) : 0;
    const double slope = crown + units::radians(d.squish_angle_deg);
    d.squish_angle_deg = units::degrees(std::atan(std::tan(slope) + steeper) - crown);
    f.rim_radius += off(Size::rim) / 2;
    f.pocket_radius += off(Size::pocket) / 2;
    // Bowl and roof stay where they are, wherever band and mouth go.
    if (shapes::has_dimension(f.family, 1)) d.bowl_depth += as_drawn.mouth.z - shapes::build(f, d, false).mouth.z;
    d = moved(task, d, Mend::widen_mouth, off(Size::mouth) / 2);
    d.pocket_depth += as_drawn.roof_z + off(Size::roof) - shapes::build(f, d, false).roof_z;
  }

  void body() {
    auto& b = task.body;
    double height = off(Size::height);
    for (const auto& s : b.steps) height += s.length_mm;
    for (std::size_t i = 0; i < b.steps.size(); ++i) {
      b.steps[i].diameter_mm += off(Size::step_diameter, i);
      if (i + 1 == b.steps.size())
        b.steps[i].length_mm = height;
      else
        height -= b.steps[i].length_mm += off(Size::step_length, i);
    }
    for (std::size_t i = 0; i < b.face_grooves.size(); ++i) {
      auto& g = b.face_grooves[i];
      g.inner_diameter_mm += off(Size::face_groove_inner, i);
      g.width_mm += off(Size::face_groove_width, i);
      g.depth_mm += off(Size::face_groove_depth, i);
    }
    for (std::size_t i = 0; i < b.radial_grooves.size(); ++i) {
      auto& g = b.radial_grooves[i];
      double z = 0;
      for (std::size_t k = 0; k < b.steps.size(); ++k) { // the step it is in, as drawn
        if (g.from_face_mm >= z && g.from_face_mm < z + spec_.task.body.steps[k].length_mm)
          g.depth_mm += off(Size::step_diameter, k) / 2;
        z += spec_.task.body.steps[k].length_mm;
      }
      g.depth_mm -= off(Size::radial_groove_floor, i) / 2;
      g.from_face_mm += off(Size::radial_groove_from_face, i);
      g.width_mm += off(Size::radial_groove_width, i);
    }
  }

  /// The plug stands on its seat, which is cut from the top face.
  void plug(const shapes::Insert& insert) {
    const double seat_off = off(Size::height) - off(Size::seat_below_top);
    task.plug.reach_mm += seat_off - off(Size::roof);
    // Where the seat was moved in to be flush with the top face.
    task.plug.reach_mm += insert.seat_z_mm - (insert.roof_z_mm + shapes::seat_above_roof_mm(spec_.task.plug));
    plug_end_off_mm_ = seat_off - off(Size::roof);
  }

  const Spec& spec_;
  std::span<const Limits> sizes_;
  std::span<const double> off_;
  double plug_end_off_mm_ = 0; ///< above the roof

public:
  solve::Task task;
  shapes::Dimensions<double> d;
};

class DrawnIn {
public:
  DrawnIn(const Spec& spec, const solve::Fit& fit, const shapes::Insert& insert)
      : spec_(spec), fit_(fit), insert_(insert), sizes_(usual_limits(spec, fit, insert)) {}

  InsertLimits limits() {
    why_.resize(sizes_.size());
    by_volume();
    InsertLimits out;
    if (!by_checks())
      out.nothing_left.push_back({{},
                                  "with all sizes at the worse of their limits at once a check of the shape may fail.",
                                  "keep near the nominal where the drawing gives limits of its own."});
    for (std::size_t i = 0; i < sizes_.size(); ++i)
      if (sizes_[i].upper_mm - sizes_[i].lower_mm < least_room_mm) out.nothing_left.push_back(nothing_left(i));
    out.sizes = std::move(sizes_);
    return out;
  }

private:
  double& side(std::size_t i, bool upper) { return upper ? sizes_[i].upper_mm : sizes_[i].lower_mm; }
  double deviation(std::size_t i, bool upper) const {
    return (upper ? sizes_[i].upper_mm : sizes_[i].lower_mm) - sizes_[i].nominal_mm;
  }
  void draw_in(std::size_t i, bool upper, double share, const std::string& key) {
    side(i, upper) = sizes_[i].nominal_mm + std::clamp(share, 0.0, 1.0) * deviation(i, upper);
    sizes_[i].grounds = shapes::Grounds::check;
    why_[i] = key;
  }

  /// One size alone must not use up the volume's tolerance; height and seat are one chain to the plug's end.
  void by_volume() {
    const double allowed = tolerance::cutting_volume_cc - std::abs(fit_.residual_cc);
    double plug_end = 0;
    for (std::size_t i = 0; i < sizes_.size(); ++i) {
      if (sizes_[i].size == Size::height || sizes_[i].size == Size::seat_below_top)
        plug_end += std::abs(change(i, deviation(i, true)));
    }
    for (std::size_t i = 0; i < sizes_.size(); ++i) {
      if (sizes_[i].size == Size::height || sizes_[i].size == Size::seat_below_top) {
        if (plug_end > allowed)
          for (const bool upper : {false, true}) draw_in(i, upper, allowed / plug_end, by_head_volume);
        continue;
      }
      double share = 1; // both sides alike
      for (const bool upper : {false, true})
        for (int round = 0; round < most_rounds; ++round) {
          const double cc = std::abs(change(i, share * deviation(i, upper)));
          if (cc <= allowed) break;
          share *= std::min(0.999, allowed / cc);
        }
      if (share < 1)
        for (const bool upper : {false, true}) draw_in(i, upper, share, by_head_volume);
    }
  }
  double change(std::size_t i, double off) const { return volume_change_cc(spec_, fit_, sizes_, i, off); }

  std::vector<Margin> margins(const std::vector<double>& off) const {
    return margins_of(spec_, fit_, insert_, sizes_, off);
  }

  /// A wall to a face that is no longer there has no end.
  static double value_in(const std::vector<Margin>& all, const Margin& of) {
    for (const auto& m : all)
      if (m.name == of.name) return m.value;
    return of.value;
  }

  /// What each may take at most, so that all together take no more than `sum`: the widest limits give way first.
  static double largest_share(std::vector<double> losses, double sum) {
    std::sort(losses.begin(), losses.end());
    for (std::size_t i = 0; i < losses.size(); ++i) {
      const double even = sum / static_cast<double>(losses.size() - i);
      if (losses[i] > even) return even;
      sum -= losses[i];
    }
    return losses.empty() ? 0 : losses.back();
  }

  /// All sizes at once, each on the side that the check likes least. False where no end is found.
  bool by_checks() {
    const std::vector<double> none(sizes_.size(), 0.0);
    const auto drawn = margins(none);
    for (int round = 0; round < most_rounds; ++round) {
      // What each check loses to each size on its worse side.
      std::vector<std::vector<double>> lost(drawn.size(), std::vector<double>(sizes_.size(), 0.0));
      std::vector<std::vector<bool>> upper(drawn.size(), std::vector<bool>(sizes_.size(), false));
      for (std::size_t i = 0; i < sizes_.size(); ++i)
        for (const bool up : {false, true}) {
          if (deviation(i, up) == 0) continue;
          auto off = none;
          off[i] = deviation(i, up);
          const auto m = margins(off);
          for (std::size_t c = 0; c < drawn.size(); ++c)
            if (const double loss = drawn[c].value - value_in(m, drawn[c]); loss > std::max(noise, lost[c][i]))
              lost[c][i] = loss, upper[c][i] = up;
        }
      bool done = true;
      for (std::size_t c = 0; c < drawn.size(); ++c) {
        auto off = none;
        for (std::size_t i = 0; i < sizes_.size(); ++i)
          if (lost[c][i] > 0) off[i] = deviation(i, upper[c][i]);
        const double has = std::max(0.0, drawn[c].value), loses = drawn[c].value - value_in(margins(off), drawn[c]);
        if (loses <= has + noise) continue;
        done = false;
        double all = 0;
        for (const double loss : lost[c]) all += loss;
        const double most = has > noise ? largest_share(lost[c], 0.999 * has / loses * all) : 0;
        for (std::size_t i = 0; i < sizes_.size(); ++i)
          if (lost[c][i] > most)
            draw_in(i, upper[c][i], most / lost[c][i], drawn[c].key.empty() ? drawn[c].name : drawn[c].key);
      }
      if (done) return true;
    }
    return false;
  }

  Problem nothing_left(std::size_t i) const {
    return {{},
            fmt::format("{}, {}, is left hardly any room between its limits.", words_for(sizes_[i], sizes_),
                        Words(spec_).length(sizes_[i].nominal_mm, true)),
            why_[i].empty() || why_[i] == by_head_volume
                ? std::string("cut it last, and let the burette decide.")
                : fmt::format("ease {}, so that the shape does not lean on it.", why_[i])};
  }

  const Spec& spec_;
  const solve::Fit& fit_;
  const shapes::Insert& insert_;
  std::vector<Limits> sizes_;
  std::vector<std::string> why_;
};

} // namespace

std::vector<Margin> margins_of(const Spec& spec, const solve::Fit& fit, const shapes::Insert& insert,
                               std::span<const Limits> sizes, std::span<const double> off) {
  return Part(spec, fit, insert, sizes, off).margins();
}

double volume_change_cc(const Spec& spec, const solve::Fit& fit, std::span<const Limits> sizes, std::size_t i,
                        double off) {
  const auto& f = spec.task.frame;
  const auto& l = sizes[i];
  switch (l.size) {
  case Size::mouth:
    return solve::head_cc(spec.task, moved(spec.task, fit.rounded, Mend::widen_mouth, off / 2)) -
           solve::head_cc(spec.task, fit.rounded);
  case Size::band: {
    // Only the band moves: at this gauge diameter by `off`, at the other by nothing, straight between and beyond.
    const auto* other = find(sizes, Size::band, 1 - l.index);
    const double low = fit.chamber.mouth.r, high = f.rim_radius;
    const auto moment = [](double r, double from) { return r * r * r / 3 - from * r * r / 2; };
    const double r0 = l.gauge_diameter_mm / 2, r1 = other ? other->gauge_diameter_mm / 2 : 0;
    const double area = other ? (moment(high, r1) - moment(low, r1)) / (r0 - r1) : (high * high - low * low) / 2;
    return 2 * units::pi * area * off / 1000;
  }
  case Size::rim:
    return units::pi * f.rim_radius * fit.chamber.band.start.z * off / 1000;
  case Size::pocket:
    return units::pi * f.pocket_radius * fit.rounded.pocket_depth * off / 1000;
  case Size::roof:
    return units::pi * f.pocket_radius * f.pocket_radius * off / 1000;
  case Size::height:
  case Size::seat_below_top: { // the plug's end goes with its seat; its thread by its mean flank
    const double d = shapes::pitch_diameter_mm(*shapes::find_thread(spec.task.plug.thread));
    return (l.size == Size::height ? 1 : -1) * units::pi / 4 * d * d * off / 1000;
  }
  default:
    return 0;
  }
}

InsertLimits limits_of(const Spec& spec, const solve::Fit& fit, const shapes::Insert& insert) {
  return DrawnIn(spec, fit, insert).limits();
}

} // namespace chamber::job
