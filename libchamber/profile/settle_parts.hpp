#pragma once
// The steps of settle that cut and join.
#include "chamber/profile/proposed.hpp"

namespace chamber::profile::detail {

/// The half of a section at r >= 0, drawn on either or both sides of the axis.
Result<Chain> one_half(ChainView chain, Proposed& out);

/// The open chain from the rim to the axis, or to the edge of the plug hole: out of an open chain walked either way, of
/// the cavity's closed outline, or of the insert's.
Result<Chain> rim_to_axis(ChainView chain, Proposed& out);

/// Closes the end at the axis: a hair's gap, or a plug hole at the pocket roof or where told.
Result<Chain> cap(ChainView chain, const ProposedOptions& options, Proposed& out);

} // namespace chamber::profile::detail
