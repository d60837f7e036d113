#pragma once
// Any profile judged against an engine: what the fit watches, without a family or dimensions to go by.
#include "chamber/shapes/features.hpp"
#include "chamber/solve/fit.hpp"

namespace chamber::solve {

/// Height between band and crown at one radius.
struct GapAt {
  double radius_mm = 0, gap_mm = 0;
};

struct Appraisal {
  shapes::Features features;
  double head_cc = 0;      ///< plug fitted, flush with the roof
  double clearance_cc = 0; ///< at top dead centre
  double plug_to_crown_mm = 0;

  // Of the squish band; zero, with the reason in `withheld`, where there is none.
  double squish_area_ratio = 0;
  double opening_deg = 0;  ///< of the band beyond the crown's own slope at mid-band
  std::vector<GapAt> gaps; ///< along the band from the bore to the mouth
  GapAt smallest_gap;      ///< anywhere between profile and crown from the bore to the axis
  engine::Split split;
  std::optional<engine::PeakVelocity> peak; ///< at the task's peak speed, if it has one

  std::optional<double> smallest_wall_mm; ///< to the outside and the plug seat, if the task has a body
  std::vector<Check> checks;              ///< every figure that has a limit, named as the fit names it
  std::vector<std::string> cautions;      ///< in sentences
  std::vector<std::string> withheld;      ///< figures that make no sense here, and why, in sentences
};

/// Judges a chain from rim to axis (z = 0 sealing face, cavity on the left, mm). Of the task engine, crown, limits,
/// body and plug are used; a body without steps is none. The frame, preferences and wanted volume are not looked at.
Appraisal appraise(profile::ChainView chain, const Task& task);

} // namespace chamber::solve
