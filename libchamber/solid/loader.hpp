#pragma once
// Loads the CAD kernel only in a program run that needs a solid: the libraries cost tens of milliseconds.
#include "chamber/solid/foreign.hpp"
#include "chamber/solid/solid.hpp"
#include <filesystem>
#include <string_view>

namespace chamber::solid {

/// make() behind the loaded module.
using Make = Result<std::vector<PartResult>> (*)(const std::vector<Part>&, const FileOptions&);

/// Loads the module, once, from the first of kernel_folders() that has it. Fails, naming the places, if it is in none
/// of them, cannot be loaded or is of another build. While it loads, no thread can be started: start them before.
Result<Make> load();

/// measure_step without the process of its own: for the program that is that process.
using MeasureHere = Result<Measured> (*)(const std::string&, const MeasureOptions&);
Result<MeasureHere> load_measure_here();

/// The folders load() looks into, in this order: the one CHAMBER_KERNEL_DIR in the environment names, the program's
/// own, lib/chamber under the program's prefix, the folder of installation.
std::vector<std::filesystem::path> kernel_folders();

/// As load(), from these folders, in this order, each time anew.
Result<Make> load_from(const std::vector<std::filesystem::path>& folders);

/// Of the CAD kernel, OpenCASCADE, that program and module were built with. Loads nothing.
std::string_view kernel_version();

} // namespace chamber::solid
