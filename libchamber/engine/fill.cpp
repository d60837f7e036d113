#include "chamber/engine/fill.hpp"

namespace chamber::engine {

double hole_cc(const PlugHole& h) {
  constexpr double pi = 3.14159265358979323846;
  return pi / 4 * h.pitch_diameter_mm * h.pitch_diameter_mm * h.length_mm / 1000;
}

double convert_fill_cc(double cc, Fill from, Fill to, const PlugHole& hole) {
  // Everything by way of "to the bottom of the hole".
  const auto above_bottom = [&](Fill f) {
    return f == Fill::top_of_plug_hole ? hole_cc(hole) : f == Fill::plug_fitted ? -hole.plug_tip_cc : 0.0;
  };
  return cc - above_bottom(from) + above_bottom(to);
}

double water_density_g_cc(double t) {
  return (999.83952 +
          t * (16.945176 + t * (-7.9870401e-3 + t * (-46.170461e-6 + t * (105.56302e-9 - t * 280.54253e-12))))) /
         (1 + 16.879850e-3 * t) / 1000;
}

} // namespace chamber::engine
