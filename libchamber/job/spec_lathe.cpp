#include "chamber/job/lathe_read.hpp"
#include "chamber/job/spec_sections.hpp"
#include <algorithm>
#include <filesystem>
#include <fmt/format.h>

namespace chamber::job {
namespace {

using units::Dimension;

/// The lathe file the spec (or the command line) names; an empty lathe where none is, or where it has mistakes.
Lathe read_file(Section& s, Reader& reader, Spec& spec, const std::string& from_command_line) {
  const auto named = s.text("file", "", 200);
  namespace fs = std::filesystem;
  if (!from_command_line.empty())
    spec.lathe_file = from_command_line;
  else if (!named.empty())
    spec.lathe_file = (fs::path(spec.file).parent_path() / named).string();
  if (spec.lathe_file.empty()) return {};
  // A spec may come from anybody: it must not name what would be waited on.
  if (std::error_code none;
      from_command_line.empty() && fs::exists(spec.lathe_file, none) && !fs::is_regular_file(spec.lathe_file, none)) {
    s.complain("file", fmt::format("lathe.file: {} is not a plain file.", spec.lathe_file), "name a lathe file.");
    return {};
  }
  auto lathe = load_lathe(spec.lathe_file);
  if (lathe) return std::move(*lathe);
  const auto& problems = lathe.error();
  // A file that could not be opened is the fault of who named it, and there it is said.
  if (problems.size() == 1 && problems[0].place.line == 0 && from_command_line.empty())
    s.complain("file", fmt::format("lathe.file: {}: {}", spec.lathe_file, problems[0].message), problems[0].cure);
  else
    for (const auto& p : problems) reader.add(p);
  return {};
}

void read_lathe_section(Section& s, Spec& spec) {
  read_machine(s, spec.machine);
  spec.finish_allowance_mm = s.take("finish_allowance", Dimension::length, {0.05, 2}, spec.finish_allowance_mm);
  // Inside the table, micrometres: the roughness height of the turned chamber.
  spec.roughness_um = 1000 * s.take("finish", Dimension::length, {0.0005, 0.05}, 0.0063);
  spec.leave_tight_rounds = s.yes("leave_tight_rounds", false);
  spec.nose_by_control = s.yes("nose_by_control", false);
  s.finish();
}

void read_chucking(Section s, Spec& spec) {
  using turning::Chucking;
  static constexpr std::string_view firsts[] = {"chamber side", "top"}, seconds[] = {"soft jaws", "mandrel"};
  auto& c = spec.chucking;
  c.second = static_cast<Chucking::Second>(s.word("second", seconds, 0));
  const bool mandrel = c.second == Chucking::Second::mandrel;
  c.first = static_cast<turning::Side>(s.word("first", firsts, mandrel ? 1 : 0));
  if (mandrel && c.first == turning::Side::chamber)
    s.complain("second", "a mandrel holds by the plug thread, which the first clamping must have cut: top first.",
               "write first = \"top\", or second = \"soft jaws\".");
  c.grip_mm = s.take("grip", Dimension::length, {1, 200}, c.grip_mm);
  c.second_grip_mm = s.take("second_grip", Dimension::length, {0.5, 200}, 0);
  double height = 0;
  for (const auto& step : spec.task.body.steps) height += step.length_mm;
  const double surplus = std::max(0.0, spec.blank_length_mm - height);
  c.face_mm = s.take("face", Dimension::length, {0, 50}, std::min(c.face_mm, surplus / 2));
  if (c.face_mm > surplus + 1e-9)
    s.complain("face",
               fmt::format("{:.2f} mm are to be faced off, but the blank is only {:.2f} mm longer than the insert.",
                           c.face_mm, surplus),
               "face off less, or take a longer blank.");
  s.finish();
}

/// The rack's tools with the data for the blank's metal; those in the spec add to the file's or take their place.
void set_tools(Section& root, Spec& spec, std::vector<RackTool> rack, std::vector<RackTool> own) {
  for (auto& t : own) {
    std::erase_if(rack, [&](const RackTool& r) { return r.tool.number == t.tool.number; });
    rack.push_back(std::move(t));
  }
  std::stable_sort(rack.begin(), rack.end(),
                   [](const auto& a, const auto& b) { return a.tool.number < b.tool.number; });
  const auto metal = metal_of(spec.material);
  for (const auto& r : rack) {
    if (auto t = r.with_data_for(metal))
      spec.tools.push_back(std::move(*t));
    else
      spec.tools_left_out.push_back(r.tool.number);
  }
  if (rack.empty() && spec.lathe_file.empty())
    root.complain("", "the spec lists no tool and names no lathe file.",
                  "add file = \"lathes/bench-rear-mm.toml\" to [lathe], or [[tool]] for a pilot drill and at least one "
                  "boring bar.");
  else if (!rack.empty() && spec.tools.empty()) {
    std::string known;
    for (const auto name : metal_names) known += fmt::format("{}{}", known.empty() ? "" : ", ", name);
    auto blank = root.section("blank", false);
    (blank ? blank : root)
        .complain("material",
                  metal ? fmt::format("no tool has cutting data for {}.", metal_names[*metal])
                        : fmt::format("blank.material \"{}\" is none of the metals the tools have cutting data for.",
                                      spec.material),
                  fmt::format("name one of {} in it, or give the tools speed and feed of their own.", known));
  }
}

} // namespace

void read_lathe_sections(Reader& reader, Section& root, Spec& spec, const std::string& lathe_file) {
  auto s = root.section("lathe", false);
  auto lathe = read_file(s, reader, spec, lathe_file);
  spec.machine = lathe.machine;
  read_lathe_section(s, spec);
  // A lathe named on the command line takes the place of the spec's whole, its own words and tools included.
  if (!lathe_file.empty()) spec.machine = lathe.machine;
  read_chucking(root.section("chucking", false), spec);
  auto own = read_tools(root);
  if (!lathe_file.empty()) own.clear();
  set_tools(root, spec, std::move(lathe.tools), std::move(own));
}

} // namespace chamber::job
