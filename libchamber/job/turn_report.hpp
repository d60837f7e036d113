#pragma once
// The setup sheet's data: what stands in the chuck, then every tool with what it does, as text and as JSON.
#include "chamber/job/json_parts.hpp"
#include "chamber/job/paint.hpp"
#include "chamber/job/turn.hpp"

namespace chamber::job {

/// A part of the summary. `base`: the job's name in file names.
std::string turning_text(const Turned& turned, const std::string& base, const Paint& paint);
/// The member `turning` of the result; its layout is in README.md.
Json turning_json(const Turned& turned, const std::string& base);

} // namespace chamber::job
