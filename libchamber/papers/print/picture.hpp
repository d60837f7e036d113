#pragma once
// Figures on paper, as lines and words.
#include "chamber/figure/figure.hpp"
#include "chamber/papers/print/block.hpp"

namespace chamber::papers::print {

/// As large as it fits, in the middle of `width`. Figure and press must live until it is drawn.
Block picture(const Press& press, const figure::Figure& figure, double width, double most_height);

} // namespace chamber::papers::print
