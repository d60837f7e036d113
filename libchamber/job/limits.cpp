#include "chamber/job/limits.hpp"
#include "chamber/job/papers.hpp"
#include "chamber/profile/segment.hpp"
#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace chamber::job {
namespace {

using shapes::Grounds;
using shapes::Limits;
using shapes::Size;

constexpr double flush_mm = 1e-3;                           ///< a seat that near to the top face is the top face
constexpr double gauge_grid_mm = 0.5, gauge_grid_in = 0.02; ///< gauge diameters stand on it
constexpr double least_gauge_base_mm = 3; ///< radius between two heights that say anything of an angle

const shapes::ORingSize* ring_of(const Spec& spec, std::string_view list, std::size_t i) {
  const auto name = fmt::format("body.{}[{}]", list, i + 1);
  for (const auto& o : spec.o_rings)
    if (o.groove == name)
      for (const auto& r : shapes::o_ring_sizes())
        if (std::abs(r.section_mm - o.section_mm) < 1e-6) return &r;
  return nullptr;
}

/// Index of the step that a radial groove is in.
std::size_t step_of(const shapes::BodySpec& body, const shapes::RadialGroove& g) {
  double z = 0;
  for (std::size_t i = 0; i < body.steps.size(); ++i)
    if (z += body.steps[i].length_mm; g.from_face_mm < z) return i;
  return body.steps.size() - 1;
}

double height_on(const profile::S& s, double r) {
  if (!s.is_arc()) return s.start.z + (s.end.z - s.start.z) * (r - s.start.r) / (s.end.r - s.start.r);
  // The side of the circle that the band lies on.
  const double rise = std::sqrt(std::max(0.0, s.radius * s.radius - (r - s.centre.r) * (r - s.centre.r)));
  return s.centre.z + (profile::point_at(s, 0.5).z >= s.centre.z ? rise : -rise);
}

class Usual {
public:
  Usual(const Spec& spec, const solve::Fit& fit, const shapes::Insert& insert)
      : s_(spec), b_(spec.task.body), fit_(fit), insert_(insert) {}

  std::vector<Limits> all() {
    body();
    for (std::size_t i = 0; i < b_.face_grooves.size(); ++i) face_groove(i);
    for (std::size_t i = 0; i < b_.radial_grooves.size(); ++i) radial_groove(i);
    if (const double below = insert_.height_mm - insert_.seat_z_mm; below > flush_mm)
      general(Size::seat_below_top, 0, below);
    chamber();
    return std::move(out_);
  }

private:
  void general(Size size, std::size_t i, double mm) {
    const double d = shapes::general_deviation_mm(mm);
    out_.push_back({size, i, mm, mm - d, mm + d});
  }

  /// ISO 1101: the surface stays half the tolerance either way, so a diameter twice that.
  void profile(Size size, std::size_t i, double mm, bool diameter, double gauge_mm = 0) {
    const double d = drawing::SheetInput{}.profile_tolerance_mm / 2 * (diameter ? 2 : 1);
    out_.push_back({size, i, mm, mm - d, mm + d, Grounds::profile, gauge_mm});
  }

  /// A step with an O-ring sits in a bore: it takes h9 (common practice, no source).
  bool sits_in_bore(std::size_t step) const {
    for (std::size_t k = 0; k < b_.radial_grooves.size(); ++k)
      if (step_of(b_, b_.radial_grooves[k]) == step && ring_in_radial_groove(s_, k)) return true;
    return false;
  }

  void body() {
    for (std::size_t i = 0; i < b_.steps.size(); ++i) {
      const double d = b_.steps[i].diameter_mm;
      if (sits_in_bore(i))
        out_.push_back({Size::step_diameter, i, d, d - shapes::h9_mm(d), d, Grounds::fit});
      else
        general(Size::step_diameter, i, d);
    }
    for (std::size_t i = 0; i + 1 < b_.steps.size(); ++i) general(Size::step_length, i, b_.steps[i].length_mm);
    general(Size::height, 0, insert_.height_mm);
  }

  void face_groove(std::size_t i) {
    const auto& g = b_.face_grooves[i];
    general(Size::face_groove_inner, i, g.inner_diameter_mm);
    if (const auto* ring = ring_in_face_groove(s_, i)) {
      out_.push_back(
          shapes::gland_limits(Size::face_groove_width, i, g.width_mm, ring->width_low_mm, ring->width_high_mm));
      out_.push_back(
          shapes::gland_limits(Size::face_groove_depth, i, g.depth_mm, ring->depth_low_mm, ring->depth_high_mm));
      return;
    }
    general(Size::face_groove_width, i, g.width_mm);
    general(Size::face_groove_depth, i, g.depth_mm);
  }

