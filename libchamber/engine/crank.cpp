#include "chamber/engine/crank.hpp"
#include "chamber/units/quantity.hpp"
#include <cmath>

namespace chamber::engine {

double piston_travel_mm(const Crank& c, double angle_deg) {
  const double a = c.stroke_mm / 2, t = units::radians(angle_deg), s = a * std::sin(t);
  // l - sqrt(l^2 - s^2) written without the cancellation near dead centre.
  return 2 * a * std::pow(std::sin(t / 2), 2) + s * s / (c.rod_mm + std::sqrt(c.rod_mm * c.rod_mm - s * s));
}

double piston_travel_rate_mm_per_rad(const Crank& c, double angle_deg) {
  const double a = c.stroke_mm / 2, t = units::radians(angle_deg), s = a * std::sin(t);
  return a * std::sin(t) + s * a * std::cos(t) / std::sqrt(c.rod_mm * c.rod_mm - s * s);
}

double piston_speed_m_s(const Crank& c, double angle_deg, double rpm) {
  return piston_travel_rate_mm_per_rad(c, angle_deg) * rpm * (2 * units::pi / 60) / 1000;
}

double exhaust_opening_deg(double duration_deg) {
  return 180 - duration_deg / 2;
}

double circle_area_mm2(double diameter_mm) {
  return units::pi / 4 * diameter_mm * diameter_mm;
}

double swept_cc(double bore_mm, const Crank& c) {
  return circle_area_mm2(bore_mm) * c.stroke_mm / 1000;
}

double trapped_swept_cc(double bore_mm, const Crank& c, double exhaust_duration_deg) {
  return circle_area_mm2(bore_mm) * piston_travel_mm(c, exhaust_opening_deg(exhaust_duration_deg)) / 1000;
}

double compression_ratio(double swept, double clearance) {
  return (swept + clearance) / clearance;
}

double clearance_for_ratio_cc(double swept, double ratio) {
  return swept / (ratio - 1);
}

} // namespace chamber::engine
