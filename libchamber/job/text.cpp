#include "chamber/job/design.hpp"
#include "chamber/job/files.hpp"
#include "chamber/job/paint.hpp"
#include "chamber/job/turn_report.hpp"
#include "chamber/job/words.hpp"
#include <fmt/format.h>

namespace chamber::job {
namespace {

using units::fixed;

std::string lengths(double mm, bool inch) {
  return inch ? fmt::format("{:>9} mm {:>9} in", fixed(mm, 3), fixed(mm / 25.4, 4))
              : fmt::format("{:>9} mm", fixed(mm, 3));
}

void add_dimensions(std::string& out, const Design& d, const Paint& paint) {
  const Words words(d.spec);
  const bool inch = words.inch();
  const auto& f = d.spec.task.frame;
  out += paint.head(fmt::format("Chamber ({})\n", shapes::name(f.family)));
  const auto row = [&](std::string_view name, std::string value, std::string_view note) {
    out += fmt::format("  {:<26}{}{}{}\n", name, value, note.empty() ? "" : "   ", note);
  };
  static constexpr std::string_view shown[] = {"bowl radius", "bowl depth", "squish width", "squish angle",
                                               "pocket depth"};
  for (std::size_t i = 0; i < shapes::dimension_count; ++i) {
    if (!shapes::has_dimension(f.family, i)) continue;
    const auto& p = d.spec.task.preferences[i];
    const double v = shapes::at(d.fit.rounded, i);
    const bool angle = i == 3;
    const auto value = angle ? fmt::format("{:>9} deg", fixed(v, 2)) : lengths(v, inch);
    const auto wanted = angle ? fixed(p.prefer, 2) : words.length(p.prefer, true);
    std::string note = p.high <= p.low ? "as given" : fmt::format("preferred {}", wanted);
    if (angle && f.follow_crown) note += ", opening beyond the crown's tangent";
    if (i == d.spec.task.closing) note += ", closes the volume";
    row(shown[i], value, note);
  }
  row("band edge above face", lengths(f.edge_height, inch), "");
  row("squish clearance, edge", lengths(d.spec.squish_clearance_mm, inch), "head on, piston at top dead centre");
  row("squish clearance, mouth", lengths(d.fit.split.mouth_gap_mm, inch), "");
  row("mouth diameter, sharp", lengths(2 * d.fit.split.mouth_radius_mm, inch), "");
  row("pocket roof above face", lengths(d.insert.roof_z_mm, inch), "");
  row("plug seat above face", lengths(d.insert.seat_z_mm, inch), "");
  row("height of the insert", lengths(d.insert.height_mm, inch), "");
}

void add_volumes(std::string& out, const Design& d, const Paint& paint) {
  const auto& v = d.volumes;
  out += paint.head("Head volume, plug fitted\n");
  const auto row = [&](std::string_view name, double cc, std::string_view note) {
    out += fmt::format("  {:<26}{:>9} cc{}{}\n", name, fixed(cc, 4), note.empty() ? "" : "   ", note);
  };
  row("wanted", v.target, fmt::format("from {}", wanted_names[static_cast<std::size_t>(d.spec.wanted)]));
  row("profile, closed form", v.profile, fmt::format("off by {} cc", fixed(v.profile - v.target, 4)));
  row("profile, quadrature", v.quadrature, "");
  row("solid", v.solid, "");
  row("mesh", v.mesh, fmt::format("true value within {} cc", fixed(v.mesh_bound, 5)));
  row("STEP file, read back", v.step, "");
  row("lathe program, swept", v.program, "from the written text");
  out += paint.head("With this piston\n");
  row("clearance volume", d.clearance_cc(), "gasket and deck added, crown taken off");
  out += fmt::format("  {:<26}{:>9}      trapped {} cc\n", "trapped ratio", fixed(d.trapped_ratio(), 2) + ":1",
                     fixed(d.spec.trapped_swept_cc(), 1));
  out += fmt::format("  {:<26}{:>9}      full stroke {} cc\n", "full-stroke ratio", fixed(d.full_ratio(), 2) + ":1",
                     fixed(d.spec.swept_cc(), 1));
}

} // namespace

std::string to_text(const Design& d, bool colour) {
  const Paint paint{colour};
  std::string out = paint.head(fmt::format("{} (revision {})\n\n", d.spec.name, d.spec.revision));
  add_dimensions(out, d, paint);
  out += "\n";
  add_volumes(out, d, paint);
  const Words words(d.spec);
  out += "\n" + paint.head("Checks\n");
  for (const auto& c : d.checks)
    out += fmt::format("  {} {:<36}{:>14}   {} {}{}{}\n", c.ok ? paint.good("ok  ") : paint.bad("FAIL"), c.name,
                       words.value(c), c.minimum ? "at least" : "at most ", words.limit(c), c.note.empty() ? "" : "   ",
                       words.note(c));
  out += "\n" + turning_text(d.turned, slug(d.spec.name), paint);
  if (!d.notes.empty()) out += "\n" + paint.head("Notes\n");
  for (const auto& n : d.notes) out += "  - " + n + "\n";
  out += "\n" + paint.head("Cautions\n");
  for (const auto c : cautions()) out += fmt::format("  - {}\n", c);
  out += "\n" + paint.head("Files\n");
  for (const auto& f : d.files) out += fmt::format("  {:<48} {}\n", f.path, f.kind);
  return out;
}

std::string to_text(const Failure& failure, const std::string& spec_file) {
  std::string out;
  for (auto p : failure.problems) {
    if (p.place.file.empty()) p.place.file = spec_file;
    out += chamber::to_text(p) + "\n";
  }
  if (failure.shortfall) {
    const auto& s = *failure.shortfall;
    out += fmt::format("{}: a head volume of {} cc cannot be met.\n", spec_file, fixed(s.wanted_cc, 3));
    if (s.any_reachable)
      out += fmt::format("  Within the limits this chamber can hold {} to {} cc.\n", fixed(s.low_cc, 3),
                         fixed(s.high_cc, 3));
    if (!s.note.empty()) out += fmt::format("  Note: {}\n", s.note);
    for (const auto& stop : s.stops) {
      const int decimals = stop.decimals();
      if (stop.suffices)
        out += fmt::format("  {} ({}) stops it: {} {} now; {} {} would do.\n", stop.name, stop.key,
                           fixed(stop.from, decimals), stop.unit, fixed(stop.to, decimals), stop.unit);
      else
        out += fmt::format("  {} ({}) stops it: {} {} now; giving way there alone is not enough.\n", stop.name,
                           stop.key, fixed(stop.from, decimals), stop.unit);
    }
    out += s.stops.empty()
               ? "  Cure: change the family, the rounds or the pocket; nothing the limits hold would help.\n"
               : "  Cure: change one of these in the spec, or want another volume.\n";
  }
  out += failure.written + "\n";
  return out;
}

} // namespace chamber::job
