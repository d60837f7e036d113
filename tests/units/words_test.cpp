// Heights in words, printed numbers, suggestions, problems as text.
#include "chamber/units/quantity.hpp"
#include <array>
#include <catch2/catch.hpp>
#include <locale>
#include <sstream>

using namespace chamber::units;

// The sign convention is the product's own: how far the piston's edge lies below the cylinder top, positive below.
TEST_CASE("heights are read in words") {
  CHECK(parse_height("0.35 mm below").value().value == 0.35);
  CHECK(parse_height("0.010 in above").value().value == Approx(-0.254));
  CHECK(parse_height("1/64 in below").value().value == 25.4 / 64);
  CHECK(parse_height("level").value().value == 0);
  CHECK(parse_height(" level ").value().value == 0);
  CHECK(parse_height("14 thou above").value().typed == -14);
}

TEST_CASE("a height without a word, or with a sign as well, is refused") {
  for (const auto* text :
       {"0.35 mm", "-0.35 mm", "-0.35 mm below", "-0 mm above", "below", "0.35 below", "0.35 deg below", "nan mm below",
        "0,35 mm below", "0.35 mm beneath", "level below", "0.35 mm level", "0.35 mm below above", ""}) {
    INFO(text);
    const auto h = parse_height(text);
    REQUIRE_FALSE(h);
    CHECK(h.error().cure.find("0.35 mm below") != std::string::npos);
  }
  CHECK(parse_height("0.35 mm").error().message.find("does not say below") != std::string::npos);
  CHECK(parse_height("-0.35 mm below").error().message.find("both a sign and a word") != std::string::npos);
}

TEST_CASE("numbers are printed with fixed decimals and no negative zero") {
  CHECK(fixed(66.4, 2) == "66.40");
  CHECK(fixed(-0.004, 2) == "0.00");
  CHECK(fixed(-0.0, 0) == "0");
  CHECK(fixed(-0.006, 2) == "-0.01");
  CHECK(fixed(1234567.891, 1) == "1234567.9"); // no grouping
  CHECK(format(66.4, units_of(Dimension::length)[0], 2) == "66.40 mm");
  CHECK(format(25.4, units_of(Dimension::length)[3], 3) == "1.000 in");
  CHECK(format(0.45, units_of(Dimension::ratio)[1], 1) == "45.0 %");
  CHECK(format(7.2, units_of(Dimension::ratio)[2], 1) == "7.2:1");
  CHECK(format(7.2, units_of(Dimension::ratio)[0], 1) == "7.2");
}

namespace {
struct CommaAndDots : std::numpunct<char> {
  char do_decimal_point() const override { return ','; }
  char do_thousands_sep() const override { return '.'; }
  std::string do_grouping() const override { return "\3"; }
};
} // namespace

// The C side of the locale (setlocale) is tests/external/units_locale.py's.
TEST_CASE("a C++ locale with a decimal comma changes nothing") {
  const auto before = std::locale::global(std::locale(std::locale::classic(), new CommaAndDots));
  std::ostringstream probe;
  probe << 1234.5;
  const auto printed = fixed(1234.5, 1);
  const auto read = parse("1234.5 mm", Dimension::length);
  std::locale::global(before);
  REQUIRE(probe.str() == "1.234,5"); // the locale did take
  CHECK(printed == "1234.5");
  REQUIRE(read);
  CHECK(read->value == 1234.5);
}

// Distances by hand: insert, drop or change one letter each cost one.
TEST_CASE("did you mean") {
  constexpr std::array<std::string_view, 4> words{"bore", "stroke", "rod_length", "exhaust_duration"};
  CHECK(did_you_mean("bor", words) == "bore");
  CHECK(did_you_mean("boer", words).empty()); // two steps are too many for four letters
  CHECK(did_you_mean("strokes", words) == "stroke");
  CHECK(did_you_mean("STROKE", words) == "stroke");
  CHECK(did_you_mean("rod_lenght", words) == "rod_length");
  CHECK(did_you_mean("exaust_duratoin", words) == "exhaust_duration");
  CHECK(did_you_mean("altitude", words).empty());
  CHECK(did_you_mean("", words).empty());
  CHECK(did_you_mean("b", words).empty());
  CHECK(did_you_mean(std::string(65, 'b'), words).empty());
  CHECK(did_you_mean("bore", {}).empty());
  constexpr std::array<std::string_view, 1> single{"m"};
  CHECK(did_you_mean("x", single).empty());
  CHECK(did_you_mean("M", single) == "m");
}

TEST_CASE("a problem as one line of text") {
  using chamber::Problem;
  CHECK(to_text(Problem{{"a.toml", 3, 7}, "Wrong.", "mend it."}) == "a.toml:3:7: Wrong. Cure: mend it.");
  CHECK(to_text(Problem{{}, "Wrong.", ""}) == "Wrong.");
  CHECK(to_text(Problem{{"a.toml", 0, 0}, "Wrong.", ""}) == "a.toml: Wrong.");
}
