#include "chamber/job/guideline_read.hpp"
#include "command.hpp"

namespace chamber::tool {

void add_spec(CLI::App& command, SpecSource& source) {
  command.add_option("SPEC", source.spec, "The spec; - reads standard input")->required()->type_name("FILE.toml");
  command.add_option("--guideline", source.guideline, "A guideline of your own instead of the built-in one")
      ->type_name("FILE.toml");
}

void add_lathe(CLI::App& command, SpecSource& source) {
  command.add_option("--lathe", source.lathe, "A lathe file: machine and tools instead of the spec's")
      ->type_name("FILE.toml");
}

void add_turning(CLI::App& command, job::TurnOptions& o, bool alone) {
  command.add_flag("--in-the-air", o.in_the_air, "Also write each program for a trial in the air, lifted clear");
  command.add_flag("--measure-stops", o.measure_stops, "Stop (M0) to measure before finishing passes");
  command.add_flag("--nose-by-control", o.nose_by_control, "Finish under G41/G42 instead of compensated coordinates");
  command.add_flag("--step-pictures", o.step_pictures, "Also draw what stands after each tool (SVG)");
  if (alone)
    command.add_flag("--write-anyway", o.write_anyway,
                     "Write programs that are not proven; they say so, and so does the "
                     "exit code");
}

void add_papers(CLI::App& command, Papers& o) {
  const auto words = [](auto& names) {
    return CLI::IsMember(std::vector<std::string>(std::begin(names), std::end(names)));
  };
  const auto kinds = one_of("LIST", job::output_names);
  command.add_option("--only", o.only, "Write only these, with commas between")->type_name(kinds);
  command.add_option("--without", o.without, "Write all but these")->type_name(kinds);
  command.add_option("--paper", o.paper, "Paper of the drawing")->check(words(job::paper_names));
  command.add_option("--projection", o.projection, "Projection of the drawing: first or third angle")
      ->check(words(job::projection_names));
  command.add_option("--drawing-units", o.units, "Unit of the drawing's dimensions")
      ->check(words(job::drawing_unit_names));
}

Result<job::Outputs> apply(const Papers& o, job::Spec& spec) {
  const auto set = [](const std::string& word, auto& names, auto& value) {
    for (std::size_t i = 0; i < std::size(names); ++i)
      if (names[i] == word) value = static_cast<std::remove_reference_t<decltype(value)>>(i);
  };
  set(o.paper, job::paper_names, spec.drawing.paper);
  set(o.projection, job::projection_names, spec.drawing.projection);
  set(o.units, job::drawing_unit_names, spec.drawing.units);
  return job::choose_outputs(o.only, o.without);
}

tl::expected<job::Spec, job::Failure> read(const SpecSource& source, job::Need need) {
  std::optional<engine::Guideline> own;
  if (!source.guideline.empty()) {
    auto g = job::load_guideline(source.guideline);
    if (!g) return tl::unexpected(unread(g.error()));
    own = std::move(*g);
  }
  auto spec = job::load_spec(source.spec, need, own ? &*own : nullptr, source.lathe);
  if (!spec) return tl::unexpected(unread(spec.error()));
  return std::move(*spec);
}

} // namespace chamber::tool