  /// Its depth counts from the bore that the ring seals in, which is no smaller than the step's nominal diameter.
  void radial_groove(std::size_t i) {
    const auto& g = b_.radial_grooves[i];
    const double d = b_.steps[step_of(b_, g)].diameter_mm, floor = d - 2 * g.depth_mm;
    general(Size::radial_groove_from_face, i, g.from_face_mm);
    if (const auto* ring = ring_in_radial_groove(s_, i)) {
      out_.push_back(
          shapes::gland_limits(Size::radial_groove_width, i, g.width_mm, ring->width_low_mm, ring->width_high_mm));
      out_.push_back(shapes::gland_limits(Size::radial_groove_floor, i, floor, d - 2 * ring->depth_high_mm,
                                          d - 2 * ring->depth_low_mm));
      return;
    }
    general(Size::radial_groove_width, i, g.width_mm);
    general(Size::radial_groove_floor, i, floor);
  }

  void chamber() {
    const auto& c = fit_.chamber;
    for (std::size_t i = 0; i < c.chain.size(); ++i) {
      if (c.roles[i] == shapes::Role::rim_wall) profile(Size::rim, 0, 2 * s_.task.frame.rim_radius, true);
      if (c.roles[i] == shapes::Role::band) band(c.chain[i]);
    }
    profile(Size::mouth, 0, 2 * c.mouth.r, true);
    profile(Size::pocket, 0, 2 * s_.task.frame.pocket_radius, true);
    profile(Size::roof, 0, c.roof_z, false);
  }

  /// Two heights make sure of the band's place and of its angle; where it is narrow, one of its place.
  void band(const profile::S& s) {
    const double outer = s.start.r, inner = s.end.r;
    const auto on_grid = [&](double r) {
      const double grid = Words(s_).inch() ? gauge_grid_in * units::mm_per_inch : gauge_grid_mm;
      const double g = std::round(2 * r / grid) * grid / 2;
      return g < outer && g > inner ? g : r;
    };
    std::vector<double> at;
    if (outer - inner >= least_gauge_base_mm)
      at = {on_grid(outer - 0.2 * (outer - inner)), on_grid(outer - 0.8 * (outer - inner))};
    else
      at = {on_grid((outer + inner) / 2)};
    for (std::size_t i = 0; i < at.size(); ++i) profile(Size::band, i, height_on(s, at[i]), false, 2 * at[i]);
  }

  const Spec& s_;
  const shapes::BodySpec& b_;
  const solve::Fit& fit_;
  const shapes::Insert& insert_;
  std::vector<Limits> out_;
};

} // namespace

const shapes::ORingSize* ring_in_face_groove(const Spec& spec, std::size_t i) {
  return ring_of(spec, "face_groove", i);
}

const shapes::ORingSize* ring_in_radial_groove(const Spec& spec, std::size_t i) {
  return ring_of(spec, "radial_groove", i);
}

std::string words_for(const Limits& l, std::span<const Limits> all) {
  const auto numbered = [&](std::string_view thing) {
    return find(all, l.size, 1) ? fmt::format("{} {}", thing, l.index + 1) : std::string(thing);
  };
  switch (l.size) {
  case Size::step_diameter:
    return fmt::format("step {}, ⌀", l.index + 1);
  case Size::step_length:
    return fmt::format("step {}, length", l.index + 1);
  case Size::height:
    return "height over all";
  case Size::face_groove_inner:
    return numbered("face groove") + ", inner ⌀";
  case Size::face_groove_width:
    return numbered("face groove") + ", width";
  case Size::face_groove_depth:
    return numbered("face groove") + ", depth";
  case Size::radial_groove_from_face:
    return numbered("radial groove") + ", from the face";
  case Size::radial_groove_width:
    return numbered("radial groove") + ", width";
  case Size::radial_groove_floor:
    return numbered("radial groove") + ", floor ⌀";
  case Size::seat_below_top:
    return "plug seat below the top";
  case Size::rim:
    return "chamber at the rim, ⌀";
  case Size::band:
    return fmt::format("band at G{}, from the face", l.index + 1);
  case Size::mouth:
    return "mouth of the bowl, sharp ⌀";
  case Size::pocket:
    return "pocket, ⌀";
  case Size::roof:
    return "pocket roof from the face";
  }
  throw std::logic_error("limits: no such size");
}

std::vector<Limits> usual_limits(const Spec& spec, const solve::Fit& fit, const shapes::Insert& insert) {
  return Usual(spec, fit, insert).all();
}

} // namespace chamber::job
