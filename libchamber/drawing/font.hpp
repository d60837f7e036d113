#pragma once
// The lettering: one font file, the same everywhere, so that words are as wide as they were measured.
#include "chamber/units/result.hpp"
#include <string_view>

namespace chamber::drawing {

/// Opens the font. Fails when it is not installed or cannot be read, naming the package.
Result<void> font_ready();

/// Words as wide as they are set, and how far their ink reaches over and under the base line, mm.
struct Measure {
  double width = 0, above = 0, below = 0;
};
/// The font must be ready (std::logic_error otherwise). Characters that the font lacks count as "?".
Measure measure(std::string_view utf8, double height_mm);

/// The words with what the font lacks replaced by "?".
std::string printable(std::string_view utf8);

/// Code points of well-formed UTF-8; a broken byte becomes U+FFFD.
std::u32string code_points(std::string_view utf8);

} // namespace chamber::drawing
