#include "chamber/papers/pdf_module.hpp"
#include "chamber/papers/print/document.hpp"
#include "chamber/papers/print/text.hpp"

extern "C" __attribute__((visibility("default"))) const void* chamber_papers_pdf() {
  using namespace chamber::papers;
  static const PdfTable table{pdf_build, print::fonts_ready, print::to_pdf};
  return &table;
}
