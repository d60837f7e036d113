#pragma once
// What crosses the boundary between the program and the module that makes PDF.
#include "chamber/papers/pdf.hpp"

namespace chamber::papers {

struct PdfTable {
  const char* build;
  Result<void> (*warm_up)(); ///< opens the fonts
  Result<std::string> (*to_pdf)(const Traveller&, Paper, const std::vector<Sheet>&);
};

inline constexpr const char* pdf_symbol = "chamber_papers_pdf";
inline constexpr const char* pdf_build = CHAMBER_PDF_BUILD;

} // namespace chamber::papers

extern "C" const void* chamber_papers_pdf();
