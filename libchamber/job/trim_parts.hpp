#pragma once
// What the files of the trim job share.
#include "chamber/job/trim.hpp"
#include "chamber/solve/appraise.hpp"

namespace chamber::job {

struct MendAppraisal {
  solve::Appraisal appraisal;
  MendFigures figures;
};

/// A chain judged for this motor. `more_cc`: what the cavity holds over the chain's own volume; `plug_back_mm`: how far
/// the plug's end lies below the roof.
MendAppraisal appraise_mend(const Spec& spec, const solve::Task& task, profile::ChainView chain, double more_cc,
                            double plug_back_mm = 0);

/// One dimension pulled straight, and what else has to follow so that finished surfaces stay where they are: the band's
/// arc, a flat roof, the pocket's roof, on which the plug ends.
shapes::Dimensions<double> moved(const solve::Task& task, const shapes::Dimensions<double>& d, Mend mend, double by);

/// Facing that takes the error away, on the grid.
double face_for(const solve::Fit& fit, double error_cc);
/// The most the limits allow; 0: none at all.
double most_facing(const Spec& spec, const solve::Fit& fit, double error_cc);
/// The gasket that makes up for the error in the clearance volume, to 0.01 mm; empty where the seal is none.
std::optional<OtherGasket> other_gasket(const Spec& spec, const solve::Fit& fit, double error_cc);

} // namespace chamber::job
