#pragma once
#include "chamber/job/check.hpp"

namespace chamber::job {

/// Reads the file as `kind` (a spec is not read here).
tl::expected<Proposal, Failure> read_proposal(const std::string& file, CheckKind kind, const Spec* engine,
                                              const CheckOptions& options);

/// The profile as its features are read from: without the hair lines that close gaps of a drawing, and where it is made
/// of many short lines without the jitter of written digits, which hide the edges of the metal. For all but the volume.
profile::Chain without_jitter(const profile::Chain& chain, double bore_radius_mm);

} // namespace chamber::job
