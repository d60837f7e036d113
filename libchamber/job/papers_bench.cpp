// The traveller's pages for the lathe and the bench: setup sheets and programs.
#include "chamber/job/papers.hpp"
#include "chamber/job/sha256.hpp"
#include "chamber/turning/write.hpp"
#include "chamber/units/tolerance.hpp"
#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace chamber::job {
namespace {

using turning::ToolKind;
using units::fixed;

std::string minutes(double s) {
  return s < 60 ? fmt::format("{} s", fixed(s, 0)) : fmt::format("{} min", fixed(s / 60, s < 600 ? 1 : 0));
}

/// Short, with the unit only where it is said once for all.
class Setup {
public:
  Setup(const Turned& turned, const Spec& spec, std::size_t i, const std::string& base, bool mend)
      : t_(turned), s_(t_.plan.setups[i]), c_(s_.clamping), i_(i), base_(base), material_(spec.material), mend_(mend),
        w_(spec) {}

  papers::SetupSheet sheet() const {
    papers::SetupSheet out;
    out.title = mend_ ? fmt::format("The cut: {} out", turning::name(c_.side))
                      : fmt::format("Clamping {}: {} out", i_ + 1, turning::name(c_.side));
    out.program = base_ + t_.files[i_].suffix;
    double time = 0;
    for (std::size_t k = 0; k < s_.operations.size(); ++k)
      if (const auto* f = figures(k)) time += f->time_s;
    if (time > 0) out.time = minutes(time) + " and the tool changes";
    out.facts = facts();
    out.order = order();
    for (std::size_t k = 0; k < s_.operations.size(); ++k) out.tools.push_back(tool(k));
    for (const auto& p : t_.pictures)
      if (p.run == static_cast<int>(i_)) out.steps.push_back(step(p));
    out.notes = s_.notes;
    for (const auto& op : s_.operations) {
      const auto note = [&](std::string_view what) {
        out.notes.push_back(fmt::format("T{}: {}.", op.tool.number, what));
      };
      if (op.cut == turning::Cut::tap)
        if (const auto holder = turning::tap_note(t_.job.machine.dialect); !holder.empty()) note(holder);
      if (op.cut == turning::Cut::drill)
        for (const auto& n : op.notes) note(n);
    }
    return out;
  }

private:
  const turning::CallFigures* figures(std::size_t op) const {
    for (const auto& c : t_.proof.calls)
      if (c.run == static_cast<int>(i_) && c.call == static_cast<int>(op) + 1) return &c;
    return nullptr;
  }

  std::vector<papers::Fact> facts() const {
    const auto& m = t_.job.machine;
    std::vector<papers::Fact> out;
    const auto form = mend_                 ? "the insert that was filled"
                      : i_ > 0              ? "from the first clamping"
                      : t_.job.chucking.bar ? "bar"
                                            : "sawn blank";
    out.push_back({"stock",
                   fmt::format("⌀ {} × {} {}", w_.figure(c_.diameter_mm), w_.figure(c_.length_mm), w_.length_unit()),
                   fmt::format("{}{}, {}", form,
                               c_.bore_mm > 0 ? fmt::format(", bore ⌀ {}", w_.length(c_.bore_mm)) : "", material_)});
    if (c_.mandrel)
      out.push_back({"held", "on a mandrel",
                     fmt::format("by the plug thread; it ends {} behind Z0", w_.length(c_.mandrel_end_mm))});
    else if (c_.jaws_mm > 0) {
      out.push_back({"held", c_.soft_jaws ? "soft jaws" : "hard jaws",
                     fmt::format("{} ⌀ {}", c_.soft_jaws ? "bored to" : "on", w_.length(c_.grip_diameter_mm))});
      out.push_back({"stick-out", w_.length(c_.stick_out_mm()), mend_ ? "sealing face to jaws" : "raw face to jaws"});
      out.push_back({"jaws", w_.length(c_.jaws_mm), "behind Z0; grip " + w_.length(c_.gripped_mm())});
    }
    out.push_back(
        {"Z zero", c_.side == turning::Side::chamber ? "sealing face" : "top face",
         c_.front_mm > 0 ? fmt::format("finished; {} inside the raw face", w_.length(c_.front_mm)) : "finished"});
    out.push_back({"X zero", "the axis",
                   fmt::format("X words are {}; tools change at X{} Z{} {}", m.diameter_mode ? "diameters" : "radii",
                               fixed(w_.lengths(m.change_x_mm), w_.inch() ? 2 : 0),
                               fixed(w_.lengths(m.change_z_mm), w_.inch() ? 2 : 0), w_.length_unit())});
    out.push_back({"lathe", m.dialect,
                   fmt::format("{}, program in {}, spindle at most {} rpm", turning::with_toolpost(m),
                               m.inch ? "inches" : "mm", fixed(m.clamp_rpm, 0))});
    return out;
  }

