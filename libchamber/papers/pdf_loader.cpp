#include "chamber/loading/module.hpp"
#include "chamber/papers/pdf_module.hpp"
#include <future>
#include <mutex>
#include <optional>

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

std::shared_future<Result<Table>> module(std::optional<std::launch> how) {
  static std::mutex mutex;
  static std::shared_future<Result<Table>> future;
  const std::lock_guard lock(mutex);
  if (!future.valid() && how) future = std::async(*how, find_module).share();
  return future;
}

} // namespace

void preload_pdf() {
  module(std::launch::async);
}

void wait_for_pdf() {
  if (const auto loading = module({}); loading.valid()) loading.wait();
}

Result<std::string> to_pdf(const Traveller& traveller, Paper paper, const std::vector<Sheet>& sheets) {
  const auto table = module(std::launch::deferred).get();
  if (!table) return tl::unexpected(table.error());
  return (*table)->to_pdf(traveller, paper, sheets);
}

} // namespace chamber::papers
