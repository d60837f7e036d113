#include "chamber/solve/evaluate.hpp"
#include "chamber/profile/distance.hpp"
#include "chamber/profile/fillet.hpp"

namespace chamber::solve {
namespace {

using profile::plain;
using shapes::Chamber;
using shapes::Dimensions;

constexpr double pi = 3.14159265358979323846;

double number(double x) {
  return x;
}
double number(const Dual& x) {
  return x.value();
}

template <class T>
Chamber<double> plain_copy(const Chamber<T>& c) {
  if constexpr (std::is_same_v<T, double>) {
    return c;
  } else {
    Chamber<double> out;
    const auto p = [](const auto& q) { return profile::P{plain(q.r), plain(q.z)}; };
    for (const auto& s : c.chain) out.chain.push({s.kind, p(s.start), p(s.end), p(s.centre), plain(s.radius)});
    out.roles = c.roles;
    out.roof_z = plain(c.roof_z);
    return out;
  }
}

/// Space over the piston at top dead centre, split at the mouth.
template <class T>
engine::SplitOf<T> split_of(const Task& task, const Chamber<T>& c, const T& head_mm3) {
  const auto& b = task.budget;
  const double a = b.bore_mm / 2;
  const T rm = c.mouth.r;
  // Under the band from the bore to the mouth: by parts, pi a^2 z_edge - pi r_m^2 z_m plus what the band sweeps.
  auto band = c.band;
  band.start = {T(a), T(task.frame.edge_height)};
  const T under_band = T(pi * a * a * task.frame.edge_height) - rm * rm * c.mouth.z * pi + profile::swept_volume(band);
  const T crown = engine::crown_volume_outside_mm3(b.crown, b.bore_mm, rm);
  const T space = (T(a * a) - rm * rm) * (pi * b.edge_below_face_mm());
  engine::SplitOf<T> s;
  s.bore_mm = b.bore_mm;
  s.mouth_radius_mm = rm;
  s.band_volume_mm3 = under_band - crown + space;
  s.bowl_volume_mm3 = head_mm3 + (b.gasket_cc() + b.deck_cc() - b.crown.volume_cc) * 1000 - s.band_volume_mm3;
  s.mouth_gap_mm = c.mouth.z + b.edge_below_face_mm() - engine::crown_height_at_mm(b.crown, b.bore_mm, rm);
  return s;
}

/// Smallest gap between band and crown along the stroke. Between the ends it can only lie where a straight band and
/// a domed crown run parallel.
template <class T>
T smallest_gap(const Task& task, const Chamber<T>& c, const engine::SplitOf<T>& split) {
  const auto& b = task.budget;
  const double edge = task.frame.edge_height + b.edge_below_face_mm();
  T gap = plain(split.mouth_gap_mm) < edge ? split.mouth_gap_mm : T(edge);
  if (c.band.is_arc() || b.crown.form != engine::Crown::Form::domed) return gap;
  const auto t = profile::unit(c.band.end - c.band.start);
  const T r = t.z * b.crown.sphere_radius_mm; // crown slope equals band slope
  if (plain(r) <= plain(c.mouth.r) || plain(r) >= b.bore_mm / 2) return gap;
  const T z = c.band.start.z + (r - c.band.start.r) * T(t.z / t.r);
  return T(z + b.edge_below_face_mm() - engine::crown_height_at_mm(b.crown, b.bore_mm, r));
}

/// The wall's length with its slope: the body's point stands still (or moves with the roof), the chamber's moves.
template <class T>
T wall_value(const Wall& w, const Chamber<T>& c) {
  if constexpr (std::is_same_v<T, double>) {
    return w.distance_mm;
  } else {
    profile::Point<T> q{T(w.on_body.r), T(w.on_body.z)};
    if (w.moves_with_roof) q.z = c.roof_z + (w.on_body.z - plain(c.roof_z));
    const auto& s = c.chain[w.chamber_segment];
    const auto apart = [](const profile::P& a, const auto& b) {
      return std::hypot(a.r - plain(b.r), a.z - plain(b.z));
    };
    if (w.distance_mm < 1e-6) return T(w.distance_mm);
    if (apart(w.on_chamber, s.start) < 1e-6) return profile::length(q - s.start);
    if (apart(w.on_chamber, s.end) < 1e-6) return profile::length(q - s.end);
    if (s.is_arc()) {
      const T away = profile::length(q - s.centre);
      return plain(away) > plain(s.radius) ? T(away - s.radius) : T(s.radius - away);
    }
    const T side = profile::cross(profile::unit(s.end - s.start), q - s.start);
    return plain(side) < 0 ? T(-side) : side;
  }
}

template <class T>
void add_user_limits(const Task& task, Evaluation<T>& e, Watch watch) {
  const auto& l = task.limits;
  const auto& c = e.chamber;
  const auto& b = task.budget;
  const T k = e.split.mouth_radius_mm * (2 / b.bore_mm);
  const T area = T(1.0) - k * k;
  e.add(
      {"squish area ratio, least", "limits.squish_area_min", "%", T(area * 100.0), l.squish_area_min * 100, true, 10});
  e.add(
      {"squish area ratio, most", "limits.squish_area_max", "%", T(area * 100.0), l.squish_area_max * 100, false, 10});
  e.add({"smallest squish gap", "limits.gap_min", "mm", smallest_gap(task, c, e.split), l.gap_min_mm, true, 1});
  const T crown_top = T(b.crown.form == engine::Crown::Form::domed ? b.crown.height_mm : 0.0);
  e.add({"plug end to crown", "limits.plug_to_crown_min", "mm", T(c.roof_z + b.edge_below_face_mm() - crown_top),
         l.plug_to_crown_min_mm, true, 10});
  double height = 0;
  for (const auto& s : task.body.steps) height += s.length_mm;
  e.add({"plug seat below the top face", "", "mm", T(T(height) - c.roof_z - shapes::seat_above_roof_mm(task.plug)), 0,
         true, 10});
  if (watch.velocity && task.peak_rpm > 0) {
    engine::Split s{b.bore_mm, plain(e.split.mouth_radius_mm), plain(e.split.band_volume_mm3),
                    plain(e.split.bowl_volume_mm3), plain(e.split.mouth_gap_mm)};
    const auto peak = engine::peak_gap_velocity(s, task.crank, task.peak_rpm);
    // At the peak the angle's own slope is nil, so the angle may stand still.
    const T v = engine::gap_velocity_m_s(e.split, engine::piston_travel_mm(task.crank, peak.before_tdc_deg),
                                         engine::piston_speed_m_s(task.crank, peak.before_tdc_deg, task.peak_rpm));
    e.add({"peak gap velocity", "limits.gap_velocity_max", "m/s", v, l.gap_velocity_max_m_s, false, 10});
  }
}

std::string_view wall_group(const std::string& face) {
  if (face.starts_with("face groove") || face.starts_with("radial groove")) return face;
  if (face.starts_with("plug seat")) return "plug seat";
  return "outside";
}

} // namespace

namespace {

/// How far two boxes are apart, no more than what is in them.
double apart(const profile::Box& a, const profile::Box& b) {
  const double r = std::max({0.0, a.r_min - b.r_max, b.r_min - a.r_max});
  const double z = std::max({0.0, a.z_min - b.z_max, b.z_min - a.z_max});
  return std::hypot(r, z);
}

std::vector<Wall> walls_to(const std::vector<shapes::NamedSegment>& faces, profile::ChainView chain, bool boxes) {
  // These two are always listed, so that every point of the search has the same limits.
  std::vector<Wall> out{{"outside", 1e9, 0, {}, {}, false}, {"plug seat", 1e9, 0, {}, {}, true}};
  // Names outlive the faces: groups are string literals or taken from this fixed list.
  static constexpr std::string_view grooves[] = {"face groove",     "face groove 1",   "face groove 2",
                                                 "face groove 3",   "radial groove",   "radial groove 1",
                                                 "radial groove 2", "radial groove 3", "radial groove 4"};
  std::vector<profile::Box> around;
  if (boxes)
    for (std::size_t i = 0; i < chain.size(); ++i) around.push_back(profile::bounding_box(chain.subspan(i, 1)));
  for (const auto& f : faces) {
    auto group = wall_group(f.face);
    for (const auto g : grooves)
      if (g == group) group = g;
    auto it = std::find_if(out.begin(), out.end(), [&](const Wall& w) { return w.name == group; });
    if (it == out.end()) it = out.insert(out.end(), Wall{group, 1e9, 0, {}, {}, false});
    const auto box = profile::bounding_box(profile::ChainView(&f.segment, 1));
    for (std::size_t i = 0; i < chain.size(); ++i) {
      if (boxes && apart(around[i], box) >= it->distance_mm) continue;
      if (const auto n = profile::nearest(chain[i], f.segment); n.distance < it->distance_mm) {
        it->distance_mm = n.distance;
        it->chamber_segment = i;
        it->on_chamber = n.a;
        it->on_body = n.b;
      }
    }
  }
  return out;
}

} // namespace

std::vector<Wall> walls(const Task& task, const Chamber<double>& chamber) {
  const auto faces = shapes::outside_faces(task.body, task.plug, task.frame.rim_radius, chamber.roof_z);
  return walls_to(faces, profile::ChainView(chamber.chain.begin(), chamber.chain.size()), false);
}

std::vector<Wall> walls(const shapes::BodySpec& body, const shapes::Plug& plug, profile::ChainView chain) {
  const auto faces = shapes::outside_faces(body, plug, chain.front().start.r, chain.back().end.z);
  return walls_to(faces, chain, true);
}

template <class T>
Evaluation<T> evaluate(const Task& task, const Dimensions<T>& d, Watch watch) {
  Evaluation<T> e;
  e.chamber = shapes::build(task.frame, d);
  e.volume_mm3 = profile::swept_volume(std::span<const profile::Segment<T>>(e.chamber.chain));
  e.split = split_of(task, e.chamber, e.volume_mm3);
  for (std::size_t i = 0; i < e.chamber.room_count; ++i)
    e.add({e.chamber.rooms[i].what, "", "mm", e.chamber.rooms[i].room, 0, true, 1});
  add_user_limits(task, e, watch);
  if (watch.walls)
    for (const auto& w : walls(task, plain_copy(e.chamber))) {
      const bool groove = w.name.find("groove") != std::string_view::npos;
      e.add({w.name, groove ? "limits.groove_wall_min" : "limits.wall_min", "mm", wall_value(w, e.chamber),
             groove ? task.limits.groove_wall_min_mm : task.limits.wall_min_mm, true, 5});
    }
  for (std::size_t i = 0; i < e.count; ++i)
    if (!std::isfinite(number(e.limits[i].value))) e.limits[i].value = T(e.limits[i].minimum ? -1e6 : 1e6);
  return e;
}

template Evaluation<double> evaluate(const Task&, const Dimensions<double>&, Watch);
template Evaluation<Dual> evaluate(const Task&, const Dimensions<Dual>&, Watch);

Dimensions<Dual> seeded(const Dimensions<double>& d) {
  Dimensions<Dual> out;
  for (std::size_t i = 0; i < shapes::dimension_count; ++i)
    shapes::at(out, i) = Dual(shapes::at(d, i), static_cast<int>(shapes::dimension_count), static_cast<int>(i));
  return out;
}

[[gnu::flatten]] double volume_with_gradient(const shapes::Frame& frame, const Dimensions<double>& d, double* slope) {
  const auto chamber = shapes::build(frame, seeded(d), false);
  const Dual v = profile::swept_volume(std::span<const profile::Segment<Dual>>(chamber.chain));
  std::copy_n(v.derivatives().data(), shapes::dimension_count, slope);
  return v.value();
}

double head_cc(const Task& task, const Dimensions<double>& d) {
  const auto c = shapes::build(task.frame, d, false);
  return profile::swept_volume(std::span<const profile::S>(c.chain)) / 1000;
}

} // namespace chamber::solve
