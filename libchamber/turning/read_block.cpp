#include "chamber/turning/read_block.hpp"
#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <fmt/format.h>

namespace chamber::turning::detail {
namespace {

constexpr double largest_number = 1e5;

bool one_of(char letter, std::string_view letters) {
  return letters.find(letter) != std::string_view::npos;
}

/// Whether a control would act on the comment instead of showing it.
bool active(std::string_view comment) {
  constexpr std::array<std::string_view, 10> keywords = {"DEBUG",     "MSG",      "PRINT",     "LOG",        "LOGOPEN",
                                                         "LOGAPPEND", "LOGCLOSE", "PROBEOPEN", "PROBECLOSE", "PY"};
  std::string head;
  for (const char c : comment) {
    if (c == ' ') continue;
    if (c == ',') break;
    if (head.size() > 12) return false;
    head += static_cast<char>(c >= 'a' && c <= 'z' ? c - 32 : c);
  }
  return std::find(keywords.begin(), keywords.end(), head) != keywords.end();
}

class Dissector {
public:
  explicit Dissector(std::string_view line) : rest_(line) {}

  Result<Block> run() {
    while (!rest_.empty()) {
      const char c = rest_.front();
      if (c == ' ') {
        rest_.remove_prefix(1);
      } else if (c == '(') {
        if (const auto done = comment(); !done) return tl::unexpected(done.error());
      } else if (c >= 'A' && c <= 'Z') {
        rest_.remove_prefix(1);
        if (const auto done = word(c); !done) return tl::unexpected(done.error());
      } else {
        return fail(fmt::format("'{}' begins no word.", c), "write a letter and a number.");
      }
    }
    if (block_.comment && !block_.empty()) return fail("a comment beside words.", "give the comment its own line.");
    return std::move(block_);
  }

private:
  Result<void> comment() {
    const auto close = rest_.find(')');
    if (close == std::string_view::npos || rest_.substr(1, close - 1).find('(') != std::string_view::npos)
      return fail("a comment that is not closed, or nested.", "write one pair of round brackets.");
    if (active(rest_.substr(1, close - 1)))
      return fail("a comment that a control would act on.", "begin it with another word.");
    block_.comment = true;
    rest_.remove_prefix(close + 1);
    return {};
  }

  Result<void> word(char letter) {
    double value = 0;
    const char* const first = rest_.data();
    const auto [end, error] = std::from_chars(first, first + rest_.size(), value, std::chars_format::fixed);
    if (error != std::errc{} || !std::isfinite(value) || std::abs(value) > largest_number)
      return fail(fmt::format("no usable number after {}.", letter), "write a plain decimal number.");
    const auto digits = rest_.substr(0, static_cast<std::size_t>(end - first));
    rest_.remove_prefix(digits.size());
    if (letter == 'G' || letter == 'M') return code(letter, value);
    if (!one_of(letter, "XZIKFSDTONP"))
      return fail(fmt::format("the word {} has no place in a program of this kind.", letter), "remove it.");
    for (const auto& w : block_.words)
      if (w.letter == letter) return fail(fmt::format("two {} words.", letter), "keep one a line.");
    if (one_of(letter, "XZIKF") && !one_of('.', digits))
      return fail(fmt::format("the number after {} has no decimal point.", letter),
                  "write it: many controls read the bare number in thousandths.");
    block_.words.push_back({letter, value});
    return {};
  }

  Result<void> code(char letter, double value) {
    const double tenfold = value * 10;
    if (value < 0 || std::abs(tenfold - std::round(tenfold)) > 1e-9)
      return fail(fmt::format("{}{} is no code.", letter, value), "write a code of the program's dialect.");
    (letter == 'G' ? block_.g : block_.m).push_back(static_cast<int>(std::lround(tenfold)));
    return {};
  }

  std::string_view rest_;
  Block block_;
};

} // namespace

Result<Block> dissect(std::string_view line) {
  return Dissector(line).run();
}

} // namespace chamber::turning::detail
