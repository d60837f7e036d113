#pragma once
// What crosses the boundary between the program and the module that holds the CAD kernel.
#include "chamber/solid/foreign.hpp"
#include "chamber/solid/solid.hpp"

namespace chamber::solid {

/// The module's one export hands this out. C++ types cross, so both sides must come from one build: `build` is compared
/// first.
struct KernelTable {
  const char* build;
  bool (*warm_up)();
  Result<std::vector<PartResult>> (*make)(const std::vector<Part>&, const FileOptions&);
  /// measure_step without the process of its own and without its limits.
  Result<Measured> (*measure_here)(const std::string&, const MeasureOptions&);
};

inline constexpr const char* kernel_symbol = "chamber_solid_kernel";
inline constexpr const char* kernel_build = CHAMBER_KERNEL_BUILD;

} // namespace chamber::solid

extern "C" const void* chamber_solid_kernel();
