#pragma once
// Numbers as the drawing writes them: lengths to 0.01 mm (0.001 in), to 0.001 mm (0.0001 in) only where said
// and in tables.
#include "chamber/drawing/board.hpp"
#include "chamber/drawing/sheet.hpp"

namespace chamber::drawing::detail {

enum class Fineness {
  usual,
  tabled, ///< a figure of the corner table's: in full where its reader would round it to something else
  fine,
};

class Lengths {
public:
  explicit Lengths(Units units) : units_(units) {}
  bool both() const { return units_ == Units::both; }
  bool inch() const { return units_ == Units::inch; }
  std::string_view unit() const { return inch() ? "in" : "mm"; }

  /// In the first unit; trailing zeros of mm are left out.
  std::string first(double mm, Fineness f = Fineness::usual) const;
  /// In the first unit with all decimals, for tables.
  std::string column(double mm) const;
  /// "[1.093]" in inches, or empty.
  std::string second(double mm, Fineness f = Fineness::usual) const;

  /// For a dimension: "⌀66.4" over, "[⌀2.614]" under.
  Label label(std::string_view sign, double mm, Fineness f = Fineness::usual, std::string_view after = {}) const;
  /// On one line: "R27.759 [1.0929]".
  std::string words(std::string_view sign, double mm, Fineness f = Fineness::usual) const;

  /// A size with its limits where they are its own; those that a note gives go without.
  Label label(std::string_view sign, double mm, const shapes::Limits* limits) const;
  std::string words(std::string_view sign, double mm, const shapes::Limits* limits) const;
  /// "±0.02", "+0.06/–0.03" (ISO 129-1: on one line, a solidus between).
  std::string deviations(const shapes::Limits& limits) const;

private:
  std::string toleranced(const shapes::Limits& limits) const;
  std::string number(double v, int decimals) const;
  Units units_;
};

/// Angle in degrees, at most two decimals: "7.5°".
std::string degrees_words(double deg);
/// "M14×1.25" of "M14x1.25".
std::string thread_words(std::string_view thread);
/// "2:1", "1:2".
std::string scale_words(double scale);

} // namespace chamber::drawing::detail
