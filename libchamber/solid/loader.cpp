#include "chamber/solid/loader.hpp"
#include "chamber/solid/kernel.hpp"
#include <cstdlib>
#include <dlfcn.h>
#include <fmt/format.h>
#include <future>
#include <mutex>
#include <sys/auxv.h>

namespace chamber::solid {
namespace {

namespace fs = std::filesystem;

using Table = const KernelTable*;

Result<Table> open_module(const fs::path& file) {
  const std::string cure = "build or install the program and its libraries together.";
  // Lazy: most of the kernel's hundred thousand functions are never called.
  void* const module = dlopen(file.c_str(), RTLD_LAZY | RTLD_LOCAL);
  if (!module) return fail(fmt::format("the CAD kernel module does not load: {}.", dlerror()), cure);
  using Entry = const KernelTable* (*)();
  const auto entry = reinterpret_cast<Entry>(dlsym(module, kernel_symbol));
  if (!entry) return fail(fmt::format("{} is not a CAD kernel module.", file.string()), cure);
  const KernelTable* const table = entry();
  if (std::string_view(table->build) != kernel_build)
    return fail(
        fmt::format("{} is of build \"{}\", the program of build \"{}\".", file.string(), table->build, kernel_build),
        cure);
  if (!table->warm_up())
    return fail("the CAD kernel's STEP layer does not start.", "reinstall the OpenCASCADE libraries.");
  return table;
}

Result<Table> find_module(const std::vector<fs::path>& folders) {
  std::string looked;
  for (const auto& folder : folders) {
    const auto file = folder / CHAMBER_KERNEL_FILE;
    std::error_code none;
    if (fs::exists(file, none)) return open_module(file);
    looked += (looked.empty() ? "" : ", ") + folder.string();
  }
  return fail(fmt::format("{} was not found (looked in {}).", CHAMBER_KERNEL_FILE, looked),
              "build or install the program and its libraries together, or name its folder in CHAMBER_KERNEL_DIR.");
}

const std::shared_future<Result<Table>>& loading(std::launch how) {
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

/// Where /proc is not mounted, by the name it was started with.
fs::path this_program() {
  std::error_code none;
  if (auto self = fs::read_symlink("/proc/self/exe", none); !none) return self;
  const auto* name = reinterpret_cast<const char*>(getauxval(AT_EXECFN));
  auto self = name ? fs::canonical(name, none) : fs::path{};
  return none ? fs::path{} : self;
}

} // namespace

std::vector<fs::path> kernel_folders() {
  std::vector<fs::path> out;
  if (const char* said = std::getenv("CHAMBER_KERNEL_DIR"); said && *said) out.emplace_back(said);
  // The whole prefix may have been moved: where the program is now counts before where it was installed.
  if (const auto self = this_program(); !self.empty()) {
    out.push_back(self.parent_path());
    out.push_back((self.parent_path() / CHAMBER_KERNEL_FROM_PROGRAM).lexically_normal());
  }
  out.emplace_back(CHAMBER_KERNEL_DIR);
  return out;
}

std::string_view kernel_version() {
  return CHAMBER_OCCT_VERSION;
}

Result<Make> load_from(const std::vector<fs::path>& folders) {
  return make_of(find_module(folders));
}

void preload() {
  loading(std::launch::async);
}

Result<Make> load() {
  return make_of(loading(std::launch::deferred).get());
}

Result<MeasureHere> load_measure_here() {
  const auto table = loading(std::launch::deferred).get();
  if (!table) return tl::unexpected(table.error());
  return (*table)->measure_here;
}

} // namespace chamber::solid
