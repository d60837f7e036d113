#pragma once
// Passes whose nose the control reckons with (G41): the profile itself, as the control will bear it.
#include "chamber/turning/plan_fit.hpp"

namespace chamber::turning::detail {

/// The finishing pass of a bore along its profile under G41, to `inner`; false (with a note) where the control would be
/// asked for too much.
bool follow_profile(Operation& op, const Machine& machine, const Bore& bore, double inner, double feed);

} // namespace chamber::turning::detail
