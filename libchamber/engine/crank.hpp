#pragma once
// Slider-crank motion and what the ports leave of the stroke.

namespace chamber::engine {

struct Crank {
  double stroke_mm = 0;
  double rod_mm = 0; ///< centre to centre, > stroke / 2
};

/// Rod length assumed when it is not known (common practice, no source), and the range over which its effect is shown.
inline constexpr double assumed_rod_per_stroke = 1.85;
inline constexpr double assumed_rod_low = 1.7, assumed_rod_high = 2.1;

/// Piston travel below top dead centre at crank angle `angle_deg` after it, mm:
/// x = a (1 - cos t) + l - sqrt(l^2 - a^2 sin^2 t), a = stroke/2.
/// Source: slider-crank geometry; Heywood, Internal Combustion Engine Fundamentals, eq. 2.4-2.5 (from memory).
double piston_travel_mm(const Crank& crank, double angle_deg);

/// dx/dt in mm per radian of crank angle.
double piston_travel_rate_mm_per_rad(const Crank& crank, double angle_deg);

/// Piston speed in m/s at that angle and speed of rotation (positive: away from the head).
double piston_speed_m_s(const Crank& crank, double angle_deg, double rpm);

/// Crank angle after top dead centre at which the exhaust port opens, from its duration (open to close): 180 - E/2.
double exhaust_opening_deg(double duration_deg);

double circle_area_mm2(double diameter_mm);
/// Full swept volume, cc.
double swept_cc(double bore_mm, const Crank& crank);
/// Swept volume above the exhaust port's edge, cc.
double trapped_swept_cc(double bore_mm, const Crank& crank, double exhaust_duration_deg);

/// (swept + clearance) / clearance.
double compression_ratio(double swept_cc, double clearance_cc);
/// The clearance volume that gives this ratio (> 1), cc.
double clearance_for_ratio_cc(double swept_cc, double ratio);

} // namespace chamber::engine
