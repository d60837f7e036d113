#pragma once
// Pages out of blocks, and the PDF file.
#include "chamber/papers/pdf.hpp"

namespace chamber::papers::print {

/// As papers::to_pdf, without the module.
Result<std::string> to_pdf(const Traveller& traveller, Paper paper, const std::vector<Sheet>& sheets);

} // namespace chamber::papers::print
