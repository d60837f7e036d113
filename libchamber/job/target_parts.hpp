#pragma once
// The parts of the target report that are worked out one after the other.
#include "chamber/job/target.hpp"

namespace chamber::job {

/// Fills the figures of every site with their uncertainty. Fit and targets must be there.
void add_uncertainty(TargetReport& report, const TargetOptions& options);
/// What the builder has to be told in sentences.
void add_notes(TargetReport& report);

} // namespace chamber::job
