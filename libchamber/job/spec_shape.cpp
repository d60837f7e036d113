#include "chamber/job/spec_sections.hpp"
#include <cmath>
#include <fmt/format.h>

namespace chamber::job {
namespace {

using units::Dimension;

/// How a dimension is read.
struct DimensionKey {
  std::string_view key;
  Dimension dimension;
  Range range;
  double grid;
};

DimensionKey key_of(std::size_t i) {
  const auto key = shapes::dimension_names[i];
  const Range range{solve::sensible[i].low, solve::sensible[i].high};
  if (key == "squish_angle") return {key, Dimension::angle, range, 0.25};
  return {key, Dimension::length, range, 0.05};
}

solve::Preference read_dimension(Section& shape, const DimensionKey& k) {
  solve::Preference p;
  p.grid = k.grid;
  if (shape.is_text(k.key)) { // one figure: it stays
    p.prefer = p.low = p.high = shape.need(k.key, k.dimension, k.range).value;
    return p;
  }
  auto s = shape.section(k.key, true);
  p.prefer = s.need("prefer", k.dimension, k.range).value;
  p.low = s.take("min", k.dimension, k.range, p.prefer);
  p.high = s.take("max", k.dimension, k.range, p.prefer);
  p.weight = s.take("weight", Dimension::ratio, {1e-3, 1e3}, 1);
  const double finest = k.dimension == Dimension::angle ? 0.01 : 0.001;
  p.grid = s.take("grid", k.dimension, {finest, 5}, k.grid);
  if (!(p.low <= p.prefer && p.prefer <= p.high) && std::isfinite(p.low + p.prefer + p.high))
    s.complain("prefer", fmt::format("{}.prefer does not lie between min and max.", s.path()),
               "order them: min <= prefer <= max.");
  p.scale_to_freedom();
  s.finish();
  return p;
}

void read_squish(Section s, Spec& spec, bool needed) {
  auto& f = spec.task.frame;
  static constexpr std::string_view bands[] = {"straight", "follow crown"};
  const Range clearance{0.3, 6};
  if (needed || s) spec.squish_clearance_mm = s.need("clearance", Dimension::length, clearance).value;
  f.follow_crown = s.word("band", bands, 0) == 1;
  f.bore_radius = spec.bore_mm / 2;
  f.rim_radius = s.take("rim_diameter", Dimension::length, {spec.bore_mm, spec.bore_mm + 10}, spec.bore_mm) / 2;
  f.rim_round = s.take("rim_round", Dimension::length, {0.05, 5}, 0.5);
  f.mouth_round = s.take("mouth_round", Dimension::length, {0.05, 10}, 0.8);
  if (f.follow_crown && spec.budget.crown.form == engine::Crown::Form::dished)
    s.complain("band", "a band cannot follow a dished crown.", "write band = \"straight\".");
  s.finish();
}

void read_shape(Section s, Spec& spec) {
  auto& t = spec.task;
  t.frame.family = static_cast<shapes::Family>(s.word("family", shapes::family_names, std::nullopt));
  const auto family = t.frame.family;
  std::vector<std::string_view> closers;
  std::vector<std::size_t> closer_index;
  for (std::size_t i = 0; i < shapes::dimension_count; ++i) {
    const auto k = key_of(i);
    if (!shapes::has_dimension(family, i)) {
      if (s.has(k.key))
        s.complain(
            k.key,
            fmt::format("a {} chamber has no {}: its depth follows from the radius.", shapes::name(family), k.key),
            "remove it.");
      continue;
    }
    t.preferences[i] = read_dimension(s, k);
    if (k.dimension == Dimension::length) {
      closers.push_back(k.key);
      closer_index.push_back(i);
    }
  }
  // By default the dimension the volume hangs on most.
  const std::size_t natural = shapes::has_dimension(family, 1) ? 1 : 0;
  t.closing = closer_index[s.word("close_with", closers, natural)];
  if (s && t.preferences[t.closing].high <= t.preferences[t.closing].low)
    s.complain("close_with",
               fmt::format("the volume is to be closed with {}, but that dimension is fixed.", key_of(t.closing).key),
               "give it min and max, or name another in close_with.");
  const bool wall = family != shapes::Family::spherical;
  if (wall) t.frame.draft_deg = s.take("draft", Dimension::angle, {0, 40}, 5);
  if (family == shapes::Family::two_radius)
    t.frame.wall_radius = s.need("wall_radius", Dimension::length, {0.5, 60}).value;
  if (family == shapes::Family::toroidal) {
    t.frame.boss_drop = s.need("boss_drop", Dimension::length, {0.2, 40}).value;
    t.frame.boss_round = s.take("boss_round", Dimension::length, {0.05, 10}, 1);
  }
  s.finish();
}

void read_limits(Section s, Spec& spec) {
  auto& l = spec.task.limits;
  l.squish_area_min = s.take("squish_area_min", Dimension::ratio, {0, 0.9}, 0);
  l.squish_area_max = s.take("squish_area_max", Dimension::ratio, {0.05, 1}, 1);
  l.gap_min_mm = s.take("gap_min", Dimension::length, {0.05, 5}, 0);
  const auto fastest = s.maybe("gap_velocity_max", Dimension::velocity, {1, 200});
  l.gap_velocity_max_m_s = fastest ? fastest->value : 1e9;
  if (fastest) spec.velocity_unit = fastest->unit;
  l.wall_min_mm = s.take("wall_min", Dimension::length, {0.5, 50}, 5);
  l.groove_wall_min_mm = s.take("groove_wall_min", Dimension::length, {0.3, 50}, 1.5);
  l.plug_to_crown_min_mm = s.take("plug_to_crown_min", Dimension::length, {0.5, 60}, 6);
  if (l.squish_area_min > l.squish_area_max)
    s.complain("squish_area_min", "limits.squish_area_min is above squish_area_max.", "order them.");
  if (s.has("gap_velocity_max") && spec.peak_rpm == 0)
    s.complain("gap_velocity_max", "a gap velocity limit needs the speed of peak power.", "add engine.peak_power.");
  s.finish();
}

} // namespace

void read_squish_section(Section& root, Spec& spec, bool needed) {
  read_squish(root.section("squish", needed), spec, needed);
}

void read_shape_sections(Section& root, Spec& spec) {
  read_shape(root.section("shape", true), spec);
  read_limits(root.section("limits", false), spec);
}

} // namespace chamber::job
