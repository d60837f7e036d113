#pragma once
// Everything the bench knows of one motor, and the whole way from there to the targets: one function of plain numbers,
// so that an uncertainty can be run through it.
#include "chamber/engine/fill.hpp"
#include "chamber/engine/target.hpp"
#include <string>
#include <vector>

namespace chamber::engine {

/// A cranking pressure taken with a head of known volume (plug fitted).
struct BenchReading {
  std::string name;
  double gauge_kpa = 0, ambient_kpa = 0, head_cc = 0;
  Fill filled = Fill::plug_fitted; ///< how head_cc was measured; it is given plug fitted whatever this says
  bool by_altitude = false; ///< ambient pressure is the standard one of an altitude: that day's weather is not in it
};

struct Bench {
  Motor motor; ///< its fitted exponents are worked out here
  std::vector<BenchReading> readings;
  Ask ask;
  Wish wish;
  std::vector<double> ambient_kpa; ///< of each site
};

/// What the readings say.
GaugeFit fit(const Bench& bench);
/// The motor with the fit put in (no readings: as it was).
Motor fitted_motor(const Bench& bench, const GaugeFit& fit);
/// The same motor measured a little differently: exponents fitted anew, with the kind of fit as it was.
Motor refitted_motor(const Bench& bench, const GaugeFit& as);
/// Fit, then the target of every site.
std::vector<Target> targets(const Bench& bench);

} // namespace chamber::engine
