#pragma once
#include "chamber/units/result.hpp"

namespace chamber::job {

/// A whole text file of at most 1 MiB ("-" is standard input). `what` names it in messages: "spec", "guideline".
Result<std::string> read_text_file(const std::string& path, std::string_view what);

} // namespace chamber::job
