#include "chamber/solid/loader.hpp"
#include "chamber/loading/module.hpp"
#include "chamber/solid/kernel.hpp"

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

const Result<Table>& module() {
  static const auto table = find_module(kernel_folders());
  return table;
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

Result<Make> load() {
  return make_of(module());
}

Result<MeasureHere> load_measure_here() {
  const auto& table = module();
  if (!table) return tl::unexpected(table.error());
  return (*table)->measure_here;
}

} // namespace chamber::solid
