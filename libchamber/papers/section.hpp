#pragma once
// The chamber in section with the piston at top dead centre, as a figure: profile, crown and squish gap.
#include "chamber/figure/figure.hpp"
#include "chamber/profile/segment.hpp"
#include <string>
#include <vector>

namespace chamber::papers {

/// A gap to be shown between crown and chamber at one radius.
struct Gap {
  double r = 0, z_crown = 0, z_chamber = 0; ///< mm
  std::string text;                         ///< "1.10 mm"
};

struct SectionView {
  profile::Chain chamber; ///< rim -> axis, plug fitted
  profile::Chain crown;   ///< edge -> axis, at top dead centre: below z = 0
  double bore_mm = 0;
  std::vector<Gap> gaps; ///< at most three, from the bore inwards
  std::string volume;    ///< "head volume 21.50 cc"
  std::string summary;   ///< for those who cannot see it
};

/// On the screen it takes its colours from the page it stands in (currentColor, --metal, --piston, --accent). Throws
/// std::logic_error on an empty chain and on numbers that are not finite.
figure::Figure figure_of(const SectionView& view);

} // namespace chamber::papers
