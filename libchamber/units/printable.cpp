#include "chamber/units/printable.hpp"
#include <algorithm>
#include <cstdint>

namespace chamber {
namespace {

/// Length of the UTF-8 character (RFC 3629) that begins here; 0: none does, or one that steers a terminal.
std::size_t character(std::string_view s) {
  const auto byte = [&](std::size_t i) { return static_cast<std::uint32_t>(static_cast<unsigned char>(s[i])); };
  const auto first = byte(0);
  const std::size_t n = first < 0x80 ? 1 : first >> 5 == 6 ? 2 : first >> 4 == 14 ? 3 : first >> 3 == 30 ? 4 : 0;
  if (n == 0 || n > s.size()) return 0;
  constexpr std::uint32_t payload[] = {0x7f, 0x1f, 0x0f, 0x07}, least[] = {32, 0xa0, 0x800, 0x10000};
  auto code = first & payload[n - 1];
  for (std::size_t i = 1; i < n; ++i) {
    if (byte(i) >> 6 != 2) return 0;
    code = code << 6 | (byte(i) & 0x3f);
  }
  const bool surrogate = code >= 0xd800 && code < 0xe000;
  return code < least[n - 1] || code == 127 || code > 0x10ffff || surrogate ? 0 : n;
}

} // namespace

std::string printable(std::string_view text, std::size_t most) {
  const auto plain = [](unsigned char c) { return c >= 32 && c < 127; };
  if (text.size() <= most && std::all_of(text.begin(), text.end(), plain)) return std::string(text);
  std::string out;
  while (!text.empty()) {
    const auto n = character(text);
    if (out.size() + std::max<std::size_t>(n, 1) > most) return out + "...";
    out += n == 0 ? "?" : text.substr(0, n);
    text.remove_prefix(std::max<std::size_t>(n, 1));
  }
  return out;
}

} // namespace chamber
