#pragma once
// SVG on paper, as lines and words, by librsvg.
#include "chamber/papers/print/block.hpp"
#include <string_view>

namespace chamber::papers::print {

/// As large as it fits, in the middle of `width`. The pictures are the program's own: throws std::logic_error where one
/// cannot be read.
Block picture(std::string_view svg, double width, double most_height);

} // namespace chamber::papers::print
