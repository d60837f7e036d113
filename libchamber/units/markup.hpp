#pragma once
// Pieces of XML text: SVG and HTML are made of them.
#include <string>
#include <string_view>

namespace chamber::units {

/// The text with &, <, >, " and ' as entities, safe between tags and in quoted attributes; control characters become
/// spaces.
std::string xml_escaped(std::string_view text);

/// At most so many decimals (0 to 9), no needless zeros, '.' under every locale. Throws std::logic_error unless the
/// value is finite and below 1e9.
void append_decimal(std::string& out, double value, int decimals);

} // namespace chamber::units
