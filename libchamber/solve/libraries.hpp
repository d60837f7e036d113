#pragma once
#include "chamber/units/libraries.hpp"

namespace chamber::solve {

/// Those this room uses.
Libraries libraries();

} // namespace chamber::solve
