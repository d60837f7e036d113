#include "chamber/job/guideline_read.hpp"
#include "command.hpp"

namespace chamber::tool {

void add_spec(CLI::App& command, SpecSource& source) {
  command.add_option("SPEC", source.spec, "The spec (TOML); - reads standard input")->required();
  command.add_option("--guideline", source.guideline, "A guideline of your own (TOML) instead of the built-in one");
}

tl::expected<job::Spec, job::Failure> read(const SpecSource& source, job::Need need) {
  std::optional<engine::Guideline> own;
  if (!source.guideline.empty()) {
    auto g = job::load_guideline(source.guideline);
    if (!g) return tl::unexpected(unread(g.error()));
    own = std::move(*g);
  }
  auto spec = job::load_spec(source.spec, need, own ? &*own : nullptr);
  if (!spec) return tl::unexpected(unread(spec.error()));
  return std::move(*spec);
}

} // namespace chamber::tool
