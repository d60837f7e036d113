#pragma once
// Comments of a program: how they are kept harmless, and what the header says.
#include "chamber/turning/plan.hpp"
#include "chamber/turning/write_dialect.hpp"

namespace chamber::turning::detail {

/// Program text as it grows, line by line.
class Text {
public:
  explicit Text(const Machine& machine) : longest_(static_cast<std::size_t>(machine.max_line_length)) {}
  /// Empty lines are left out.
  void line(std::string_view text);
  /// Wrapped over as many lines as it takes. The label keeps a text from starting with a word the control acts on.
  void comment(std::string_view label, std::string_view text);
  std::string take() { return std::move(out_); }

private:
  std::size_t longest_;
  std::string out_;
};

/// "12.00 MM" or "0.472 IN".
std::string length_text(const Machine& machine, double mm, int decimals = 2);

/// Job, side, clamping, units, zero, stock, lathe, tools, nose, cautions, notes.
void write_header(Text& text, const Plan& plan, const Setup& setup, const Machine& machine, const Dialect& dialect);

} // namespace chamber::turning::detail
