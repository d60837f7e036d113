#include "chamber/loading/module.hpp"
#include "chamber/papers/pdf_module.hpp"

namespace chamber::papers {
namespace {

using Table = const PdfTable*;

Result<Table> find_module() {
  const auto found = loading::open({"PDF", CHAMBER_PDF_FILE, pdf_symbol, pdf_build}, loading::module_folders());
  if (!found) return tl::unexpected(found.error());
  const auto* const table = static_cast<Table>(*found);
  if (auto ok = table->warm_up(); !ok) return tl::unexpected(ok.error());
  return table;
}

const Result<Table>& module() {
  static const auto table = find_module();
  return table;
}

} // namespace

void load_pdf() {
  (void)module();
}

Result<std::string> to_pdf(const Traveller& traveller, Paper paper, const std::vector<Sheet>& sheets) {
  const auto& table = module();
  if (!table) return tl::unexpected(table.error());
  return (*table)->to_pdf(traveller, paper, sheets);
}

} // namespace chamber::papers
