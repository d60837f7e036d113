#pragma once
// One meridian held against another: how far it lies above it, exactly.
#include "chamber/profile/segment.hpp"

namespace chamber::profile {

/// Where, and by how much, one chain lies above another. mm; a negative rise lies below.
struct Rise {
  double least = 0, least_r = 0;
  double most = 0, most_r = 0;
};

/// Height of `now` over `before` at every radius that both cover, its least and its most. Both fall in r (rim -> axis),
/// every arc wholly above or below its centre. Between breakpoints the difference is extreme at their ends or where
/// both run parallel, so it is exact. Upright walls count by what lies to either side of them.
Rise rise_over(ChainView now, ChainView before);

} // namespace chamber::profile
