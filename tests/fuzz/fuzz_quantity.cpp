// First byte: the dimension; the rest: what was typed.
#include "chamber/units/quantity.hpp"
#include "target.hpp"
#include <fmt/format.h>

namespace chamber::fuzz {
namespace {

using units::Dimension;

void check_height(const std::string& text) {
  const auto q = units::parse_height(text);
  if (!q) return check_problem(q.error(), true);
  check_finite(q->value, "height");
  promise(q->unit != nullptr && q->unit->dimension == Dimension::length, "a height without a length's unit");
}

void check(const std::string& text, Dimension d) {
  const auto q = units::parse(text, d);
  if (!q) return check_problem(q.error(), true);
  check_finite(q->value, "value");
  promise(q->unit != nullptr && q->unit->dimension == d, "a unit of another dimension");
  // Written again with all its digits it is the same.
  const auto again = units::parse(fmt::format("{} {}", q->typed, q->unit->symbol), d);
  promise(again && again->typed == q->typed && again->value == q->value && again->unit == q->unit,
          "not the same when written again");
  // As papers write it: within the last digit.
  if (std::abs(q->typed) > 1e9) return;
  const auto shown = units::parse(units::format(q->value, *q->unit, 6), d);
  promise(shown && std::abs(shown->typed - q->typed) <= 1e-6 + 1e-12 * std::abs(q->typed), "not the same as shown");
}

} // namespace

void quantity(std::string_view bytes) {
  if (bytes.empty()) return;
  constexpr auto dimensions = static_cast<unsigned>(Dimension::ratio) + 1;
  const auto which = static_cast<unsigned char>(bytes[0]) % (dimensions + 1);
  const std::string text(bytes.substr(1)); // of its own, so that a read past its end is seen
  which == dimensions ? check_height(text) : check(text, static_cast<Dimension>(which));
}

} // namespace chamber::fuzz
