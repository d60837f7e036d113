#pragma once
// Facing, turning the outside, and grooves.
#include "chamber/turning/plan_setup.hpp"

namespace chamber::turning::detail {

/// Faces to the axis (or to `bore_mm`, a radius) and turns the outside in steps, allowance left.
Result<std::vector<Operation>> rough_outside(const Job& job, const Task& task, double bore_mm);
/// Faces to `inner_mm` (a radius that lies in air) and turns the outside in one pass; two operations where the control
/// accounts for the nose.
Result<std::vector<Operation>> finish_outside(const Job& job, const Task& task, double inner_mm);
/// A pass of the finishing tool that leaves half the allowance on the outside: what is measured after it is this tool's
/// own error.
Result<Operation> measure_outside(const Job& job, const Task& task, const Operation& finish);
/// An operation under constant cutting speed, its moves still to come.
Operation start(const Tool& tool, Cut cut, std::string title, double feed_mm_per_rev);
/// Every groove of the task, inner ones first.
Result<std::vector<Operation>> grooves(const Job& job, const Task& task);

} // namespace chamber::turning::detail
