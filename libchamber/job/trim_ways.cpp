// The ways to mend, each worked out on the design's own profile and judged by the spec's limits.
#include "chamber/job/trim_parts.hpp"
#include "chamber/job/words.hpp"
#include "chamber/profile/integrals.hpp"
#include "chamber/profile/rise.hpp"
#include "chamber/solve/appraise.hpp"
#include "chamber/turning/plan_trim.hpp"
#include "chamber/units/quantity.hpp"
#include "chamber/units/tolerance.hpp"
#include <fmt/format.h>

namespace chamber::job {
namespace {

using profile::ChainView;
using shapes::Dimensions;
using units::fixed;

constexpr double grid_mm = tolerance::coordinate_mm;
constexpr double most_mm = 10;          ///< of any trim: more is another insert
constexpr double most_bare_mm = 0.5;    ///< of plug thread bared in the pocket (common practice, no source)
constexpr double least_gasket_mm = 0.2; ///< thinnest that is cut from sheet (common practice, no source)

double volume_cc(ChainView chain) {
  return profile::swept_volume(chain) / 1000;
}

/// Which dimension a way moves, and which way.
struct Handle {
  std::size_t index;
  double sign;
};

Handle handle_of(Mend mend, shapes::Family family) {
  switch (mend) {
  case Mend::widen_mouth:
    return {2, -1};
  case Mend::deepen_pocket:
    return {4, 1};
  default:
    return shapes::has_dimension(family, 1) ? Handle{1, 1.0} : Handle{0, -1.0};
  }
}

} // namespace

Dimensions<double> moved(const solve::Task& task, const Dimensions<double>& d, Mend mend, double by) {
  const auto& f = task.frame;
  const auto before = shapes::build(f, d, false);
  auto out = d;
  const auto h = handle_of(mend, f.family);
  shapes::at(out, h.index) += h.sign * by;
  if (mend == Mend::deepen_pocket) return out;
  if (mend == Mend::widen_mouth) {
    if (f.follow_crown && f.crown_radius > 0) {
      const double mid = f.bore_radius - out.squish_width / 2;
      out.squish_angle_deg = units::degrees(std::asin(mid / before.band.radius) - std::asin(mid / f.crown_radius));
    }
    if (shapes::has_dimension(f.family, 1)) out.bowl_depth += before.mouth.z - shapes::build(f, out, false).mouth.z;
  }
  out.pocket_depth += before.roof_z - shapes::build(f, out, false).roof_z;
  return out;
}

namespace {

/// What the seated plug takes of a pocket deepened by this much: it stays where it is, its thread by its mean flank.
double plug_in_pocket_cc(const Spec& spec, double deeper_mm) {
  const auto* t = shapes::find_thread(spec.task.plug.thread);
  const double d = shapes::pitch_diameter_mm(*t);
  return units::pi / 4 * d * d * deeper_mm / 1000;
}

struct Built {
  shapes::Chamber<double> chamber;
  double cc = 0; ///< plug fitted where it sits
  shapes::Room<double> room;
};

Built build(const Spec& spec, const solve::Fit& fit, Mend mend, double by) {
  Built b;
  b.chamber = shapes::build(spec.task.frame, moved(spec.task, fit.rounded, mend, by));
  b.cc = volume_cc(ChainView(b.chamber.chain.begin(), b.chamber.chain.size()));
  if (mend == Mend::deepen_pocket) b.cc -= plug_in_pocket_cc(spec, by);
  b.room = shapes::tightest(b.chamber);
  return b;
}

/// Largest move on the grid that can be built.
double most_built(const Spec& spec, const solve::Fit& fit, Mend mend) {
  double low = 0, high = most_mm;
  if (build(spec, fit, mend, high).room.room >= 0) return high;
  while (high - low > grid_mm / 4) {
    const double mid = (low + high) / 2;
    (build(spec, fit, mend, mid).room.room >= 0 ? low : high) = mid;
  }
  return std::floor(low / grid_mm) * grid_mm;
}

/// The move on the grid that holds the volume best; empty if none reaches it.
std::optional<double> move_for(const Spec& spec, const solve::Fit& fit, Mend mend, double cc, double most) {
  if (build(spec, fit, mend, most).cc < cc - tolerance::volume_cc) return std::nullopt;
  double low = 0, high = most;
  for (int i = 0; i < 60; ++i) {
    const double mid = (low + high) / 2;
    (build(spec, fit, mend, mid).cc < cc ? low : high) = mid;
  }
  return std::max(grid_mm, std::min(most, std::round(low / grid_mm) * grid_mm));
}

void judge(const Words& words, MendWay& w, const solve::Appraisal& a) {
  for (const auto& c : a.checks)
    if (!c.ok)
      w.against.push_back(
          fmt::format("{} {}, {} {}", c.name, words.value(c), c.minimum ? "at least" : "at most", words.limit(c)));
  w.checks = a.checks;
}

double top_of(const shapes::Chamber<double>& c) {
  return c.bowl_top_z;
}

/// How far the way goes, in its own measure.
double amount_of(Mend mend, double by, const shapes::Chamber<double>& now, const shapes::Chamber<double>& before) {
  return mend == Mend::deepen_bowl ? top_of(now) - top_of(before) : by;
}

void note_effects(const Spec& spec, const solve::Fit& fit, MendWay& w, double by) {
  const auto& c = fit.chamber;
  const Words words(spec);
  const auto length = [&](double mm) { return words.length(mm, true); };
  switch (w.mend) {
  case Mend::deepen_bowl:
    w.notes.push_back("Squish band and plug stay as they are; the mouth's round hardly moves.");
    break;
  case Mend::widen_mouth:
    w.notes.push_back("The squish band gets narrower, and the gas leaves it more slowly.");
    break;
  case Mend::deepen_pocket:
    w.notes.push_back(
        fmt::format("The plug's seat stays, so its end does: {} of its thread stand bare in the pocket, and only "
                    "the ring round the plug counts ({} cc of the deeper pocket are thread).",
                    length(by), fixed(w.plug_cc, 3)));
    if (by > most_bare_mm)
      w.against.push_back(fmt::format("bare plug thread {}, at most {} (common practice): it glows and soots up",
                                      length(by), words.length(most_bare_mm)));
    break;
  default:
    break;
  }
  if (w.mend != Mend::deepen_pocket)
    w.notes.push_back(
        fmt::format("The pocket's roof stays {} above the face, flush with the plug's end.", length(c.roof_z)));
  const auto h = handle_of(w.mend, spec.task.frame.family);
  const auto& p = spec.task.preferences[h.index];
  if (p.high <= p.low)
    w.against.push_back(fmt::format("shape.{} is fixed at {}", shapes::dimension_names[h.index], length(p.low)));
  else if (w.to < p.low - 1e-9 || w.to > p.high + 1e-9)
    w.against.push_back(fmt::format("shape.{} {}, from {} to {}", shapes::dimension_names[h.index], length(w.to),
                                    words.figure(p.low, true), length(p.high)));
}

MendWay cutting(const Spec& spec, const solve::Fit& fit, Mend mend, double error_cc) {
  const Words words(spec);
  MendWay w;
  w.mend = mend;
  const auto h = handle_of(mend, spec.task.frame.family);
  w.dimension = shapes::dimension_names[h.index];
  w.from = shapes::at(fit.rounded, h.index);
  const auto before = build(spec, fit, mend, 0);
  const double wanted = before.cc - error_cc, most = most_built(spec, fit, mend);
  const auto by = most > 0 ? move_for(spec, fit, mend, wanted, most) : std::nullopt;
  if (!by) {
    const double gives = most > 0 ? build(spec, fit, mend, most).cc - before.cc : 0;
    w.impossible = fmt::format("it gives {} cc at most{}", fixed(gives, 3),
                               most < most_mm - grid_mm
                                   ? fmt::format(", limited by: {}", build(spec, fit, mend, most + grid_mm).room.what)
                                   : fmt::format(" within {}", words.length(most_mm)));
    return w;
  }
  const auto after = build(spec, fit, mend, *by);
  w.to = w.from + h.sign * *by;
  w.chamber = shapes::chain_of(after.chamber);
  for (const auto role : after.chamber.roles) w.roles.emplace_back(shapes::name(role));
  const auto rise = profile::rise_over(w.chamber, shapes::chain_of(fit.chamber));
  if (rise.least < -tolerance::point_mm) {
    w.impossible = fmt::format("metal would have to be put back at radius {}", words.length(rise.least_r));
    return w;
  }
  w.amount_mm = amount_of(mend, *by, after.chamber, before.chamber);
  w.cc_per_tenth_mm = (after.cc - before.cc) / w.amount_mm / 10;
  auto task = spec.task;
  if (mend == Mend::deepen_pocket) {
    w.plug_cc = plug_in_pocket_cc(spec, *by);
    task.plug.reach_mm -= *by; // its seat stands still while the roof goes up
  }
  const auto a = appraise_mend(spec, task, w.chamber, error_cc - w.plug_cc, mend == Mend::deepen_pocket ? *by : 0);
  w.after = a.figures;
  judge(words, w, a.appraisal);
  note_effects(spec, fit, w, *by);
  return w;
}

void note_facing(const Spec& spec, const solve::Fit& fit, MendWay& w) {
  const double t = w.amount_mm;
  const Words words(spec);
  const auto length = [&](double mm) { return words.length(mm, true); };
  double height = 0;
  for (const auto& s : spec.task.body.steps) height += s.length_mm;
  w.notes.push_back(fmt::format("The whole band comes nearer to the piston by {}; the insert is {} high.", length(t),
                                length(height - t)));
  const auto& rim = fit.chamber.chain[0];
  if (fit.chamber.roles[0] == shapes::Role::rim_wall && t > rim.end.z)
    w.notes.push_back(fmt::format("The recess's straight wall is only {}: its round is cut into.", length(rim.end.z)));
  for (const auto& g : spec.task.body.face_grooves) {
    const double depth = g.depth_mm - t;
    std::string note = fmt::format("The face groove becomes {} deep ({} now)", length(depth), length(g.depth_mm));
    for (const auto& o : spec.o_rings) {
      if (o.groove.find("face_groove") == std::string::npos ||
          std::abs(o.section_mm * (1 - o.squeeze) - g.depth_mm) > 1e-6)
        continue;
      const double fill = o.fill * g.depth_mm / depth, squeeze = 1 - depth / o.section_mm;
      note += fmt::format("; the O-ring is squeezed by {} % ({} % now) and fills {} %", fixed(100 * squeeze, 1),
                          fixed(100 * o.squeeze, 1), fixed(100 * fill, 0));
      if (!(fill <= shapes::most_fill))
        w.against.push_back(
            fmt::format("O-ring fill {} %, at most {} %", fixed(100 * fill, 0), fixed(100 * shapes::most_fill, 0)));
      for (const auto& size : shapes::o_ring_sizes())
        if (std::abs(size.section_mm - o.section_mm) < 1e-9 && depth < size.depth_low_mm - 1e-9)
          note +=
              fmt::format(". CAUTION: shallower than the {} its maker's handbook asks for; deepen it by {} afterwards",
                          length(size.depth_low_mm), length(g.depth_mm - depth));
    }
    if (depth < 0.2) w.against.push_back("the face groove is all but gone");
    w.notes.push_back(note + ".");
  }
}

} // namespace

std::string_view name(Mend mend) {
  static constexpr std::string_view names[] = {"face the sealing face", "deepen the bowl", "widen the mouth",
                                               "deepen the pocket"};
  return names[static_cast<std::size_t>(mend)];
}

std::string_view key(Mend mend) {
  static constexpr std::string_view keys[] = {"face", "deepen_bowl", "widen_mouth", "deepen_pocket"};
  return keys[static_cast<std::size_t>(mend)];
}

std::string_view key(Verdict verdict) {
  static constexpr std::string_view keys[] = {"leave", "mend", "gasket", "no_way"};
  return keys[static_cast<std::size_t>(verdict)];
}

MendAppraisal appraise_mend(const Spec& spec, const solve::Task& task, profile::ChainView chain, double more_cc,
                            double plug_back_mm) {
  MendAppraisal out;
  auto& a = out.appraisal;
  a = solve::appraise(chain, task);
  auto& f = out.figures;
  f.head_cc = a.head_cc + more_cc;
  f.clearance_cc = task.budget.clearance_from_head_cc(f.head_cc);
  f.trapped_ratio = engine::compression_ratio(spec.trapped_swept_cc(), f.clearance_cc);
  f.full_ratio = engine::compression_ratio(spec.swept_cc(), f.clearance_cc);
  f.plug_to_crown_mm = a.plug_to_crown_mm - plug_back_mm;
  for (auto& c : a.checks)
    if (c.key == "limits.plug_to_crown_min") {
      c.value -= plug_back_mm;
      c.ok = c.value >= c.limit - 1e-6;
    }
  f.wall_mm = a.smallest_wall_mm;
  if (!a.features.band) return out;
  f.squish_gap_mm = a.smallest_gap.gap_mm;
  f.mouth_gap_mm = a.split.mouth_gap_mm;
  if (!a.peak) return out;
  a.split.bowl_volume_mm3 += more_cc * 1000;
  a.peak = engine::peak_gap_velocity(a.split, task.crank, task.peak_rpm);
  f.gap_velocity_m_s = a.peak->velocity_m_s;
  for (auto& c : a.checks)
    if (c.key == "limits.gap_velocity_max") {
      c.value = a.peak->velocity_m_s;
      c.ok = c.value <= c.limit + 1e-6;
    }
  return out;
}

MendWay facing(const Spec& spec, const solve::Fit& fit, double t, double error_cc) {
  MendWay w;
  w.mend = Mend::face;
  w.amount_mm = t;
  const auto before = shapes::chain_of(fit.chamber);
  w.chamber = turning::faced(before, t);
  if (w.chamber.empty()) {
    w.impossible = "nothing of the chamber would be left";
    return w;
  }
  w.cc_per_tenth_mm = (volume_cc(w.chamber) - volume_cc(before)) / t / 10;
  auto task = spec.task;
  auto& body = task.body;
  if (!body.steps.empty()) body.steps.front().length_mm -= t;
  for (auto& g : body.face_grooves) g.depth_mm = std::max(0.0, g.depth_mm - t);
  for (auto& g : body.radial_grooves) g.from_face_mm -= t;
  const auto seen = appraise_mend(spec, task, profile::transformed(w.chamber, 1, -t), error_cc);
  w.after = seen.figures;
  judge(Words(spec), w, seen.appraisal);
  note_facing(spec, fit, w);
  return w;
}

double face_for(const solve::Fit& fit, double error_cc) {
  const auto chain = shapes::chain_of(fit.chamber);
  const double wanted = volume_cc(chain) - error_cc;
  double low = 0, high = std::min(most_mm, profile::bounding_box(chain).z_max - 0.1);
  for (int i = 0; i < 60; ++i) {
    const double mid = (low + high) / 2;
    (volume_cc(turning::faced(chain, mid)) > wanted ? low : high) = mid;
  }
  return std::max(grid_mm, std::round(low / grid_mm) * grid_mm);
}

double most_facing(const Spec& spec, const solve::Fit& fit, double error_cc) {
  double low = 0, high = 3;
  if (spec.task.body.steps.empty()) return 0;
  high = std::min(high, spec.task.body.steps.front().length_mm - 2 * spec.task.body.edge_break_mm - 0.5);
  for (int i = 0; i < 14 && high > low; ++i) {
    const double mid = (low + high) / 2;
    (facing(spec, fit, mid, error_cc).allowed() ? low : high) = mid;
  }
  return std::floor(low / grid_mm) * grid_mm;
}

std::vector<MendWay> ways_to_mend(const Spec& spec, const solve::Fit& fit, double error_cc) {
  if (error_cc > 0) return {facing(spec, fit, face_for(fit, error_cc), error_cc)};
  std::vector<MendWay> out;
  for (const auto mend : {Mend::deepen_bowl, Mend::widen_mouth, Mend::deepen_pocket})
    out.push_back(cutting(spec, fit, mend, error_cc));
  return out;
}

std::optional<OtherGasket> other_gasket(const Spec& spec, const solve::Fit& fit, double error_cc) {
  const auto& b = spec.task.budget;
  if (!(b.gasket_thickness_mm > 0)) return std::nullopt;
  const Words words(spec);
  OtherGasket g;
  g.from_mm = b.gasket_thickness_mm;
  g.to_mm =
      std::round((g.from_mm - error_cc * 1000 / (units::pi / 4 * b.gasket_bore_mm * b.gasket_bore_mm)) * 100) / 100;
  if (g.to_mm < least_gasket_mm)
    g.against.push_back(fmt::format("gasket thickness {}, at least {} (common practice)", words.length(g.to_mm),
                                    words.length(least_gasket_mm)));
  auto task = spec.task;
  task.budget.gasket_thickness_mm = std::max(0.0, g.to_mm);
  const auto a = appraise_mend(spec, task, shapes::chain_of(fit.chamber), error_cc);
  g.after = a.figures;
  MendWay judged;
  judge(words, judged, a.appraisal);
  g.against.insert(g.against.end(), judged.against.begin(), judged.against.end());
  return g;
}

} // namespace chamber::job
