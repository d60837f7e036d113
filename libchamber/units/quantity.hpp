#pragma once
// "0.060 in", "23.4 cc", "185 psi", "188 deg", "0.35 mm below" <-> numbers.
#include "chamber/units/result.hpp"
#include <span>
#include <string>
#include <string_view>

namespace chamber::units {

/// What a quantity measures. Inside the program each has one unit, named beside it.
enum class Dimension {
  length,        ///< mm
  volume,        ///< cc (1 cc = 1000 mm3)
  angle,         ///< deg
  pressure,      ///< kPa
  rotation,      ///< rpm
  velocity,      ///< m/s
  cutting_speed, ///< m/min
  feed,          ///< mm per revolution
  temperature,   ///< deg C
  mass,          ///< g
  ratio,         ///< 1 ("0.45", "45 %", "7.2:1")
};

/// A unit a person may type.
struct Unit {
  std::string_view symbol; ///< as printed
  Dimension dimension;
  double scale;        ///< internal value = typed * scale + offset
  double offset = 0.0; ///< only temperatures have one
};

/// A number as typed, with its value in the internal unit.
struct Quantity {
  double value = 0.0; ///< internal unit of the dimension
  double typed = 0.0; ///< the number as written
  const Unit* unit = nullptr;
};

/// Reads "number unit". Accepts decimals and shop fractions ("1 1/2 in", "63/64 in").
/// Fails on a missing or unknown unit, a unit of another dimension, a decimal comma, a non-finite or overflowing
/// number.
Result<Quantity> parse(std::string_view text, Dimension dimension);

/// Reads a height in words: "0.35 mm below", "0.010 in above", "level". Positive is below. Value in mm.
/// A signed number without a word is refused: signs are what people get wrong.
Result<Quantity> parse_height(std::string_view text);

/// Units of a dimension, the internal one first.
std::span<const Unit> units_of(Dimension dimension);

/// "a length such as \"66.4 mm\" or \"0.014 in\"": used in cures.
std::string_view example(Dimension dimension);

/// value (internal unit) in the given unit with fixed decimals: "66.40 mm".
std::string format(double value, const Unit& unit, int decimals);

/// Fixed decimals, '.' under every locale; "-0.00" is written "0.00".
std::string fixed(double value, int decimals);

/// The candidate nearest to the word by edit distance, or empty if none is near enough to be a likely typo.
std::string_view did_you_mean(std::string_view word, std::span<const std::string_view> candidates);

inline constexpr double mm_per_inch = 25.4;
inline constexpr double pi = 3.14159265358979323846;
constexpr double radians(double deg) {
  return deg * (pi / 180.0);
}
constexpr double degrees(double rad) {
  return rad * (180.0 / pi);
}

} // namespace chamber::units
