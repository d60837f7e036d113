// Numbers with units: what is read, what is refused. The factors themselves are compared with GNU units by
// tests/external/units_factors.py.
#include "chamber/units/quantity.hpp"
#include <catch2/catch.hpp>
#include <cmath>
#include <locale>
#include <rapidcheck/catch.h>

using namespace chamber::units;

namespace {

double mm(std::string_view text) {
  const auto q = parse(text, Dimension::length);
  INFO(text);
  REQUIRE(q);
  return q->value;
}

std::string complaint(std::string_view text, Dimension d) {
  const auto q = parse(text, d);
  INFO(text);
  REQUIRE_FALSE(q);
  return q.error().message + " / " + q.error().cure;
}

constexpr Dimension every_dimension[] = {Dimension::length,   Dimension::volume,        Dimension::angle,
                                         Dimension::pressure, Dimension::rotation,      Dimension::velocity,
                                         Dimension::feed,     Dimension::cutting_speed, Dimension::temperature,
                                         Dimension::mass,     Dimension::ratio};

} // namespace

// The international inch is 25.4 mm exactly (ISO 31 / NIST SP 811); GNU units gives the same.
TEST_CASE("decimals, signs and exponents are read") {
  CHECK(mm("66.4 mm") == 66.4);
  CHECK(mm("66.4mm") == 66.4);
  CHECK(mm("  66.4\t mm ") == 66.4);
  CHECK(mm("0.060 in") == Approx(1.524).epsilon(1e-15));
  CHECK(mm(".5 in") == Approx(12.7).epsilon(1e-15));
  CHECK(mm("+3 mm") == 3);
  CHECK(mm("-3 mm") == -3);
  CHECK(mm("1.5e1 mm") == 15);
  CHECK(mm("60 thou") == Approx(1.524).epsilon(1e-15));
}

// Shop fractions of an inch: dyadic, so exact in binary.
TEST_CASE("shop fractions are read") {
  CHECK(mm("63/64 in") == 63.0 / 64 * 25.4);
  CHECK(mm("1 1/2 in") == 1.5 * 25.4);
  CHECK(mm("2 3/16\"") == 2.1875 * 25.4);
  CHECK(mm("-1 1/2 in") == -1.5 * 25.4);
  for (const auto* bad : {"1/3 in", "1/128 in", "1/0 in", "1.5 1/2 in", "1 3/2 in", "1/2/4 in", "1 1/2"})
    CHECK_FALSE(parse(bad, Dimension::length));
  CHECK(complaint("1.5 1/2 in", Dimension::length).find("whole number") != std::string::npos);
}

TEST_CASE("every unit of every dimension is read and printed back") {
  for (const auto d : every_dimension) {
    REQUIRE_FALSE(units_of(d).empty());
    CHECK(units_of(d)[0].scale == 1); // the internal unit stands first
    CHECK(units_of(d)[0].offset == 0);
    for (const auto& u : units_of(d)) {
      CHECK(u.dimension == d);
      const auto q = parse(format(12.5 * u.scale + u.offset, u, 3), d);
      REQUIRE(q);
      CHECK(q->typed == Approx(12.5));
      CHECK(q->value == Approx(12.5 * u.scale + u.offset).margin(1e-9));
      CHECK(q->unit == &u);
    }
    // The example in the cure is itself readable.
    const auto text = std::string(example(d));
    const auto from = text.find('"') + 1;
    CHECK(parse(text.substr(from, text.find('"', from) - from), d));
  }
}

// Spellings people use for the same unit: common practice, no source.
TEST_CASE("aliases mean their unit") {
  const auto same = [](Dimension d, std::string_view a, std::string_view b) {
    INFO(a);
    const auto p = parse(a, d), q = parse(b, d);
    REQUIRE(p);
    REQUIRE(q);
    CHECK(p->unit == q->unit);
    CHECK(p->value == q->value);
  };
  for (const auto* text : {"2 inch", "2 inches", "2\"", "2 \""}) same(Dimension::length, text, "2 in");
  for (const auto* text : {"2 feet", "2 foot"}) same(Dimension::length, text, "2 ft");
  for (const auto* text : {"2 metres", "2 meters"}) same(Dimension::length, text, "2 m");
  same(Dimension::length, "2 thousandths", "2 thou");
  same(Dimension::length, "2 \u00b5m", "2 um");
  for (const auto* text : {"188 degrees", "188 degree", "188\u00b0"}) same(Dimension::angle, text, "188 deg");
  for (const auto* text : {"20 \u00b0C", "20 degC"}) same(Dimension::temperature, text, "20 C");
  for (const auto* text : {"68 \u00b0F", "68 degF"}) same(Dimension::temperature, text, "68 F");
  same(Dimension::volume, "21.8 mL", "21.8 ml");
  same(Dimension::volume, "1.3 cu in", "1.3 in3");
  same(Dimension::volume, "21.8 ccm", "21.8 cc");
  same(Dimension::volume, "21.8 cm\u00b3", "21.8 cm3");
  same(Dimension::volume, "2 L", "2 l");
  same(Dimension::pressure, "101 kpa", "101 kPa");
  same(Dimension::pressure, "185 PSI", "185 psi");
  same(Dimension::rotation, "9000 1/min", "9000 rpm");
}

