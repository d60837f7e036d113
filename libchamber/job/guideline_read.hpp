#pragma once
#include "chamber/engine/guideline.hpp"
#include "chamber/units/result.hpp"

namespace chamber::job {

/// The guideline that is built in.
const engine::Guideline& built_in_guideline();
/// Its text, as a start for one's own.
std::string_view built_in_guideline_text();

/// Reads a guideline file (TOML, layout of the built-in one); all problems at once.
Results<engine::Guideline> read_guideline(std::string_view text, const std::string& file);
Results<engine::Guideline> load_guideline(const std::string& path);

} // namespace chamber::job
