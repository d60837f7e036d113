#pragma once
// The plug thread: by a tap that is of its size, or single-point in explicit passes.
#include "chamber/turning/plan_setup.hpp"

namespace chamber::turning::detail {

/// `hole_radius_mm`: what was drilled. The thread runs from the plug seat to the pocket's roof.
Result<Operation> cut_thread(const Job& job, const Task& task, double hole_radius_mm);

} // namespace chamber::turning::detail
