#include "chamber/drawing/lengths.hpp"
#include "chamber/units/quantity.hpp"
#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace chamber::drawing::detail {
namespace {

std::string trimmed(std::string s) {
  if (s.find('.') == std::string::npos) return s;
  while (s.back() == '0') s.pop_back();
  if (s.back() == '.') s.pop_back();
  return s;
}

/// The table's figure, which has one decimal more, rounded as its reader would: 162.4549 stands there as 162.455, so it
/// is 162.46 here and not 162.45.
std::string as_in_table(double value, int decimals) {
  auto table = units::fixed(value, decimals + 1);
  table.erase(std::find(table.begin(), table.end(), '.'));
  const long long last_places = std::stoll(table);
  const long long rounded = (std::llabs(last_places) + 5) / 10 * (last_places < 0 ? -1 : 1);
  return units::fixed(static_cast<double>(rounded) / std::pow(10.0, decimals), decimals);
}

} // namespace

std::string Lengths::first(double mm, Fineness f) const {
  const bool fine = f == Fineness::fine;
  if (inch()) return fine ? column(mm) : as_in_table(mm / units::mm_per_inch, 3);
  return trimmed(fine ? column(mm) : as_in_table(mm, 2));
}

std::string Lengths::column(double mm) const {
  return inch() ? units::fixed(mm / units::mm_per_inch, 4) : units::fixed(mm, 3);
}

std::string Lengths::second(double mm, Fineness f) const {
  if (!both()) return {};
  const double inches = mm / units::mm_per_inch;
  return fmt::format("[{}]", f == Fineness::fine ? units::fixed(inches, 4) : as_in_table(inches, 3));
}

Label Lengths::label(std::string_view sign, double mm, Fineness f, std::string_view after) const {
  return {fmt::format("{}{}{}", sign, first(mm, f), after), second(mm, f)};
}

std::string Lengths::words(std::string_view sign, double mm, Fineness f) const {
  const auto inches = second(mm, f);
  return fmt::format("{}{}{}{}", sign, first(mm, f), inches.empty() ? "" : " ", inches);
}

std::string degrees_words(double deg) {
  return trimmed(units::fixed(deg, 2)) + "°";
}

std::string thread_words(std::string_view thread) {
  std::string out;
  for (const char c : thread) c == 'x' ? out += "×" : out += c;
  return out;
}

std::string scale_words(double scale) {
  return scale >= 1 ? fmt::format("{:.0f}:1", scale) : fmt::format("1:{:.0f}", 1 / scale);
}

} // namespace chamber::drawing::detail
