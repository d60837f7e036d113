#pragma once
// Opens at run time those parts of the program whose libraries take longer to load than most commands take to run.
#include "chamber/units/result.hpp"
#include <filesystem>
#include <vector>

namespace chamber::loading {

/// Where modules may be: what CHAMBER_KERNEL_DIR names in the environment, the program's own folder, the library folder
/// that belongs to it, and the one it was installed for, in this order.
std::vector<std::filesystem::path> module_folders();

struct Module {
  std::string_view what; ///< "CAD kernel": how messages call it
  std::string_view file; ///< its file's name
  const char* symbol;    ///< of its one export, a function without arguments that hands out a table
  std::string_view
      build; ///< what the table must say of itself: C++ types cross, so both sides must come from one build
};

/// The table of the first folder that holds the module; the table begins with the build as a const char*. Fails, naming
/// the places, if it is in none of them, cannot be loaded or is of another build.
Result<const void*> open(const Module& module, const std::vector<std::filesystem::path>& folders);

} // namespace chamber::loading
