#include "chamber/engine/budget.hpp"
#include "chamber/engine/crank.hpp"
#include "chamber/units/quantity.hpp"
#include <cmath>

namespace chamber::engine {
namespace {
// Spherical cap on a circle of radius a: pi h (3 a^2 + h^2) / 6.
double cap_cc(double bore_mm, double h) {
  const double a = bore_mm / 2;
  return units::pi * h * (3 * a * a + h * h) / 6 / 1000;
}
} // namespace

Crown crown_from_height(Crown::Form form, double bore_mm, double h) {
  if (form == Crown::Form::flat || h == 0) return {};
  const double a = bore_mm / 2, cap = cap_cc(bore_mm, h);
  return {form, (a * a + h * h) / (2 * h), h, form == Crown::Form::domed ? cap : -cap};
}

Crown crown_from_radius(Crown::Form form, double bore_mm, double radius) {
  if (form == Crown::Form::flat) return {};
  const double a = bore_mm / 2;
  const double h = a * a / (radius + std::sqrt(radius * radius - a * a)); // R - sqrt(R^2 - a^2) without cancellation
  auto crown = crown_from_height(form, bore_mm, h);
  crown.sphere_radius_mm = radius;
  return crown;
}

Crown crown_from_volume(Crown::Form form, double bore_mm, double volume_cc) {
  if (form == Crown::Form::flat || volume_cc == 0) return {};
  const double a = bore_mm / 2, wanted = std::abs(volume_cc);
  double h =
      wanted * 2000 / (units::pi * a * a); // thin-cap start; convex and increasing, so Newton descends to the root
  for (int i = 0; i < 50; ++i) {
    const double step = (cap_cc(bore_mm, h) - wanted) * 1000 / (units::pi * (a * a + h * h) / 2);
    h -= step;
    if (std::abs(step) < 1e-12) break;
  }
  auto crown = crown_from_height(form, bore_mm, h);
  crown.volume_cc = form == Crown::Form::domed ? wanted : -wanted;
  return crown;
}

double Budget::gasket_cc() const {
  return circle_area_mm2(gasket_bore_mm) * gasket_thickness_mm / 1000;
}
double Budget::deck_cc() const {
  return circle_area_mm2(bore_mm) * deck_mm / 1000;
}

} // namespace chamber::engine
