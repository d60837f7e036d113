#pragma once
// A lathe file (TOML, profiles/lathes/): the machine's words and what stands in its tool rack, with cutting data for
// each metal. The spec's own [lathe] and [[tool]] are read by the same functions.
#include "chamber/job/reader.hpp"
#include "chamber/turning/tools.hpp"
#include <array>
#include <optional>

namespace chamber::job {

/// Metals that cutting data are kept for.
inline constexpr std::string_view metal_names[] = {"aluminium", "bronze", "steel"};
/// Which of them a material is, from the words of its name ("aluminium 6061-T6", "7075"); empty where none says so.
std::optional<std::size_t> metal_of(std::string_view material);

/// m/min, mm per revolution; depth in mm, 0: as the tool's own.
struct Cutting {
  double speed_m_per_min = 0, feed_mm_per_rev = 0, max_depth_mm = 0;
};

/// A tool as the file holds it.
struct RackTool {
  turning::Tool tool;
  std::optional<Cutting> any; ///< speed and feed beside the tool's own keys: whatever the metal
  std::array<std::optional<Cutting>, std::size(metal_names)> by_metal;

  /// The tool with its data for the metal (empty: not known); nothing where there are none.
  std::optional<turning::Tool> with_data_for(std::optional<std::size_t> metal) const;
};

struct Lathe {
  turning::Machine machine;
  std::vector<RackTool> tools;
};

/// The keys of [lathe] that describe a machine; what is not said stays as it is in `machine`.
void read_machine(Section& s, turning::Machine& machine);
/// Every [[tool]]; a number given twice is a problem.
std::vector<RackTool> read_tools(Section& root);

/// Reads a lathe file; all problems at once, each with its place and cure.
Results<Lathe> read_lathe(std::string_view text, const std::string& file);
Results<Lathe> load_lathe(const std::string& path);

} // namespace chamber::job
