#pragma once
// The look at a foreign file before the CAD kernel gets it.
#include "chamber/units/result.hpp"
#include <cstdint>
#include <iosfwd>

namespace chamber::solid {

/// ISO 10303-21: the file begins with "ISO-10303-21;" and ends with "END-ISO-10303-21;". `size`: of the whole, bytes.
Result<void> check_step_text(std::istream& in, std::uintmax_t size);

} // namespace chamber::solid
