#include "chamber/units/quantity.hpp"
#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <fmt/format.h>
#include <numeric>
#include <optional>
#include <vector>

namespace chamber {

std::string to_text(const Problem& p) {
  std::string where;
  if (!p.place.file.empty()) where = p.place.file + ":";
  if (p.place.line > 0) where += fmt::format("{}:{}:", p.place.line, p.place.column);
  if (!where.empty()) where += ' ';
  return where + p.message + (p.cure.empty() ? "" : " Cure: " + p.cure);
}

} // namespace chamber

namespace chamber::units {
namespace {

// Exact by definition unless noted. inHg and mmHg: conventional mercury (NIST SP 811 appendix B).
constexpr std::array lengths{Unit{"mm", Dimension::length, 1},        Unit{"cm", Dimension::length, 10},
                             Unit{"m", Dimension::length, 1000},      Unit{"in", Dimension::length, 25.4},
                             Unit{"thou", Dimension::length, 0.0254}, Unit{"ft", Dimension::length, 304.8},
                             Unit{"um", Dimension::length, 0.001}};
constexpr std::array volumes{Unit{"cc", Dimension::volume, 1},   Unit{"ml", Dimension::volume, 1},
                             Unit{"cm3", Dimension::volume, 1},  Unit{"mm3", Dimension::volume, 0.001},
                             Unit{"l", Dimension::volume, 1000}, Unit{"in3", Dimension::volume, 16.387064}};
constexpr std::array angles{Unit{"deg", Dimension::angle, 1}, Unit{"rad", Dimension::angle, 180.0 / pi}};
constexpr std::array pressures{
    Unit{"kPa", Dimension::pressure, 1},         Unit{"psi", Dimension::pressure, 6.894757293168361},
    Unit{"bar", Dimension::pressure, 100},       Unit{"MPa", Dimension::pressure, 1000},
    Unit{"hPa", Dimension::pressure, 0.1},       Unit{"mbar", Dimension::pressure, 0.1},
    Unit{"Pa", Dimension::pressure, 0.001},      Unit{"inHg", Dimension::pressure, 3.386389},
    Unit{"mmHg", Dimension::pressure, 0.1333224}};
constexpr std::array rotations{Unit{"rpm", Dimension::rotation, 1}};
constexpr std::array velocities{Unit{"m/s", Dimension::velocity, 1}, Unit{"ft/s", Dimension::velocity, 0.3048}};
constexpr std::array cutting_speeds{Unit{"m/min", Dimension::cutting_speed, 1},
                                    Unit{"ft/min", Dimension::cutting_speed, 0.3048},
                                    Unit{"sfm", Dimension::cutting_speed, 0.3048}};
constexpr std::array feeds{Unit{"mm/rev", Dimension::feed, 1}, Unit{"in/rev", Dimension::feed, 25.4}};
constexpr std::array temperatures{Unit{"C", Dimension::temperature, 1},
                                  Unit{"F", Dimension::temperature, 5.0 / 9.0, -32.0 * 5.0 / 9.0},
                                  Unit{"K", Dimension::temperature, 1, -273.15}};
constexpr std::array masses{Unit{"g", Dimension::mass, 1}, Unit{"kg", Dimension::mass, 1000},
                            Unit{"oz", Dimension::mass, 28.349523125}};
constexpr std::array ratios{Unit{"", Dimension::ratio, 1}, Unit{"%", Dimension::ratio, 0.01},
                            Unit{":1", Dimension::ratio, 1}, Unit{"to 1", Dimension::ratio, 1}};

struct Alias {
  std::string_view typed, symbol;
};
constexpr std::array aliases{
    Alias{"inch", "in"},    Alias{"inches", "in"},        Alias{"\"", "in"},     Alias{"degrees", "deg"},
    Alias{"degree", "deg"}, Alias{"\u00b0", "deg"},       Alias{"\u00b0C", "C"}, Alias{"\u00b0F", "F"},
    Alias{"degC", "C"},     Alias{"degF", "F"},           Alias{"feet", "ft"},   Alias{"foot", "ft"},
    Alias{"metres", "m"},   Alias{"meters", "m"},         Alias{"mL", "ml"},     Alias{"cu in", "in3"},
    Alias{"ccm", "cc"},     Alias{"\u00b5m", "um"},       Alias{"kpa", "kPa"},   Alias{"PSI", "psi"},
    Alias{"RPM", "rpm"},    Alias{"thousandths", "thou"}, Alias{"1/min", "rpm"}, Alias{"cm\u00b3", "cm3"},
    Alias{"L", "l"}};

std::string_view canonical(std::string_view unit) {
  for (const auto& a : aliases)
    if (a.typed == unit) return a.symbol;
  return unit;
}

constexpr std::array all_dimensions{Dimension::length,        Dimension::volume,      Dimension::angle,
                                    Dimension::pressure,      Dimension::rotation,    Dimension::velocity,
                                    Dimension::feed,          Dimension::temperature, Dimension::mass,
                                    Dimension::cutting_speed, Dimension::ratio};

std::string_view name_with_article(Dimension d) {
  switch (d) {
  case Dimension::length:
    return "a length";
  case Dimension::volume:
    return "a volume";
  case Dimension::angle:
    return "an angle";
  case Dimension::pressure:
    return "a pressure";
  case Dimension::rotation:
    return "a speed of rotation";
  case Dimension::velocity:
    return "a velocity";
  case Dimension::cutting_speed:
    return "a cutting speed";
  case Dimension::feed:
    return "a feed";
  case Dimension::temperature:
    return "a temperature";
  case Dimension::mass:
    return "a mass";
  case Dimension::ratio:
    return "a plain number";
  }
  return "a quantity";
}

const Unit* find(std::string_view symbol, Dimension d) {
  for (const auto& u : units_of(d))
    if (u.symbol == symbol) return &u;
  return nullptr;
}

std::string_view trim(std::string_view s) {
  const auto first = s.find_first_not_of(" \t");
  if (first == std::string_view::npos) return {};
  return s.substr(first, s.find_last_not_of(" \t") - first + 1);
}

std::optional<double> take_number(std::string_view& rest) {
  double value = 0;
  const char* begin = rest.data();
  const char* first = begin + (rest.size() > 1 && rest[0] == '+' && rest[1] != '-' ? 1 : 0);
  const auto [end, error] = std::from_chars(first, begin + rest.size(), value);
  if (error != std::errc{}) return std::nullopt;
  rest.remove_prefix(static_cast<std::size_t>(end - begin));
  return value;
}

/// Shop fraction: a denominator that is a power of two up to 64, on top of an optional whole number.
std::optional<double> take_fraction(std::string_view& rest) {
  auto probe = rest;
  unsigned top = 0, bottom = 0;
  auto part = std::from_chars(probe.data(), probe.data() + probe.size(), top);
  if (part.ec != std::errc{} || part.ptr == probe.data() + probe.size() || *part.ptr != '/') return std::nullopt;
  part = std::from_chars(part.ptr + 1, probe.data() + probe.size(), bottom);
  if (part.ec != std::errc{} || bottom == 0 || bottom > 64 || (bottom & (bottom - 1)) != 0) return std::nullopt;
  rest.remove_prefix(static_cast<std::size_t>(part.ptr - probe.data()));
  return static_cast<double>(top) / bottom;
}

} // namespace

std::span<const Unit> units_of(Dimension d) {
  switch (d) {
  case Dimension::length:
    return lengths;
  case Dimension::volume:
    return volumes;
  case Dimension::angle:
    return angles;
  case Dimension::pressure:
    return pressures;
  case Dimension::rotation:
    return rotations;
  case Dimension::velocity:
    return velocities;
  case Dimension::cutting_speed:
    return cutting_speeds;
  case Dimension::feed:
    return feeds;
  case Dimension::temperature:
    return temperatures;
  case Dimension::mass:
    return masses;
  case Dimension::ratio:
    return ratios;
  }
  return {};
}

std::string_view example(Dimension d) {
  switch (d) {
  case Dimension::length:
    return "a length such as \"66.4 mm\" or \"0.014 in\"";
  case Dimension::volume:
    return "a volume such as \"21.8 cc\" or \"1.33 in3\"";
  case Dimension::angle:
    return "an angle such as \"188 deg\"";
  case Dimension::pressure:
    return "a pressure such as \"185 psi\" or \"12.8 bar\"";
  case Dimension::rotation:
    return "a speed such as \"9000 rpm\"";
  case Dimension::velocity:
    return "a velocity such as \"30 m/s\"";
  case Dimension::cutting_speed:
    return "a cutting speed such as \"250 m/min\" or \"800 sfm\"";
  case Dimension::feed:
    return "a feed such as \"0.10 mm/rev\" or \"0.004 in/rev\"";
  case Dimension::temperature:
    return "a temperature such as \"20 C\" or \"68 F\"";
  case Dimension::mass:
    return "a mass such as \"21.8 g\"";
  case Dimension::ratio:
    return "a number such as \"7.2\", \"45 %\" or \"7.2:1\"";
  }
  return "";
}

Result<Quantity> parse(std::string_view text, Dimension dimension) {
  const std::string wanted = fmt::format("write {}.", example(dimension));
  auto rest = trim(text);
  if (rest.empty()) return fail("the text is empty.", wanted);

  auto number = take_fraction(rest);
  if (!number) {
    number = take_number(rest);
    if (!number) return fail(fmt::format("\"{}\" does not begin with a number that can be read.", text), wanted);
    auto after = trim(rest);
    if (after.size() != rest.size())
      if (const auto fraction = take_fraction(after)) {
        if (std::trunc(*number) != *number || *fraction >= 1)
          return fail(fmt::format("\"{}\" is not a whole number and a fraction of one.", text),
                      "write \"1 1/2 in\" or \"1.5 in\".");
        number = *number + std::copysign(*fraction, *number);
        rest = after;
      }
  }
  if (!std::isfinite(*number)) return fail(fmt::format("\"{}\" is not a finite number.", text), wanted);
  if (!rest.empty() && rest[0] == ',')
    return fail(fmt::format("\"{}\" has a decimal comma.", text), "write a decimal point: 66.4, not 66,4.");

  const auto symbol = canonical(trim(rest));
  if (const Unit* unit = find(symbol, dimension)) {
    const double value = *number * unit->scale + unit->offset;
    if (!std::isfinite(value)) return fail(fmt::format("\"{}\" is too large.", text), wanted);
    return Quantity{value, *number, unit};
  }
  if (symbol.empty())
    return fail(fmt::format("\"{}\" has no unit.", text),
                fmt::format("write {} (the unit is never guessed).", example(dimension)));
  for (const auto other : all_dimensions)
    if (find(symbol, other))
      return fail(fmt::format("\"{}\" is {}, but {} is wanted here.", text, name_with_article(other),
                              name_with_article(dimension)),
                  wanted);

  std::vector<std::string_view> known;
  for (const auto& u : units_of(dimension))
    if (!u.symbol.empty()) known.push_back(u.symbol);
  const auto near = did_you_mean(symbol, known);
  return fail(fmt::format("\"{}\": the unit \"{}\" is not known.", text, symbol),
              near.empty() ? wanted : fmt::format("did you mean \"{}\"? Otherwise {}", near, wanted));
}

Result<Quantity> parse_height(std::string_view text) {
  const std::string cure = "write \"0.35 mm below\", \"0.010 in above\" or \"level\" (never a sign).";
  auto rest = trim(text);
  if (rest == "level") return Quantity{0.0, 0.0, &lengths[0]};
  double sign = 0;
  for (const auto& [word, s] : {std::pair{std::string_view{"below"}, 1.0}, {std::string_view{"above"}, -1.0}})
    if (rest.ends_with(word)) {
      sign = s;
      rest = trim(rest.substr(0, rest.size() - word.size()));
    }
  if (sign == 0) return fail(fmt::format("\"{}\" does not say below, above or level.", text), cure);
  auto length = parse(rest, Dimension::length);
  if (!length) return tl::unexpected(Problem{{}, length.error().message, cure});
  if (std::signbit(length->typed)) return fail(fmt::format("\"{}\" has both a sign and a word.", text), cure);
  length->value *= sign;
  length->typed *= sign;
  return length;
}

std::string fixed(double value, int decimals) {
  auto text = fmt::format("{:.{}f}", value, decimals); // fmt ignores the locale unless asked
  if (text[0] == '-' && text.find_first_not_of("-0.") == std::string::npos) text.erase(0, 1);
  return text;
}

std::string format(double value, const Unit& unit, int decimals) {
  auto number = fixed((value - unit.offset) / unit.scale, decimals);
  if (unit.symbol.empty()) return number;
  return unit.symbol == ":1" ? number + ":1" : fmt::format("{} {}", number, unit.symbol);
}

std::string_view did_you_mean(std::string_view word, std::span<const std::string_view> candidates) {
  const auto lower = [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; };
  const auto distance = [&](std::string_view a, std::string_view b) {
    std::vector<std::size_t> row(b.size() + 1);
    std::iota(row.begin(), row.end(), std::size_t{0});
    for (std::size_t i = 1; i <= a.size(); ++i) {
      std::size_t diagonal = row[0];
      row[0] = i;
      for (std::size_t j = 1; j <= b.size(); ++j) {
        const std::size_t change = diagonal + (lower(a[i - 1]) == lower(b[j - 1]) ? 0 : 1);
        diagonal = row[j];
        row[j] = std::min({row[j] + 1, row[j - 1] + 1, change});
      }
    }
    return row[b.size()];
  };
  if (word.empty() || word.size() > 64) return {};
  std::string_view best;
  // At least one letter must be right: otherwise any single letter would be a typo of any other.
  std::size_t best_distance = std::min(word.size() - 1, std::max<std::size_t>(1, word.size() / 3)) + 1;
  for (const auto candidate : candidates)
    if (const auto d = distance(word, candidate); d < best_distance) {
      best_distance = d;
      best = candidate;
    }
  return best;
}

} // namespace chamber::units
