#include "chamber/units/markup.hpp"
#include <charconv>
#include <cmath>
#include <stdexcept>

namespace chamber::units {

std::string xml_escaped(std::string_view text) {
  std::string out;
  out.reserve(text.size());
  for (const char c : text) {
    switch (c) {
    case '&':
      out += "&amp;";
      break;
    case '<':
      out += "&lt;";
      break;
    case '>':
      out += "&gt;";
      break;
    case '"':
      out += "&quot;";
      break;
    case '\'':
      out += "&apos;";
      break;
    default:
      out += static_cast<unsigned char>(c) < 32 ? ' ' : c;
    }
  }
  return out;
}

void append_decimal(std::string& out, double value, int decimals) {
  if (!(std::abs(value) < 1e9)) throw std::logic_error("markup: a coordinate is not a finite number");
  long long one = 1;
  for (int i = 0; i < decimals; ++i) one *= 10;
  auto left = std::llround(std::abs(value) * static_cast<double>(one));
  if (value < 0 && left != 0) out += '-';
  char digits[24];
  out.append(digits, std::to_chars(digits, digits + sizeof digits, left / one).ptr);
  if ((left %= one) == 0) return;
  out += '.';
  for (long long place = one / 10; left != 0; left %= place, place /= 10) out += static_cast<char>('0' + left / place);
}

} // namespace chamber::units
