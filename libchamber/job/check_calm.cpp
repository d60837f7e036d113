// Profiles as others write them, made fit for reading features from.
#include "chamber/job/check_read.hpp"
#include "chamber/profile/distance.hpp"
#include "chamber/profile/thinner.hpp"
#include "chamber/shapes/features.hpp"
#include <algorithm>
#include <cmath>

namespace chamber::job {
namespace {

using profile::Chain;
using profile::ChainView;
using profile::P;

constexpr double hair_mm = 0.011; ///< readers close gaps of up to 0.01 mm with a line
constexpr std::size_t many_lines = 100;
constexpr double jitters_mm[] = {1e-4, 3e-4, 1e-3}; ///< tried in turn: steps of four to three decimals
constexpr double band_fits_mm = 2e-3;               ///< a band read from the profile lies so near to it

/// Without lines that are a hair's breadth long between longer segments.
Chain without_hairs(const Chain& chain) {
  Chain out;
  for (const auto& s : chain) {
    if (!out.empty() && !s.is_arc() && profile::arc_length(s) < hair_mm && profile::arc_length(out.back()) > hair_mm &&
        &s != &chain.back()) {
      // An arc keeps its circle; its end is off it by no more than the gap was.
      out.back().end = s.end;
      continue;
    }
    out.push_back(s);
  }
  return out;
}

Chain thinned(const Chain& chain, double tolerance) {
  profile::detail::Thinner thinner(tolerance, tolerance, chain.size() + 2);
  thinner.add(chain.front().start, 0);
  for (const auto& s : chain) thinner.add(s.end, 0);
  thinner.finish();
  Chain out;
  const auto& p = thinner.points();
  for (std::size_t i = 0; i + 1 < p.size(); ++i) out.push_back(profile::line(p[i], p[i + 1]));
  return out;
}

/// Whether the band that is read lies where the profile does, over its middle: jitter makes a shred of it stand for
/// all.
bool band_lies_on(const Chain& chain, const shapes::Features& f) {
  if (!f.band) return false;
  for (const double part : {0.25, 0.4, 0.5, 0.6, 0.75}) {
    const double r = f.band->mouth.r + part * f.band->width_mm;
    const auto band = profile::heights_at(f.band->sharp, r), there = profile::heights_at(chain, r);
    if (!band || !there || std::abs(band->low - there->low) > band_fits_mm) return false;
  }
  return true;
}

} // namespace

Chain without_jitter(const Chain& chain, double bore_radius_mm) {
  const auto lines =
      static_cast<std::size_t>(std::count_if(chain.begin(), chain.end(), [](const auto& s) { return !s.is_arc(); }));
  if (lines < chain.size()) return without_hairs(chain);
  if (lines < many_lines || band_lies_on(chain, shapes::features(chain, bore_radius_mm))) return chain;
  for (const double tolerance : jitters_mm) {
    auto calm = thinned(chain, tolerance);
    if (calm.size() > 2 && band_lies_on(calm, shapes::features(calm, bore_radius_mm))) return calm;
  }
  return chain;
}

} // namespace chamber::job
