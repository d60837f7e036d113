#pragma once
// An invented 250 single, one task a family.
#include "chamber/solve/fit.hpp"

namespace chamber::solve::samples {

inline Task task(shapes::Family family) {
  Task t;
  auto& f = t.frame;
  f.family = family;
  f.bore_radius = f.rim_radius = 33.2;
  f.edge_height = 0.8;
  f.rim_round = 0.6;
  f.mouth_round = 0.8;
  f.pocket_radius = 7.5;
  f.pocket_edge = 0.3;
  f.pocket_corner = 0.6;
  f.draft_deg = 8;
  f.wall_radius = 7;
  f.boss_drop = 2;
  f.boss_round = 1;
  // Angles open the flat band over the domed crown below.
  const Preference depth{12, 7, 20, 1, 6.5, 0.05}, width{9, 7, 12, 1, 2.5, 0.05}, angle{9, 7, 12, 1, 2.5, 0.25},
      pocket{2, 1, 4, 1, 1.5, 0.05};
  const Preference radius[] = {
      {28, 24, 60, 1, 18, 0.05}, {6, 3, 8, 1, 2.5, 0.05}, {6, 5, 7, 1, 1, 0.05}, {30, 22, 60, 1, 19, 0.05}};
  t.preferences = {radius[static_cast<std::size_t>(family)], depth, width, angle, pocket};
  t.closing = shapes::has_dimension(family, 1) ? 1 : 0;
  t.limits.squish_area_min = 0.40;
  t.limits.squish_area_max = 0.55;
  t.limits.gap_min_mm = 0.9;
  t.limits.gap_velocity_max_m_s = 45;
  t.limits.wall_min_mm = 5;
  t.limits.groove_wall_min_mm = 1.5;
  t.limits.plug_to_crown_min_mm = 7;
  t.budget.bore_mm = 66.4;
  t.budget.deck_mm = 0.3;
  t.budget.crown = engine::crown_from_radius(engine::Crown::Form::domed, 66.4, 180);
  t.crank = {72, 130};
  t.peak_rpm = 9000;
  t.body.steps = {{92, 7}, {78, 18}, {44, 14}};
  t.body.face_grooves = {{71, 3.5, 2}};
  t.body.radial_grooves = {{12, 3.5, 2}};
  t.body.edge_break_mm = 0.3;
  t.plug = {"M14x1.25", 14, 1.25, 19, 1.45, 26};
  t.head_cc = 24;
  return t;
}

inline constexpr shapes::Family families[] = {shapes::Family::spherical, shapes::Family::flat_roof,
                                              shapes::Family::toroidal, shapes::Family::two_radius};

} // namespace chamber::solve::samples
