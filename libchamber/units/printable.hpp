#pragma once
#include <string>
#include <string_view>

namespace chamber {

/// What a file said, as a terminal may be given it: control characters and broken UTF-8 become question marks, and what
/// is longer than `most` bytes ends in three dots.
std::string printable(std::string_view text, std::size_t most = std::string_view::npos);

} // namespace chamber
