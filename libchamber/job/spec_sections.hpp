#pragma once
// The larger parts of the spec, each read by its own function; problems go to the reader behind the section.
#include "chamber/job/reader.hpp"
#include "chamber/job/spec.hpp"

namespace chamber::job {

/// [squish], [shape], [pocket], [limits].
void read_shape_sections(Section& root, Spec& spec);
/// [plug], [body], [blank].
void read_body_sections(Section& root, Spec& spec);
/// [lathe], [[tool]].
void read_lathe_sections(Section& root, Spec& spec);

} // namespace chamber::job
