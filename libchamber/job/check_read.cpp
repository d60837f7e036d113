// A file of any kind into a proposal.
#include "chamber/job/check_read.hpp"
#include "chamber/job/lathe_read.hpp"
#include "chamber/job/text_file.hpp"
#include "chamber/profile/distance.hpp"
#include "chamber/profile/integrals.hpp"
#include "chamber/turning/leftover.hpp"
#include "chamber/turning/write.hpp"
#include <algorithm>
#include <charconv>
#include <cmath>
#include <fmt/format.h>
#include <fstream>

namespace chamber::job {
namespace {

using units::fixed;

tl::unexpected<Failure> failed(Exit code, const std::string& file, Problem problem) {
  if (problem.place.file.empty()) problem.place.file = file;
  return tl::unexpected(Failure{code, {std::move(problem)}, {}, "Nothing was judged."});
}
tl::unexpected<Failure> failed(Exit code, const std::string& file, std::vector<Problem> problems) {
  for (auto& p : problems)
    if (p.place.file.empty()) p.place.file = file;
  return tl::unexpected(Failure{code, std::move(problems), {}, "Nothing was judged."});
}

void take_chain(Proposal& p, profile::Chain chain) {
  p.chain = std::move(chain);
  p.volume_cc = profile::swept_volume(profile::ChainView(p.chain)) / 1000;
  p.depth_mm = profile::bounding_box(p.chain).z_max;
  p.rim_radius_mm = p.chain.front().start.r;
  p.plug_end_mm = p.chain.back().end.z;
}

tl::expected<Proposal, Failure> read_drawing(const std::string& file, CheckKind kind, const CheckOptions& o) {
  std::ifstream in(file, std::ios::binary);
  auto read =
      kind == CheckKind::dxf ? profile::read_dxf(in, file, o.drawing) : profile::read_points(in, file, o.drawing);
  if (in.bad()) return failed(Exit::files, file, Problem{{}, "reading stopped half way.", "check the disk."});
  if (!read) return failed(Exit::spec, file, read.error());
  Proposal p;
  p.kind = kind;
  p.taken = std::move(read->taken);
  p.cautions = std::move(read->cautions);
  take_chain(p, std::move(read->chain));
  return p;
}

/// Off by an inch for a millimetre against the bore.
bool off_by_an_inch(double rim_mm, double bore_radius_mm) {
  for (const double factor : {units::mm_per_inch, 1 / units::mm_per_inch})
    if (const double ratio = rim_mm * factor / bore_radius_mm; ratio > 0.8 && ratio < 1.25) return true;
  return false;
}

tl::expected<void, Failure> ask_for_unit(const std::string& file, Proposal& p, std::string_view unit,
                                         const CheckOptions& o, std::string cure) {
  const auto& bore = o.drawing.bore_radius_mm;
  if (!bore || !off_by_an_inch(p.rim_radius_mm, *bore)) return {};
  const auto message = fmt::format("in {} as the file says, the chamber is {} mm in radius at its rim, where the bore "
                                   "says {} mm: off by about 25.4.",
                                   unit, fixed(p.rim_radius_mm, 3), fixed(*bore, 3));
  if (o.drawing.unit == profile::LengthUnit::automatic)
    return failed(Exit::spec, file, Problem{{}, message, std::move(cure)});
  p.cautions.push_back("With the unit you gave, " + message);
  return {};
}

void scale(Proposal& p, double k) {
  p.chain = profile::transformed(p.chain, k, 0);
  p.turned_rim = profile::transformed(p.turned_rim, k, 0);
  p.volume_cc *= k * k * k;
  for (double* x : {&p.depth_mm, &p.rim_radius_mm, &p.plug_end_mm, &p.hole_radius_mm, &p.hole_length_mm}) *x *= k;
}

tl::expected<Proposal, Failure> read_step(const std::string& file, const CheckOptions& o) {
  auto ask = o.step;
  if (o.drawing.roof_mm) ask.plug_end_mm = o.drawing.roof_mm;
  auto m = solid::measure_step(file, ask);
  if (!m) return failed(Exit::spec, file, m.error());
  Proposal p;
  p.kind = CheckKind::step;
  p.volume_cc = m->volume_mm3 / 1000;
  p.depth_mm = m->depth_mm;
  p.rim_radius_mm = m->mouth_radius_mm;
  p.chain = std::move(m->chain);
  p.turned_rim = std::move(m->turned_rim);
  p.no_chain = m->turned ? m->no_chain : m->not_turned;
  p.plug_end_mm = p.chain.empty() ? m->depth_mm : p.chain.back().end.z;
  for (auto& n : m->notes) { // among sentences that begin with a capital
    if (!n.empty() && n[0] >= 'a' && n[0] <= 'z') n[0] = static_cast<char>(n[0] - 'a' + 'A');
    p.taken.push_back(std::move(n));
  }
  if (m->plug_holes.size() == 1) {
    const auto& h = m->plug_holes[0];
    p.plug_end_mm = h.end_mm;
    p.hole_radius_mm = h.radius_mm;
    p.hole_length_mm = (h.top_mm - h.end_mm) / std::max(0.1, std::cos(units::radians(h.tilt_deg)));
  }
  if (m->volume_doubt_mm3 > 10)
    p.cautions.push_back(fmt::format("Two ways to the volume differ by {} cc.", fixed(m->volume_doubt_mm3 / 1000, 3)));
  const bool inches = m->unit == "INCH";
  if (o.drawing.unit == profile::LengthUnit::inch && !inches) scale(p, units::mm_per_inch);
  if (o.drawing.unit == profile::LengthUnit::millimetre && inches) scale(p, 1 / units::mm_per_inch);
  const auto ok =
      ask_for_unit(file, p, inches ? "inches" : "millimetres", o,
                   fmt::format("were its numbers drawn in {}? Say --unit {}; if not, say --unit {}.",
                               inches ? "millimetres" : "inches", inches ? "mm" : "in", inches ? "in" : "mm"));
  if (!ok) return tl::unexpected(ok.error());
  return p;
}

/// Machine and tools that the program was written for.
struct Rack {
  turning::Machine machine;
  std::vector<turning::Tool> tools;
};

tl::expected<Rack, Failure> rack_for(const std::string& file, const Spec* engine, const CheckOptions& o) {
  if (o.lathe_file.empty()) {
    if (engine && !engine->tools.empty()) return Rack{engine->machine, engine->tools};
    return failed(Exit::usage, file,
                  Problem{{},
                          "what a lathe program leaves depends on its tools.",
                          "name a lathe file with --lathe, or with --engine a spec that has a lathe."});
  }
  auto lathe = load_lathe(o.lathe_file);
  if (!lathe) {
    const bool unreadable = lathe.error().size() == 1 && lathe.error()[0].place.line == 0;
    return failed(unreadable ? Exit::files : Exit::spec, o.lathe_file, lathe.error());
  }
  Rack out{lathe->machine, {}};
  const auto metal = engine ? metal_of(engine->material) : std::nullopt;
  for (const auto& t : lathe->tools) {
    auto tool = t.with_data_for(metal);
    for (std::size_t i = 0; i < std::size(metal_names) && !tool; ++i) tool = t.with_data_for(i);
    out.tools.push_back(tool ? *tool : t.tool);
  }
  return out;
}

/// In the lathe's dialect, or in another one if only that reads.
Results<turning::Program> read_program(const std::string& text, turning::Machine machine, Proposal& p) {
  auto program = turning::read(text, machine);
  const auto said = machine.dialect;
  if (!program)
    for (const auto dialect : turning::dialect_names()) {
      if (dialect == said) continue;
      machine.dialect = dialect;
      auto other = turning::read(text, machine);
      if (!other) continue;
      p.taken.push_back(fmt::format("The lathe speaks {}, but the text reads as {}: read so.", said, dialect));
      return other;
    }
  if (program) p.taken.push_back(fmt::format("Read in the {} dialect.", said));
  return program;
}

/// The number behind `word`, mm; "NOSE 0.400 MM", "DRILL DIA 0.5000 IN".
std::optional<double> figure_in(std::string_view text, std::string_view word) {
  const auto at = text.find(word);
  if (at == std::string_view::npos) return std::nullopt;
  text.remove_prefix(at + word.size());
  double value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (error != std::errc{}) return std::nullopt;
  text.remove_prefix(static_cast<std::size_t>(end - text.data()));
  if (text.starts_with(" MM")) return value;
  if (text.starts_with(" IN")) return value * units::mm_per_inch;
  return std::nullopt;
}

/// Our own programs say for which tools they were written: others would leave another chamber.
void compare_tools(const std::string& text, const std::vector<turning::Tool>& tools, bool inch, Proposal& p) {
  for (const auto& t : tools) {
    std::string said; // comments are broken at the control's line length
    const auto mark = fmt::format("(T{}: ", t.number);
    for (auto at = text.find(mark); at != std::string::npos; at = text.find(mark, at + 1)) {
      const auto end = std::min(text.find(')', at), text.size());
      said += text.substr(at + mark.size(), end - at - mark.size()) + " ";
    }
    const bool drill = t.kind == turning::ToolKind::drill;
    const auto figure = figure_in(said, drill ? "DRILL DIA " : "NOSE ");
    const double have = drill ? t.diameter_mm : t.nose_radius_mm;
    if (figure && std::abs(*figure - have) > 0.006)
      p.cautions.push_back(fmt::format(
          "The program was written for T{} with a {} of {}; the lathe's has {}: is it the right lathe?", t.number,
          drill ? "diameter" : "nose", turning::in_words(inch, *figure, 3), turning::in_words(inch, have, 3)));
  }
}

tl::expected<Proposal, Failure> read_turned(const std::string& file, const Spec* engine, const CheckOptions& o) {
  const auto rack = rack_for(file, engine, o);
  if (!rack) return tl::unexpected(rack.error());
  const auto text = read_text_file(file, "lathe program");
  if (!text) return failed(Exit::files, file, text.error());
  if (text->find("SIDE: TOP SIDE TOWARDS THE TAILSTOCK") != std::string::npos)
    return failed(Exit::spec, file,
                  Problem{{},
                          "this program turns the top side: it cuts no chamber.",
                          "give the program of the other clamping, the chamber side."});
  Proposal p;
  p.kind = CheckKind::program;
  const auto program = read_program(*text, rack->machine, p);
  if (!program) {
    auto first = program.error()[0];
    if (const auto more = program.error().size() - 1; more > 0)
      first.message += fmt::format(" ({}{} more such lines.)", more, more + 1 >= 50 ? " or" : "");
    return failed(Exit::spec, file, std::move(first));
  }
  p.taken.push_back(fmt::format("{}, X words are {}; Z0 is taken for the finished sealing face.",
                                program->inch ? "Inches" : "Millimetres", program->diameter ? "diameters" : "radii"));
  compare_tools(*text, rack->tools, program->inch, p);
  turning::LeftoverOptions ask;
  const bool whole = engine && !engine->task.body.steps.empty();
  const auto* thread = whole ? shapes::find_thread(engine->task.plug.thread) : nullptr;
  ask.hole_radius_mm = o.hole_diameter_mm > 0 ? o.hole_diameter_mm / 2 : thread ? thread->minor_high_mm / 2 : 0;
  ask.blank_diameter_mm = o.blank_diameter_mm > 0 ? o.blank_diameter_mm : whole ? engine->blank_diameter_mm : 0;
  ask.blank_length_mm = o.blank_length_mm > 0 ? o.blank_length_mm : whole ? engine->blank_length_mm : 0;
  if (o.hole_diameter_mm <= 0 && thread)
    p.taken.push_back(fmt::format("The hole for the plug's {} thread is taken to be there.", thread->name));
  auto left = turning::leftover(*program, rack->tools, ask);
  if (!left) return failed(Exit::spec, file, left.error());
  for (auto& s : left->taken) p.taken.push_back(std::move(s));
  for (auto& s : left->cautions) p.cautions.push_back(std::move(s));
  take_chain(p, std::move(left->chain));
  p.hole_radius_mm = left->hole_radius_mm;
  const auto ok =
      ask_for_unit(file, p, program->inch ? "inches" : "millimetres", o,
                   "check G20 and G21 and the tools' own units; if all is right, say --unit with the unit.");
  if (!ok) return tl::unexpected(ok.error());
  return p;
}

} // namespace

tl::expected<Proposal, Failure> read_proposal(const std::string& file, CheckKind kind, const Spec* engine,
                                              const CheckOptions& o) {
  switch (kind) {
  case CheckKind::step:
    return read_step(file, o);
  case CheckKind::program:
    return read_turned(file, engine, o);
  default:
    return read_drawing(file, kind, o);
  }
}

} // namespace chamber::job
