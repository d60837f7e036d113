#include "chamber/drawing/lengths.hpp"
#include "chamber/units/quantity.hpp"
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

/// With one decimal more where it is fine. So also where the table, which has that one, would be rounded up by its
/// reader though the value goes down: 162.4549 stands there as 162.455, so it is neither 162.45 here nor 162.46.
std::string figure(double value, int decimals, Fineness f) {
  auto shorter = units::fixed(value, decimals), table = units::fixed(value, decimals + 1);
  const bool ambiguous = table.back() == '5' && table.starts_with(shorter);
  return f == Fineness::fine || (f == Fineness::tabled && ambiguous) ? table : shorter;
}

} // namespace

std::string Lengths::first(double mm, Fineness f) const {
  return inch() ? figure(mm / units::mm_per_inch, 3, f) : trimmed(figure(mm, 2, f));
}

std::string Lengths::column(double mm) const {
  return inch() ? units::fixed(mm / units::mm_per_inch, 4) : units::fixed(mm, 3);
}

std::string Lengths::second(double mm, Fineness f) const {
  return both() ? fmt::format("[{}]", figure(mm / units::mm_per_inch, 3, f)) : std::string();
}

Label Lengths::label(std::string_view sign, double mm, Fineness f, std::string_view after) const {
  return {fmt::format("{}{}{}", sign, first(mm, f), after), second(mm, f)};
}

std::string Lengths::words(std::string_view sign, double mm, Fineness f) const {
  const auto inches = second(mm, f);
  return fmt::format("{}{}{}{}", sign, first(mm, f), inches.empty() ? "" : " ", inches);
}

std::string Lengths::number(double v, int decimals) const {
  const auto text = units::fixed(v, decimals);
  return inch() ? text : trimmed(text);
}

std::string Lengths::deviations(const shapes::Limits& l) const {
  const auto p = shapes::printed(l, inch());
  constexpr double nothing = 1e-6;
  const double up = p.upper - p.nominal, down = p.nominal - p.lower;
  if (std::abs(up - down) < nothing) return "±" + number(up, p.decimals);
  const auto side = [&](std::string_view sign, double v) {
    return v < nothing ? std::string("0") : fmt::format("{}{}", sign, number(v, p.decimals));
  };
  return fmt::format("{}/{}", side("+", up), side("–", down));
}

std::string Lengths::toleranced(const shapes::Limits& l) const {
  const auto p = shapes::printed(l, inch());
  const auto nominal = number(p.nominal, p.decimals);
  return l.grounds == shapes::Grounds::profile ? nominal : fmt::format("{} {}", nominal, deviations(l));
}

Label Lengths::label(std::string_view sign, double mm, const shapes::Limits* l) const {
  if (!l || l->grounds == shapes::Grounds::general) return label(sign, mm);
  return {fmt::format("{}{}", sign, toleranced(*l)), second(mm, Fineness::usual)};
}

std::string Lengths::words(std::string_view sign, double mm, const shapes::Limits* l) const {
  if (!l || l->grounds == shapes::Grounds::general) return words(sign, mm);
  const auto inches = second(mm, Fineness::usual);
  return fmt::format("{}{}{}{}", sign, toleranced(*l), inches.empty() ? "" : " ", inches);
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
