#pragma once
#include "chamber/units/libraries.hpp"

namespace chamber::job {

/// Those this room uses, and those of the rooms below.
Libraries libraries();

} // namespace chamber::job
