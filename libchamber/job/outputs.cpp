#include "chamber/job/outputs.hpp"
#include "chamber/units/quantity.hpp"
#include <fmt/format.h>
#include <fmt/ranges.h>

namespace chamber::job {
namespace {

Result<std::vector<Output>> listed(std::string_view list, std::string_view option) {
  std::vector<Output> out;
  while (!list.empty()) {
    auto word = list.substr(0, list.find(','));
    list.remove_prefix(std::min(word.size() + 1, list.size()));
    while (word.starts_with(' ')) word.remove_prefix(1);
    while (word.ends_with(' ')) word.remove_suffix(1);
    std::size_t i = 0;
    while (i < output_count && output_names[i] != word) ++i;
    if (i == output_count) {
      const auto near = units::did_you_mean(word, output_names);
      return fail(fmt::format("{}: \"{}\" is no kind of output.", option, word),
                  near.empty()
                      ? fmt::format("name some of {}, with commas between.", fmt::join(output_names, ", "))
                      : fmt::format("did you mean \"{}\"? The kinds are {}.", near, fmt::join(output_names, ", ")));
    }
    out.push_back(static_cast<Output>(i));
  }
  return out;
}

} // namespace

Result<Outputs> choose_outputs(std::string_view only, std::string_view without) {
  const auto wanted = listed(only, "--only"), unwanted = listed(without, "--without");
  if (!wanted) return tl::unexpected(wanted.error());
  if (!unwanted) return tl::unexpected(unwanted.error());
  auto out = wanted->empty() ? Outputs::all() : Outputs();
  for (const auto o : *wanted) out.add(o);
  for (const auto o : *unwanted) out.drop(o);
  if (out.none())
    return fail("--only and --without leave nothing to be written.",
                fmt::format("leave some of {}.", fmt::join(output_names, ", ")));
  return out;
}

} // namespace chamber::job
