#pragma once
// Random specs as a builder might send them in: every family, mm and inches mixed, most of them possible.
#include "spec_text.hpp"

namespace chamber::job::testing {

/// The same text for the same seed. `lathes`: the folder that holds the lathe files.
SpecText random_spec(unsigned seed, const std::string& lathes);

} // namespace chamber::job::testing
