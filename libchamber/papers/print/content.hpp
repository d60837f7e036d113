#pragma once
// The traveller as blocks, in the order of the HTML's page.
#include "chamber/papers/print/block.hpp"
#include "chamber/papers/traveller.hpp"

namespace chamber::papers::print {

Blocks content(const Press& press, const Traveller& traveller, double width);

} // namespace chamber::papers::print
