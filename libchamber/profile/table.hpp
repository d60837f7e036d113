#pragma once
// One table of numbers as people write them: what separates the columns, and what the words above them say.
#include "chamber/profile/proposed.hpp"
#include <array>
#include <string_view>

namespace chamber::profile::detail {

inline constexpr std::size_t most_columns = 8;

/// The fields of one line.
struct Fields {
  std::array<std::string_view, most_columns> text;
  std::size_t count = 0; ///< most_columns + 1: more than there is room for
};
/// ' ' stands for any blanks. An empty last field (a separator at the line's end) is none.
Fields split_fields(std::string_view line, char separator);

/// A number; a comma in it is a decimal one if `decimal_comma`. Nothing but the number may stand there.
bool read_number(std::string_view text, bool decimal_comma, double& value);

/// Places behind the decimal point of a number as written, its exponent counted in; negative for round tens.
int decimals_of(std::string_view number);

/// The separator with which the whole line is numbers, or 0.
char separator_of(std::string_view line);

/// What the header says; 0 and `automatic` where it says nothing.
struct Header {
  int across = 0, along = 0; ///< columns, from 1
  Across kind = Across::automatic;
  LengthUnit unit = LengthUnit::automatic;
  std::string foreign_unit; ///< a unit that is neither: "cm"
};
/// Reads lines that came before the numbers. `columns` and `separator` are the numbers'.
Header read_header(const std::vector<std::string>& lines, std::size_t columns, char separator);

} // namespace chamber::profile::detail
