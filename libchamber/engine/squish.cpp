#include "chamber/engine/squish.hpp"
#include <boost/math/tools/minima.hpp>

namespace chamber::engine {

double squish_area_ratio(double bore_mm, double mouth_radius_mm) {
  const double k = 2 * mouth_radius_mm / bore_mm;
  return 1 - k * k;
}

PeakVelocity peak_gap_velocity(const Split& s, const Crank& crank, double rpm) {
  const auto slower = [&](double deg) {
    return -gap_velocity_m_s(s, piston_travel_mm(crank, deg), piston_speed_m_s(crank, deg, rpm));
  };
  // Half the digits of a double are all a minimum can have; 24 bits is 1e-7 of the range.
  const auto [at, value] = boost::math::tools::brent_find_minima(slower, 0.0, 60.0, 24);
  return {-value, at};
}

} // namespace chamber::engine
