#include "chamber/loading/module.hpp"
#include <algorithm>
#include <cstdlib>
#include <dlfcn.h>
#include <fmt/format.h>
#include <sys/auxv.h>

namespace chamber::loading {
namespace {

namespace fs = std::filesystem;

constexpr auto cure =
    "build or install the program and its libraries together, or name their folder in CHAMBER_KERNEL_DIR.";

/// Whether anything but the library's own goes by one of these names: a variable that the program has copied (as one
/// built without position-independent code does; constant tables may be), or an allocator of somebody's choice.
bool any_replaced(const char* library, std::initializer_list<const char*> names) {
  void* const of = dlopen(library, RTLD_LAZY | RTLD_NOLOAD);
  if (!of) return true;
  const bool any = std::any_of(names.begin(), names.end(),
                               [of](const char* name) { return dlsym(of, name) != dlsym(RTLD_DEFAULT, name); });
  dlclose(of);
  return any;
}

/// That names are looked up in the module's own libraries before the program's, which saves a third of the time to load
/// the CAD kernel. Not where it would find another std::cout or allocator than the program uses, or another word on
/// whether there are threads; nor where functions have been laid over the C library's, a clock say: they are meant.
int own_names_first() {
  const char* const preloaded = std::getenv("LD_PRELOAD");
  const bool overlaid = (preloaded && *preloaded) || dlsym(RTLD_DEFAULT, "__asan_init") != nullptr;
  return overlaid ||
                 any_replaced("libstdc++.so.6",
                              {"_ZSt4cout", "_ZSt4cerr", "_ZSt4clog", "_ZSt3cin", "_Znwm", "_ZdlPv"}) ||
                 any_replaced("libc.so.6", {"stdout", "stderr", "stdin", "environ", "__libc_single_threaded", "malloc",
                                            "realloc", "free"})
             ? 0
             : RTLD_DEEPBIND;
}

Result<const void*> open_file(const Module& m, const fs::path& file) {
  // Lazy: most of a large library's functions are never called.
  void* const module = dlopen(file.c_str(), RTLD_LAZY | RTLD_LOCAL | own_names_first());
  if (!module) return fail(fmt::format("the {} module does not load: {}.", m.what, dlerror()), cure);
  using Entry = const void* (*)();
  const auto entry = reinterpret_cast<Entry>(dlsym(module, m.symbol));
  if (!entry) return fail(fmt::format("{} is not a {} module.", file.string(), m.what), cure);
  const void* const table = entry();
  const char* const build = *static_cast<const char* const*>(table);
  if (build != m.build)
    return fail(fmt::format("{} is of build \"{}\", the program of build \"{}\".", file.string(), build, m.build),
                cure);
  return table;
}

/// Where /proc is not mounted, by the name it was started with.
fs::path this_program() {
  std::error_code none;
  if (auto self = fs::read_symlink("/proc/self/exe", none); !none) return self;
  const auto* name = reinterpret_cast<const char*>(getauxval(AT_EXECFN)); // NOLINT: so it is handed over
  auto self = name ? fs::canonical(name, none) : fs::path{};
  return none ? fs::path{} : self;
}

} // namespace

std::vector<fs::path> module_folders() {
  std::vector<fs::path> out;
  if (const char* said = std::getenv("CHAMBER_KERNEL_DIR"); said && *said) out.emplace_back(said);
  // The whole prefix may have been moved: where the program is now counts before where it was installed.
  if (const auto self = this_program(); !self.empty()) {
    out.push_back(self.parent_path());
    out.push_back((self.parent_path() / CHAMBER_MODULES_FROM_PROGRAM).lexically_normal());
  }
  out.emplace_back(CHAMBER_MODULES_DIR);
  return out;
}

Result<const void*> open(const Module& m, const std::vector<fs::path>& folders) {
  std::string looked;
  for (const auto& folder : folders) {
    const auto file = folder / m.file;
    std::error_code none;
    if (fs::exists(file, none)) return open_file(m, file);
    looked += (looked.empty() ? "" : ", ") + folder.string();
  }
  return fail(fmt::format("{} was not found (looked in {}).", m.file, looked), cure);
}

} // namespace chamber::loading
