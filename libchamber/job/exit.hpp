#pragma once
// How a command ends.
#include "chamber/solve/fit.hpp"
#include "chamber/units/result.hpp"
#include <optional>

namespace chamber::job {

/// The program's exit codes; documented in README.md and `chamber --help`.
enum class Exit {
  done = 0,
  internal = 1,     ///< a fault of the program
  usage = 2,        ///< the command line
  spec = 3,         ///< the spec, or the file that is checked, holds mistakes
  out_of_reach = 4, ///< the wanted volume cannot be met within the limits
  unproven = 5,     ///< a check failed: volumes disagree, a tool does not fit, the lathe program is not proven,
                    ///< a chamber is over a limit
  files = 6,        ///< reading or writing failed
};

/// Why a command did not do what it was asked.
struct Failure {
  Exit code = Exit::internal;
  std::vector<Problem> problems;
  std::optional<solve::Shortfall> shortfall;
  std::string written = "Nothing was written."; ///< the last thing said
};

std::string to_text(const Failure& failure, const std::string& spec_file);
/// `schema` as that of the command's result.
std::string to_json(const Failure& failure, std::string_view schema);

} // namespace chamber::job
