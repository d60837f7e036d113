#pragma once
// Squish: area ratio and the gas velocity through the gap at the bowl's mouth.
#include "chamber/engine/crank.hpp"
#include <cmath>

namespace chamber::engine {

/// 1 - (2 r_m / bore)^2.
double squish_area_ratio(double bore_mm, double mouth_radius_mm);

/// The space over the piston split by the cylinder through the bowl's mouth, at top dead centre.
/// T: double, or an autodiff scalar when the solver wants slopes.
template <class T>
struct SplitOf {
  double bore_mm = 0;
  T mouth_radius_mm{};
  T band_volume_mm3{}; ///< between band and crown
  T bowl_volume_mm3{}; ///< the rest of the clearance volume
  T mouth_gap_mm{};    ///< band to crown at the mouth
};
using Split = SplitOf<double>;

/// Gap squish velocity at piston travel x and piston speed |dx/dt|, uniform density (from continuity):
/// v = |dx/dt| (A_sq V_b - A_b V_sq) / (V A_gap). m/s; positive inwards while the piston rises.
/// For a flat band this is Heywood's eq. 8.34 (from memory).
template <class T>
T gap_velocity_m_s(const SplitOf<T>& s, double travel_mm, double piston_speed_m_s) {
  constexpr double pi = 3.14159265358979323846;
  const T bowl_area = s.mouth_radius_mm * s.mouth_radius_mm * pi;
  const T band_area = T(circle_area_mm2(s.bore_mm)) - bowl_area;
  const T bowl = s.bowl_volume_mm3 + bowl_area * travel_mm, band = s.band_volume_mm3 + band_area * travel_mm;
  const T gap_area = s.mouth_radius_mm * (s.mouth_gap_mm + travel_mm) * (2 * pi);
  return T((band_area * bowl - bowl_area * band) * std::abs(piston_speed_m_s) / ((bowl + band) * gap_area));
}

/// The largest gap velocity over the last 60 degrees before top dead centre, and where it stands.
struct PeakVelocity {
  double velocity_m_s = 0, before_tdc_deg = 0;
};
PeakVelocity peak_gap_velocity(const Split& split, const Crank& crank, double rpm);

} // namespace chamber::engine
