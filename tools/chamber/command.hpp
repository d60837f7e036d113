#pragma once
// What main() knows of a subcommand: one file each.
#include <CLI/CLI.hpp>
#include <functional>

namespace chamber::tool {

/// Registers the subcommand; `run` is set to what is to be done when it was given, returning the exit code.
using Run = std::function<int()>;
void add_design(CLI::App& app, Run& run);

/// True when the stream is a terminal and NO_COLOR is not set.
bool wants_colour(int file_descriptor);

} // namespace chamber::tool