// Fixed points of the scales: water freezes at 0 C = 32 F = 273.15 K, and -40 is the same in C and F (definition).
TEST_CASE("temperatures have their offset") {
  const auto celsius = [](std::string_view text) { return parse(text, Dimension::temperature).value().value; };
  CHECK(celsius("32 F") == Approx(0).margin(1e-12));
  CHECK(celsius("212 F") == Approx(100));
  CHECK(celsius("-40 F") == Approx(-40));
  CHECK(celsius("273.15 K") == Approx(0).margin(1e-12));
  CHECK(format(0, units_of(Dimension::temperature)[1], 1) == "32.0 F");
}

TEST_CASE("what is not a finite number is refused") {
  for (const auto* text :
       {"inf mm", "-inf mm", "infinity mm", "nan mm",  "NaN mm",  "nan(1) mm", "1e400 mm", "-1e400 mm", "1e-400 mm",
        "",       "   ",     "mm",          "abc",     "- mm",    "+ mm",      "+-5 mm",   "-+5 mm",    "--5 mm",
        "++5 mm", ". mm",    "0x1p3 mm",    "0x10 mm", "1e308 m", "5 e3 mm",   "1 000 mm", "1'000 mm"})
    CHECK_FALSE(parse(text, Dimension::length));
  CHECK(complaint("inf mm", Dimension::length).find("finite") != std::string::npos);
  CHECK(complaint("1e308 m", Dimension::length).find("too large") != std::string::npos);
}

TEST_CASE("a decimal comma is called one") {
  CHECK(complaint("66,4 mm", Dimension::length).find("decimal comma") != std::string::npos);
  CHECK(complaint("1,000 mm", Dimension::length).find("decimal comma") != std::string::npos);
}

TEST_CASE("a missing unit is never guessed") {
  CHECK(complaint("66.4", Dimension::length).find("no unit") != std::string::npos);
  CHECK(complaint("188", Dimension::angle).find("188 deg") != std::string::npos); // the cure shows one
  CHECK(parse("0.45", Dimension::ratio).value().value == 0.45);
  CHECK(parse("45 %", Dimension::ratio).value().value == Approx(0.45));
  CHECK(parse("7.2:1", Dimension::ratio).value().value == 7.2);
  CHECK(parse("8.0 to 1", Dimension::ratio).value().value == 8.0);
  CHECK(parse("9000 RPM", Dimension::rotation).value().value == 9000);
}

TEST_CASE("a unit of another dimension is named for what it is") {
  CHECK(complaint("66.4 deg", Dimension::length).find("is an angle, but a length is wanted") != std::string::npos);
  CHECK(complaint("21.8 mm", Dimension::volume).find("is a length, but a volume is wanted") != std::string::npos);
  CHECK(complaint("30 m/s", Dimension::cutting_speed).find("is a velocity") != std::string::npos);
  CHECK(complaint("9000 rpm", Dimension::ratio).find("speed of rotation") != std::string::npos);
  for (const auto wanted : every_dimension)
    for (const auto other : every_dimension)
      for (const auto& u : units_of(other)) {
        if (wanted == other || u.symbol.empty()) continue;
        CHECK_FALSE(parse("1 " + std::string(u.symbol), wanted));
      }
}

TEST_CASE("typos in units are met with a suggestion") {
  CHECK(complaint("66.4 mn", Dimension::length).find("did you mean \"mm\"") != std::string::npos);
  CHECK(complaint("185 pis", Dimension::pressure).find("did you mean") ==
        std::string::npos); // two letters swapped: two steps
  CHECK(complaint("185 psii", Dimension::pressure).find("did you mean \"psi\"") != std::string::npos);
  CHECK(complaint("9000 rpn", Dimension::rotation).find("did you mean \"rpm\"") != std::string::npos);
  CHECK(complaint("66.4 x", Dimension::length).find("did you mean") == std::string::npos);
  CHECK(complaint("66.4 \u03bcm", Dimension::length).find("not known") !=
        std::string::npos);                         // Greek mu, not the micro sign
  CHECK_FALSE(parse("66.4 MM", Dimension::length)); // case matters: mPa is not MPa
}

TEST_CASE("properties of reading and printing") {
  rc::prop("a printed decimal is read back to the same number", [] {
    const auto units = units_of(Dimension::length);
    const auto& u = units[*rc::gen::inRange<std::size_t>(0, units.size())];
    const double typed = *rc::gen::inRange(-1000000, 1000000) / 1000.0;
    const auto q = parse(fixed(typed, 3) + " " + std::string(u.symbol), Dimension::length);
    RC_ASSERT(q.has_value());
    RC_ASSERT(q->typed == typed);
    RC_ASSERT(std::abs(q->value - typed * u.scale) <= 1e-15 * std::abs(typed * u.scale));
  });
  rc::prop("any text is either a finite quantity or a problem with a cure", [](const std::string& text) {
    for (const auto d : every_dimension) {
      const auto q = parse(text, d);
      RC_ASSERT(
          (q ? std::isfinite(q->value) && q->unit != nullptr : !q.error().message.empty() && !q.error().cure.empty()));
    }
  });
  rc::prop("so is a number followed by any text", [](int number, const std::string& tail) {
    const auto q = parse(std::to_string(number) + tail, Dimension::length);
    RC_ASSERT((q ? std::isfinite(q->value) : !q.error().cure.empty()));
  });
}
