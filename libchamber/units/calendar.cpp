#include "chamber/units/calendar.hpp"
#include <charconv>
#include <cstdlib>
#include <fmt/format.h>

namespace chamber {

Result<std::optional<std::time_t>> source_date() {
  const char* const set = std::getenv("SOURCE_DATE_EPOCH");
  if (!set) return std::nullopt;
  const std::string_view text(set);
  long long seconds = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), seconds);
  constexpr long long most = 253402300799; // 9999-12-31T23:59:59
  if (error != std::errc() || end != text.data() + text.size() || seconds < 0 || seconds > most)
    return fail(fmt::format("SOURCE_DATE_EPOCH is \"{}\", which is not a number of seconds.", text),
                "set it to a whole number of seconds since 1970, or unset it.");
  return static_cast<std::time_t>(seconds);
}

std::string iso_8601(std::time_t seconds) {
  std::tm t{};
  gmtime_r(&seconds, &t);
  return fmt::format("{:04}-{:02}-{:02}T{:02}:{:02}:{:02}", t.tm_year + 1900, t.tm_mon + 1, t.tm_mday, t.tm_hour,
                     t.tm_min, t.tm_sec);
}

} // namespace chamber
