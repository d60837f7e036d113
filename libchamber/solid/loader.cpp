#include "chamber/solid/loader.hpp"
#include "chamber/loading/module.hpp"
#include "chamber/solid/kernel.hpp"
#include <future>
#include <mutex>

namespace chamber::solid {
namespace {

namespace fs = std::filesystem;

using Table = const KernelTable*;

Result<Table> find_module(const std::vector<fs::path>& folders) {
  const auto found = loading::open({"CAD kernel", CHAMBER_KERNEL_FILE, kernel_symbol, kernel_build}, folders);
  if (!found) return tl::unexpected(found.error());
  const auto* const table = static_cast<Table>(*found);
  if (!table->warm_up())
    return fail("the CAD kernel's STEP layer does not start.", "reinstall the OpenCASCADE libraries.");
  return table;
}

const std::shared_future<Result<Table>>& module(std::launch how) {
  static std::mutex mutex;
  static std::shared_future<Result<Table>> future;
  const std::lock_guard lock(mutex);
  if (!future.valid()) future = std::async(how, [] { return find_module(kernel_folders()); }).share();
  return future;
}

Result<Make> make_of(const Result<Table>& table) {
  if (!table) return tl::unexpected(table.error());
  return (*table)->make;
}

} // namespace

std::vector<fs::path> kernel_folders() {
  return loading::module_folders();
}

std::string_view kernel_version() {
  return CHAMBER_OCCT_VERSION;
}

Result<Make> load_from(const std::vector<fs::path>& folders) {
  return make_of(find_module(folders));
}

void preload() {
  module(std::launch::async);
}

Result<Make> load() {
  return make_of(module(std::launch::deferred).get());
}

Result<MeasureHere> load_measure_here() {
  const auto table = module(std::launch::deferred).get();
  if (!table) return tl::unexpected(table.error());
  return (*table)->measure_here;
}

} // namespace chamber::solid
