#pragma once
// The larger parts of the spec, each read by its own function; problems go to the reader behind the section.
#include "chamber/job/reader.hpp"
#include "chamber/job/spec.hpp"

namespace chamber::job {

/// [squish]. Not `needed`: on a sheet without a shape, where the clearance is only a criterion.
void read_squish_section(Section& root, Spec& spec, bool needed);
/// [shape], [limits].
void read_shape_sections(Section& root, Spec& spec);
/// [plug].
void read_plug_section(Section& root, Spec& spec);
/// [pocket], [body], [blank].
void read_body_sections(Section& root, Spec& spec);
/// [lathe], [chucking], [[tool]], and the lathe file they name; `lathe_file`, if not empty, instead of all that. The
/// body and the blank must have been read.
void read_lathe_sections(Reader& reader, Section& root, Spec& spec, const std::string& lathe_file);
/// [drawing]. The motor must have been read.
void read_drawing_section(Section& root, Spec& spec);
/// [gauge], [today], [[reading]], [use], [[site]], [uncertainty]. The motor and [plug] must have been read.
void read_sheet_sections(Section& root, Spec& spec, const engine::Guideline& guideline);

} // namespace chamber::job