  std::vector<std::string> order() const {
    const bool top = c_.side == turning::Side::top;
    std::vector<std::string> out;
    if (c_.mandrel)
      out.push_back("Screw the piece onto the mandrel by its plug thread, seat clean.");
    else
      out.push_back(fmt::format("{} {} of it stand out of the jaws.",
                                mend_     ? "Bore the soft jaws, chuck the insert and let"
                                : i_ == 0 ? "Chuck the blank and let"
                                          : "Turn the piece round, bore the soft jaws, chuck it and let",
                                w_.length(c_.stick_out_mm())));
    if (mend_)
      out.push_back("Clock the sealing face and the rim. The sealing face as it stands now is Z zero.");
    else
      out.push_back(c_.front_mm > 0
                        ? fmt::format("Touch the raw face; Z zero lies {} inside it, where the {} will be.",
                                      w_.length(c_.front_mm), top ? "top" : "sealing face")
                        : fmt::format("Touch the finished {}: that is Z zero.", top ? "top" : "sealing face"));
    out.push_back("Set the tools of the table; enter nose and tip as they stand there.");
    out.push_back(
        fmt::format("Load {}; compare number and lines with those under Programs.", base_ + t_.files[i_].suffix));
    const bool air = std::any_of(t_.files.begin(), t_.files.end(),
                                 [](const auto& f) { return f.suffix.find("in-the-air") != std::string::npos; });
    out.push_back(air ? fmt::format("Run {}-{}-in-the-air{} first, then this one.", base_, ordinal(i_),
                                    turning::file_extension(t_.job.machine.dialect))
                      : "Run it once in the air, at reduced feed, hand on the stop.");
    for (const auto& op : s_.operations)
      for (const auto& stop : op.stop)
        out.push_back(fmt::format("Before T{}, {}, measure: {}", op.tool.number, op.title, stop));
    const bool last = i_ + 1 == t_.plan.setups.size();
    const std::string cut = top ? "Cut, deburr" : "Cut, deburr; the chamber's rim sharp and burr-free";
    out.push_back(cut + (mend_ ? "; wash; then fill it again." : last ? "; wash; then the inspection below." : "."));
    return out;
  }

  papers::ToolLine tool(std::size_t k) const {
    const auto& op = s_.operations[k];
    const auto& t = op.tool;
    papers::ToolLine line;
    line.number = fmt::format("T{}", t.number);
    line.name = t.name.empty() ? std::string(turning::name(t.kind)) : t.name;
    if (t.kind == ToolKind::boring || t.kind == ToolKind::threading)
      line.name += ", bar ⌀ " + w_.length(t.shank_mm);
    else if (t.width_mm > 0)
      line.name += ", blade " + w_.length(t.width_mm, true);
    if (t.reach_mm > 0) line.out = w_.length(t.reach_mm);
    line.work = op.title;
    if (t.kind == ToolKind::drill)
      line.nose = "⌀ " + w_.length(t.diameter_mm);
    else if (t.kind != ToolKind::tap) {
      line.nose = w_.length(t.nose_radius_mm);
      if (const auto tip = turning::tip_of(t, t_.job.machine.dialect))
        line.tip = fmt::format("{}, {}", tip->number, tip->towards);
    }
    if (op.constant_speed) {
      line.speed = w_.inch() ? fmt::format("{} ft/min", fixed(op.speed / 0.3048, 0))
                             : fmt::format("{} m/min", fixed(op.speed, 0));
    } else {
      line.speed = fmt::format("{} rpm", fixed(op.speed, 0));
    }
    line.feed = fmt::format("{} {}/rev", fixed(w_.lengths(op.feed_mm_per_rev), w_.inch() ? 4 : 3), w_.length_unit());
    line.passes = std::to_string(op.passes);
    if (op.nose != turning::Nose::in_coordinates) line.work += op.nose == turning::Nose::left ? ", G41" : ", G42";
    if (const auto* f = figures(k)) {
      line.time = minutes(f->time_s);
      line.lines = fmt::format("{}–{}", f->first_line, f->last_line);
    }
    return line;
  }

  papers::Picture step(const turning::StepPicture& p) const {
    const auto k = static_cast<std::size_t>(p.call) - 1;
    std::string title = fmt::format("{}.", p.call);
    if (k < s_.operations.size())
      title += fmt::format(" T{}, {}", s_.operations[k].tool.number, s_.operations[k].title);
    return {title, p.figure, "", true, p.sketch};
  }

  const Turned& t_;
  const turning::Setup& s_;
  const turning::Clamping& c_;
  std::size_t i_;
  const std::string &base_, &material_;
  bool mend_;
  Words w_;
};

} // namespace

std::vector<papers::SetupSheet> setup_sheets(const Turned& turned, const Spec& spec, const std::string& base,
                                             bool mend) {
  std::vector<papers::SetupSheet> out;
  for (std::size_t i = 0; i < turned.plan.setups.size(); ++i) out.push_back(Setup(turned, spec, i, base, mend).sheet());
  return out;
}

std::vector<papers::ProgramFile> program_files(const Turned& turned, const std::string& base) {
  std::vector<papers::ProgramFile> out;
  for (const auto& f : turned.files)
    if (f.kind.starts_with("lathe program")) {
      const auto number = f.text.substr(f.text.find('O'), f.text.find('\n', 2) - f.text.find('O'));
      out.push_back({base + f.suffix, f.kind,
                     fmt::format("{}, {} lines, sha256 {}", number, std::count(f.text.begin(), f.text.end(), '\n'),
                                 sha256(f.text).substr(0, code_digits))});
    }
  return out;
}

} // namespace chamber::job
