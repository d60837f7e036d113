#include "chamber/job/guideline_read.hpp"
#include "chamber/job/reader.hpp"
#include "chamber/job/text_file.hpp"

namespace chamber::job {
namespace {

using units::Dimension;

// All rows: common practice, no source.
constexpr std::string_view built_in =
    R"(# Guideline: trapped ratio ceiling and gauge window at the site, by fuel; shifts of the ceiling by use.
# Every row is common practice, no source: a starting point for water-cooled singles of 125 to 500 cc with an
# exhaust duration of about 185 to 197 degrees. Replace it with your own experience.
source = "common practice, no source"
caution = "Starting points only. Detonation destroys motors and hurts riders: work up from the safe side, read the plug."
air_cooled = "-7 %"

[[fuel]]
name = "pump 91"                # AKI
trapped_ratio = "7.0"
gauge_low = "150 psi"
gauge_high = "172 psi"

[[fuel]]
name = "pump 93"                # AKI
trapped_ratio = "7.3"
gauge_low = "160 psi"
gauge_high = "182 psi"

[[fuel]]
name = "unleaded race 100"      # AKI
trapped_ratio = "7.8"
gauge_low = "175 psi"
gauge_high = "198 psi"

[[fuel]]
name = "leaded race 110"
trapped_ratio = "8.5"
gauge_low = "190 psi"
gauge_high = "222 psi"

[[fuel]]
name = "leaded race 112"        # and over
trapped_ratio = "9.0"
gauge_low = "205 psi"
gauge_high = "238 psi"

[[fuel]]
name = "ethanol E85"
trapped_ratio = "8.8"
gauge_low = "195 psi"
gauge_high = "230 psi"

[[fuel]]
name = "methanol"
trapped_ratio = "10.0"
gauge_low = "210 psi"
gauge_high = "255 psi"

[[use]]
name = "short bursts"           # full throttle for seconds
shift = "0 %"

[[use]]
name = "motocross"
shift = "-3 %"

[[use]]
name = "long pulls"             # dune, hill, lake bed
shift = "-4 %"

[[use]]
name = "trail"
shift = "-6 %"

[[use]]
name = "road race"              # and endurance
shift = "-7 %"
)";

} // namespace

std::string_view built_in_guideline_text() {
  return built_in;
}

const engine::Guideline& built_in_guideline() {
  static const engine::Guideline guideline = [] {
    auto g = read_guideline(built_in, "(built-in guideline)");
    if (!g) throw std::logic_error("the built-in guideline does not read: " + to_text(g.error()[0]));
    return *g;
  }();
  return guideline;
}

Results<engine::Guideline> read_guideline(std::string_view text, const std::string& file) {
  Reader reader(text, file);
  if (!reader.problems().empty()) return tl::unexpected(reader.problems());
  engine::Guideline g;
  auto root = reader.root();
  g.source = root.text("source", "the user's own", 200);
  g.caution = root.text("caution", "", 300);
  g.air_cooled_shift = root.take("air_cooled", Dimension::ratio, {-0.5, 0.2}, 0);
  for (auto& s : root.sections("fuel", 60)) {
    engine::FuelRow row;
    row.fuel = s.text("name", "", 40);
    row.ratio_ceiling = s.need("trapped_ratio", Dimension::ratio, {3, 20}).value;
    row.gauge_low_kpa = s.need("gauge_low", Dimension::pressure, {200, 4000}).value;
    row.gauge_high_kpa = s.need("gauge_high", Dimension::pressure, {200, 4000}).value;
    if (row.fuel.empty()) s.complain("", "a fuel has no name.", "add name = \"...\".");
    if (row.gauge_low_kpa >= row.gauge_high_kpa)
      s.complain("gauge_low", "gauge_low is not below gauge_high.", "order them.");
    s.finish();
    g.fuels.push_back(std::move(row));
  }
  for (auto& s : root.sections("use", 40)) {
    engine::UseRow row;
    row.use = s.text("name", "", 40);
    row.shift = s.need("shift", Dimension::ratio, {-0.5, 0.2}).value;
    if (row.use.empty()) s.complain("", "a use has no name.", "add name = \"...\".");
    s.finish();
    g.uses.push_back(std::move(row));
  }
  root.finish();
  if (g.fuels.empty() || g.uses.empty())
    root.complain("", "a guideline needs at least one [[fuel]] and one [[use]].",
                  "add them; the built-in one shows how.");
  if (!reader.problems().empty()) return tl::unexpected(reader.sorted());
  return g;
}

Results<engine::Guideline> load_guideline(const std::string& path) {
  const auto text = read_text_file(path, "guideline");
  if (!text) return tl::unexpected(std::vector{text.error()});
  return read_guideline(*text, path);
}

} // namespace chamber::job
