#include "chamber/drawing/lengths.hpp"
#include "chamber/units/quantity.hpp"
#include <fmt/format.h>

namespace chamber::drawing::detail {
namespace {

std::string trimmed(std::string s) {
  if (s.find('.') == std::string::npos) return s;
  while (s.back() == '0') s.pop_back();
  if (s.back() == '.') s.pop_back();
  return s;
}

} // namespace

std::string Lengths::first(double mm, Fineness f) const {
  const int more = f == Fineness::fine ? 1 : 0;
  if (inch()) return units::fixed(mm / units::mm_per_inch, 3 + more);
  return trimmed(units::fixed(mm, 2 + more));
}

std::string Lengths::column(double mm) const {
  return inch() ? units::fixed(mm / units::mm_per_inch, 4) : units::fixed(mm, 3);
}

std::string Lengths::second(double mm, Fineness f) const {
  if (!both()) return {};
  return fmt::format("[{}]", units::fixed(mm / units::mm_per_inch, f == Fineness::fine ? 4 : 3));
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
