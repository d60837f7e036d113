#pragma once
// The clearance volume and what it is made of, piston at top dead centre and plug fitted.
#include <cmath>

namespace chamber::engine {

/// A piston crown, by its height above the plane of its edge. The shape matters for the squish gap, the volume for
/// the budget; a measured volume overrides the ideal cap's.
struct Crown {
  enum class Form { flat, domed, dished };
  Form form = Form::flat;
  double sphere_radius_mm = 0; ///< domed, dished: of the ideal cap; 0 = flat
  double height_mm = 0;        ///< at the centre, >= 0; of a dish its depth
  double volume_cc = 0;        ///< above the edge plane; negative for a dish
};

/// Spherical crown from its radius (> bore/2) or from its height: h = R - sqrt(R^2 - (bore/2)^2).
Crown crown_from_radius(Crown::Form form, double bore_mm, double radius_mm);
Crown crown_from_height(Crown::Form form, double bore_mm, double height_mm);

/// Spherical crown from its measured volume above (domed) or below (dished) the edge plane: the cap of that volume.
Crown crown_from_volume(Crown::Form form, double bore_mm, double volume_cc);

/// Height of the crown's surface above its edge plane at radius r, mm (negative in a dish). Zero for r >= bore/2.
template <class T>
T crown_height_at_mm(const Crown& crown, double bore_mm, const T& r_mm) {
  using std::sqrt;
  const double a = bore_mm / 2, R = crown.sphere_radius_mm;
  if (crown.form == Crown::Form::flat || R <= 0) return T(r_mm * 0.0);
  const T root = sqrt(T(R * R - r_mm * r_mm));
  const T h = (a * a - r_mm * r_mm) / (root + std::sqrt(R * R - a * a)); // difference of roots, without cancellation
  return crown.form == Crown::Form::domed ? h : T(-h);
}

/// Volume between the crown and its edge plane outside radius r, mm3 (negative in a dish).
template <class T>
T crown_volume_outside_mm3(const Crown& crown, double bore_mm, const T& r_mm) {
  using std::sqrt;
  constexpr double pi = 3.14159265358979323846;
  const double a = bore_mm / 2, R = crown.sphere_radius_mm;
  if (crown.form == Crown::Form::flat || R <= 0) return T(r_mm * 0.0);
  const double edge = std::sqrt(R * R - a * a);
  const T q = R * R - r_mm * r_mm;
  const T v = (q * sqrt(q) - edge * edge * edge) * (2 * pi / 3) - (a * a - r_mm * r_mm) * (pi * edge);
  return crown.form == Crown::Form::domed ? v : T(-v);
}

/// Everything between piston and head that is not the head's own cavity.
struct Budget {
  double bore_mm = 0;
  double deck_mm = 0;                                 ///< piston edge below the cylinder's top, negative above
  double gasket_bore_mm = 0, gasket_thickness_mm = 0; ///< compressed; 0 = O-ring head
  Crown crown;

  double gasket_cc() const;
  double deck_cc() const;
  /// V_c = V_head + V_gasket + V_deck - V_crown.
  double clearance_from_head_cc(double head_cc) const { return head_cc + gasket_cc() + deck_cc() - crown.volume_cc; }
  double head_from_clearance_cc(double clearance_cc) const {
    return clearance_cc - gasket_cc() - deck_cc() + crown.volume_cc;
  }
  /// Crown edge below the sealing face with the head on, mm: deck and gasket together.
  double edge_below_face_mm() const { return deck_mm + gasket_thickness_mm; }
};

} // namespace chamber::engine
