#include "chamber/job/libraries.hpp"
#include "chamber/drawing/libraries.hpp"
#include "chamber/papers/assets.hpp"
#include "chamber/solid/loader.hpp"
#include "chamber/solve/libraries.hpp"
#include <fmt/format.h>
#include <nlohmann/json.hpp>
#include <toml++/toml.h>

namespace chamber::job {
namespace {

/// "Contains three.js 1.2.3." stands at the head of the page's viewer, which holds it.
std::string three_version() {
  constexpr std::string_view before = "three.js ";
  const auto script = papers::page_viewer().substr(0, 200);
  const auto at = script.find(before);
  if (at == script.npos) return "unknown";
  const auto rest = script.substr(at + before.size());
  return std::string(rest.substr(0, rest.find_first_not_of("0123456789.")).substr(0, rest.find(".\n")));
}

} // namespace

Libraries libraries() {
  Libraries out{{"OpenCASCADE", std::string(solid::kernel_version())}};
  for (const auto& part : {solve::libraries(), drawing::libraries()}) out.insert(out.end(), part.begin(), part.end());
  out.push_back({"fmt", fmt::format("{}.{}.{}", FMT_VERSION / 10000, FMT_VERSION / 100 % 100, FMT_VERSION % 100)});
  out.push_back({"toml++", fmt::format("{}.{}.{}", TOML_LIB_MAJOR, TOML_LIB_MINOR, TOML_LIB_PATCH)});
  out.push_back({"nlohmann json", fmt::format("{}.{}.{}", NLOHMANN_JSON_VERSION_MAJOR, NLOHMANN_JSON_VERSION_MINOR,
                                              NLOHMANN_JSON_VERSION_PATCH)});
  out.push_back({"three.js", three_version()});
  return out;
}

} // namespace chamber::job
