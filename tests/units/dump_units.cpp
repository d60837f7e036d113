// dump_units: the table of units as JSON, each with what 1 and 2 of it come to in the internal unit.
// dump_units DIMENSION TEXT ...: what each text comes to, null where it is refused.
// Runs under the user's locale, so that a script can show that it changes nothing.
#include "chamber/units/quantity.hpp"
#include <array>
#include <clocale>
#include <cstdio>
#include <iostream>
#include <locale>
#include <nlohmann/json.hpp>
#include <stdexcept>
#include <utility>

using namespace chamber::units;

namespace {

constexpr std::array<std::pair<const char*, Dimension>, 11> dimensions{{{"length", Dimension::length},
                                                                        {"volume", Dimension::volume},
                                                                        {"angle", Dimension::angle},
                                                                        {"pressure", Dimension::pressure},
                                                                        {"rotation", Dimension::rotation},
                                                                        {"velocity", Dimension::velocity},
                                                                        {"cutting_speed", Dimension::cutting_speed},
                                                                        {"feed", Dimension::feed},
                                                                        {"temperature", Dimension::temperature},
                                                                        {"mass", Dimension::mass},
                                                                        {"ratio", Dimension::ratio}}};

nlohmann::json value_of(const std::string& text, Dimension d) {
  const auto q = parse(text, d);
  return q ? nlohmann::json(q->value) : nlohmann::json(nullptr);
}

nlohmann::json table() {
  nlohmann::json rows = nlohmann::json::array();
  for (const auto& [name, d] : dimensions)
    for (const auto& u : units_of(d)) {
      const std::string symbol(u.symbol);
      rows.push_back({{"dimension", name},
                      {"symbol", symbol},
                      {"one", value_of("1 " + symbol, d)},
                      {"two", value_of("2 " + symbol, d)},
                      {"printed", format(1.5 * u.scale + u.offset, u, 3)}});
    }
  return rows;
}

Dimension dimension_named(const std::string& name) {
  for (const auto& [known, d] : dimensions)
    if (name == known) return d;
  throw std::invalid_argument("dump_units: no dimension " + name);
}

} // namespace

int main(int argc, char* argv[]) {
  const char* c_locale = std::setlocale(LC_ALL, "");
  if (!c_locale) {
    std::fprintf(stderr, "dump_units: the locale of the environment is not there\n");
    return 1;
  }
  std::locale::global(std::locale(c_locale));
  char probe[32];
  std::snprintf(probe, sizeof probe, "%.1f", 1.5);
  nlohmann::json out{{"probe", probe}};
  if (argc < 3)
    out["units"] = table();
  else
    for (int i = 2; i < argc; ++i) out["values"].push_back(value_of(argv[i], dimension_named(argv[1])));
  std::cout << out << '\n';
}
