#pragma once
#include "chamber/units/libraries.hpp"

namespace chamber::drawing {

/// Those this room uses.
Libraries libraries();

} // namespace chamber::drawing
