// forecast ALTITUDE_M: what the head of an invented 250 must hold there, and what a gauge will then read.
#include <chamber/engine/air.hpp>
#include <chamber/engine/target.hpp>
#include <cstdio>
#include <cstdlib>

int main(int argc, char** argv) {
  using namespace chamber::engine;
  if (argc != 2) return std::fprintf(stderr, "usage: forecast ALTITUDE_M\n"), 2;
  const double ambient_kpa = standard_pressure_at_kpa(geopotential_m(std::atof(argv[1])));

  Motor motor;
  motor.bore_mm = motor.budget.bore_mm = 66.4;
  motor.crank = {.stroke_mm = 72, .rod_mm = 130};
  motor.exhaust_shut_deg = motor.exhaust_open_deg = 190;
  motor.budget.deck_mm = 1.1;

  // Not over 7.8:1, and 1150 kPa on the gauge: whichever asks for more volume.
  const Ask ask{.ratio_ceiling = 7.8, .gauge_low_kpa = 1100, .gauge_high_kpa = 1200};
  const Target there = target(motor, ask, {}, ambient_kpa);
  std::printf("ambient_kpa %.4f\nbound_by %s\nhead_cc %.4f\ntrapped_ratio %.5f\ngauge_kpa %.3f\n", ambient_kpa,
              criterion_names[static_cast<std::size_t>(there.bound_by)].data(), there.head_cc, there.trapped_ratio,
              there.gauge_fitted_kpa);

  const Target down = forecast(motor, ask, there.clearance_cc, standard_pressure_kpa);
  std::printf("gauge_at_sea_level_kpa %.3f\n", down.gauge_fitted_kpa);
}
