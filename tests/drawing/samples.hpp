#pragma once
// Random whole inserts of every family, with invented dimensions, as the drawing's input.
#include "chamber/drawing/sheet.hpp"
#include <random>

namespace chamber::drawing::testing {

/// Invented limits: of a ring's groove always, of other sizes by lot.
inline void add_limits(SheetInput& s, std::mt19937& engine) {
  using shapes::Size;
  const auto off = [&] { return std::uniform_int_distribution<>(0, 30)(engine) / 100.0; };
  const auto add = [&](Size size, std::size_t i, double mm, double gauge_mm = 0) {
    const double down = off(), up = engine() % 2 ? down : off();
    const bool groove = size == Size::face_groove_width || size == Size::face_groove_depth ||
                        size == Size::radial_groove_width || size == Size::radial_groove_floor;
    const auto usual = groove             ? shapes::Grounds::gland
                       : size < Size::rim ? shapes::Grounds::general
                                          : shapes::Grounds::profile;
    s.limits.push_back({size, i, mm, mm - down, mm + up, engine() % 4 ? usual : shapes::Grounds::check, gauge_mm});
  };
  const auto& b = s.body;
  for (std::size_t i = 0; i < b.steps.size(); ++i) {
    add(Size::step_diameter, i, b.steps[i].diameter_mm);
    if (i + 1 < b.steps.size()) add(Size::step_length, i, b.steps[i].length_mm);
  }
  add(Size::height, 0, s.insert.height_mm);
  for (std::size_t i = 0; i < b.face_grooves.size(); ++i) {
    add(Size::face_groove_inner, i, b.face_grooves[i].inner_diameter_mm);
    add(Size::face_groove_width, i, b.face_grooves[i].width_mm);
    add(Size::face_groove_depth, i, b.face_grooves[i].depth_mm);
  }
  for (std::size_t i = 0; i < b.radial_grooves.size(); ++i) {
    const auto& g = b.radial_grooves[i];
    double r = 0, z = 0;
    for (const auto& step : b.steps) {
      if (g.from_face_mm >= z) r = step.diameter_mm / 2;
      z += step.length_mm;
    }
    add(Size::radial_groove_from_face, i, g.from_face_mm);
    add(Size::radial_groove_width, i, g.width_mm);
    add(Size::radial_groove_floor, i, 2 * (r - g.depth_mm));
    if (i < s.radial_rings.size()) continue;
    s.radial_rings.push_back("O-ring 0.103 in");
  }
  add(Size::seat_below_top, 0, s.insert.height_mm - s.insert.seat_z_mm);
  add(Size::rim, 0, 2 * s.frame.rim_radius);
  add(Size::mouth, 0, 2 * s.chamber.mouth.r);
  add(Size::pocket, 0, 2 * s.frame.pocket_radius);
  add(Size::roof, 0, s.chamber.roof_z);
  for (std::size_t i = 0; i < s.chamber.chain.size(); ++i)
    if (s.chamber.roles[i] == shapes::Role::band)
      for (std::size_t k = 0; k < 2; ++k) {
        const auto p = profile::point_at(s.chamber.chain[i], k == 0 ? 0.2 : 0.8);
        add(Size::band, k, p.z, 2 * p.r);
      }
}

inline SheetInput random_input(unsigned seed) {
  std::mt19937 engine(seed);
  const auto in = [&](double a, double b) { // on 0.05 mm, as drawings are
    return std::round(std::uniform_real_distribution<>(a, b)(engine) * 20) / 20;
  };
  const auto one_of = [&](int n) { return std::uniform_int_distribution<>(0, n - 1)(engine); };
  constexpr shapes::Family families[] = {shapes::Family::spherical, shapes::Family::flat_roof, shapes::Family::toroidal,
                                         shapes::Family::two_radius};
  for (;;) {
    SheetInput s;
    auto& f = s.frame;
    const auto& thread = shapes::plug_threads()[static_cast<std::size_t>(one_of(3))];
    f.family = families[one_of(4)];
    f.bore_radius = in(20, 45);
    f.rim_radius = f.bore_radius + (one_of(2) ? 0 : in(0.1, 0.8));
    f.edge_height = one_of(3) ? in(0.2, 1.2) : 0;
    f.rim_round = f.edge_height > 0 ? in(0.2, 0.8) : 0;
    f.follow_crown = one_of(2) == 1;
    const bool domed = one_of(3) != 0;
    s.budget.bore_mm = 2 * f.bore_radius;
    if (domed)
      s.budget.crown = engine::crown_from_radius(one_of(4) ? engine::Crown::Form::domed : engine::Crown::Form::dished,
                                                 s.budget.bore_mm, in(90, 250));
    f.crown_radius = s.budget.crown.form == engine::Crown::Form::domed ? s.budget.crown.sphere_radius_mm : 0;
    s.budget.deck_mm = in(0.6 - f.edge_height > 0 ? 0.6 - f.edge_height : 0, 0.9);
    if (one_of(3) == 0)
      s.budget.gasket_thickness_mm = in(0.3, 1), s.budget.gasket_bore_mm = 2 * f.rim_radius + in(0, 2);
    f.mouth_round = in(0.3, 2);
    f.pocket_radius = thread.major_mm / 2 + in(0.2, 1);
    f.pocket_edge = in(0.2, 1);
    f.pocket_corner = in(0.2, 0.8);
    f.draft_deg = in(0, 12);
    f.wall_radius = in(4, 10);
    f.boss_drop = in(0.5, 2);
    f.boss_round = in(0.5, 2);
    const bool arcs = f.family == shapes::Family::spherical || f.family == shapes::Family::two_radius;
    s.dimensions = {arcs ? in(15, 45) + 0.013 : in(3, 10), in(4, 14), in(4, 16), in(0, 9), in(0.8, 3)};
    s.closing = arcs ? 0 : 1;
    s.chamber = shapes::build(f, s.dimensions);
    if (shapes::tightest(s.chamber).room < 0 || s.chamber.roof_z > 30) continue;

    s.plug = {std::string(thread.name),
              thread.major_mm,
              thread.pitch_mm,
              one_of(2) ? 19.0 : 12.7,
              one_of(2) ? 1.45 : 0,
              thread.major_mm + in(6, 12),
              one_of(2) ? shapes::usual_thread_chamfer_mm(thread) : 0};
    auto& body = s.body;
    body.edge_break_mm = one_of(4) ? in(0.1, 0.6) : 0;
    const double rim = f.rim_radius, seat = s.chamber.roof_z + shapes::seat_above_roof_mm(s.plug);
    const double height = seat + (one_of(3) ? in(0.3, 6) : 0), widest = 2 * rim + in(8, 30);
    const double flange = std::min(in(7, 16), height - 4);
    double top = flange;
    if (one_of(4) == 0) body.steps.push_back({widest - in(2, 6), in(2, 4)}), top += body.steps[0].length_mm;
    body.steps.push_back({widest, flange});
    for (double d = widest; height - top > 3 && body.steps.size() < 4;) {
      d -= in(3, 12);
      if (d < s.plug.seat_diameter_mm + 5) break;
      const bool last = height - top < 8 || one_of(2);
      body.steps.push_back({d, last ? height - top : in(3, height - top - 3)});
      top += body.steps.back().length_mm;
    }
    body.steps.back().length_mm += height - top;
    if (one_of(2))
      body.face_grooves.push_back({2 * rim + in(1, 3), in(2.6, 4), in(1, 2.2)}),
          s.face_rings.push_back("O-ring 0.103 in");
    double z = 0;
    for (const auto& step : body.steps) {
      if (one_of(2) && step.length_mm > 6)
        body.radial_grooves.push_back({z + in(1, step.length_mm - 5), in(2.1, 4), in(0.8, 2)});
      z += step.length_mm;
    }
    const auto insert = shapes::assemble(s.chamber, body, s.plug);
    if (!insert) continue;
    s.insert = *insert;
    std::mt19937 lot(seed);
    add_limits(s, lot);
    s.job = "Random " + std::to_string(seed), s.customer = "invented", s.material = "aluminium",
    s.spec_hash = "0123456789abcdef";
    s.head_cc = 20, s.swept_cc = 250, s.trapped_swept_cc = 130;
    s.roughness_um = 6.3, s.inner_corner_mm = 0.4, s.volume_tolerance_cc = 0.1;
    s.style = {one_of(2) ? Paper::a4 : Paper::letter,
               one_of(4) == 0 ? Units::both
               : one_of(2)    ? Units::mm
                              : Units::inch,
               one_of(2) ? Projection::first_angle : Projection::third_angle};
    return s;
  }
}

} // namespace chamber::drawing::testing
