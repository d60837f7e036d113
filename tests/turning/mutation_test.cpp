// Slips in the written text of whole jobs, both clampings, both dialects, with the nose in the coordinates and left to
// the control: each is caught, by the reader or by the proof.
#include "chamber/turning/prove_detail.hpp"
#include "whole_samples.hpp"
#include <catch2/catch.hpp>
#include <set>
#include <sstream>

using namespace chamber;
using namespace chamber::turning;

namespace {

struct Ready {
  std::string label;
  Job job;
  Plan plan;
  Work work;
  std::vector<Run> runs;
  std::vector<std::vector<std::string>> lines; ///< of each program
};

std::vector<std::string> lines_of(const std::string& text) {
  std::vector<std::string> out;
  std::istringstream in(text);
  for (std::string line; std::getline(in, line);) out.push_back(line);
  return out;
}

std::string joined(const std::vector<std::string>& lines) {
  std::string out;
  for (const auto& l : lines) out += l + "\n";
  return out;
}

std::vector<Ready> jobs() {
  std::vector<Ready> out;
  for (const auto family : {shapes::Family::toroidal, shapes::Family::spherical})
    for (const std::string dialect : {"rs274", "type-a"})
      for (const bool control : {false, true}) {
        Ready r;
        r.label = std::string(shapes::name(family)) + ", " + dialect + (control ? ", G41" : ", G40");
        r.job = samples::whole_job(family);
        r.job.machine.dialect = dialect;
        r.job.nose_by_control = control;
        if (control) r.job.tools[2].nose_radius_mm = 0.3; // a control refuses a round of the nose's own size
        if (dialect == "type-a") r.job.machine.toolpost = Toolpost::front, r.job.machine.arcs_from_above = true;
        r.plan = plan(r.job).value();
        r.work = samples::work_of(r.job, r.plan);
        for (std::size_t i = 0; i < r.plan.setups.size(); ++i) {
          const auto text = write(r.plan, i, r.job.machine);
          r.lines.push_back(lines_of(text));
          r.runs.push_back({read(text, r.job.machine).value(), r.plan.setups[i].clamping});
        }
        out.push_back(std::move(r));
      }
  return out;
}

bool caught(const Ready& r, std::size_t run, const std::vector<std::string>& lines) {
  const auto program = read(joined(lines), r.job.machine);
  if (!program) return true;
  auto runs = r.runs;
  runs[run].program = *program;
  return !prove(runs, r.work, r.job.tools, r.job.machine).passed();
}

bool starts(const std::string& s, std::string_view head) {
  return s.compare(0, head.size(), head) == 0;
}
bool arc_line(const std::string& s) {
  return starts(s, "G2 ") || starts(s, "G3 ");
}

/// The number after a letter, changed by `change`; empty when the line has no such word.
template <class F>
std::string changed(const std::string& line, char letter, F change) {
  const auto at = line.find(letter);
  if (at == std::string::npos || line[0] == '(') return {};
  const auto end = std::min(line.find(' ', at), line.size());
  char number[32];
  std::snprintf(number, sizeof number, "%.3f", change(std::stod(line.substr(at + 1, end - at - 1))));
  return line.substr(0, at + 1) + number + line.substr(end);
}

/// The line's word moved by a length on the drawing.
std::string shifted(const std::string& line, char letter, double by) {
  return changed(line, letter, [&](double v) { return v + (letter == 'X' ? 2 * by : by); });
}

/// Whether a shift of a motion's end changes what is cut: there the nose (a blade's corners) touches the finished
/// insert, and the shift goes into the metal, or away from metal that no other motion takes. Along the surface it
/// changes nothing.
class Contacts {
public:
  explicit Contacts(const Ready& r) : r_(r) {
    std::vector<Failure> none;
    outline_ = detail::outline_of(r.runs, r.work, none);
    for (std::size_t i = 0; i < r.runs.size(); ++i)
      sweeps_.push_back(detail::strokes_of(r.runs[i], static_cast<int>(i), r.work.height_mm, r.job.tools, none));
  }

  /// The shift in insert coordinates.
  bool matters(std::size_t run, int line, const profile::P& shift) const {
    const auto& sweep = sweeps_[run];
    const detail::Stroke* last = nullptr;
    for (const auto& k : sweep.strokes)
      if (k.motion->line == line) last = &k;
    if (!last || last->rims.empty()) return false;
    const double nose = sweep.of(*last).nose;
    for (const auto& centre : noses_of(sweep, *last))
      if (touches(centre, nose, shift, run, line)) return true;
    return false;
  }

private:
  /// Where the stroke's nose, or the corners of its blade, stand at its end.
  std::vector<profile::P> noses_of(const detail::Sweep& sweep, const detail::Stroke& k) const {
    if (k.rims.size() == 1) return {k.rims[0].to};
    const Tool& t = *sweep.of(k).tool;
    const profile::P p = k.path.to;
    const double c = t.nose_radius_mm, b = t.width_mm;
    std::vector<profile::P> out;
    if (t.kind == ToolKind::grooving) {
      const double low = t.orientation == 1 ? p.z : p.z - b;
      out = {{p.r + c, low + c}, {p.r + c, low + b - c}};
    } else {
      const double low = t.orientation == 2 ? p.r : p.r - b;
      out = {{low + c, p.z - c}, {low + b - c, p.z - c}};
    }
    if (sweep.top_side())
      for (auto& q : out) q.z = r_.work.height_mm - q.z;
    return out;
  }

  bool touches(const profile::P& centre, double nose, const profile::P& shift, std::size_t run, int line) const {
    for (const auto& s : outline_.closed) {
      const auto at = sweep::nearest_on(detail::path_of(s), centre);
      const auto d = at - centre;
      const double away = std::hypot(d.r, d.z);
      // The plug hole is no finished surface.
      if (at.r < outline_.hole_radius_mm + 1e-6 || away > nose + 3e-3 || away < 1e-9) continue;
      const double into = (d.r * shift.r + d.z * shift.z) / away;
      if (into > 0.012 || (into < -0.012 && !cut_besides(at, run, line))) return true;
    }
    return false;
  }

  /// Whether another motion than this and the one that goes on from its end cuts there.
  bool cut_besides(const profile::P& at, std::size_t run, int line) const {
    for (std::size_t i = 0; i < sweeps_.size(); ++i) {
      const Motion* before = nullptr;
      for (const auto& k : sweeps_[i].strokes) {
        const bool joined = i == run && (k.motion->line == line || (before && before->line == line));
        if (k.motion != before) before = k.motion;
        if (joined || k.rapid()) continue;
        for (const auto& rim : k.rims)
          if (sweep::distance(at, rim) < sweeps_[i].of(k).nose + 3e-3) return true;
      }
    }
    return false;
  }

  const Ready& r_;
  detail::Outline outline_;
  std::vector<detail::Sweep> sweeps_;
};

/// What the operation of a line is for.
const Operation* operation_of(const Ready& r, std::size_t run, int line) {
  for (const auto& m : r.runs[run].program.motions)
    if (m.line == line && m.call > 0) return &r.plan.setups[run].operations[static_cast<std::size_t>(m.call) - 1];
  return nullptr;
}

} // namespace

TEST_CASE("a coordinate 0.05 mm off where the insert is finished is caught") {
  for (const auto& r : jobs()) {
    INFO(r.label);
    const Contacts contacts(r);
    int tried = 0;
    std::set<Cut> cuts;
    std::vector<std::string> missed;
    for (std::size_t run = 0; run < r.runs.size(); ++run) {
      const bool top = r.runs[run].clamping.side == Side::top;
      for (std::size_t i = 0; i < r.lines[run].size(); ++i) {
        const auto& line = r.lines[run][i];
        if (!starts(line, "G1 ") && !arc_line(line)) continue;
        const auto* op = operation_of(r, run, static_cast<int>(i) + 1);
        for (const char letter : {'X', 'Z'})
          for (const double by : {0.05, -0.05}) {
            const profile::P shift = letter == 'X' ? profile::P{by, 0} : profile::P{0, top ? by : -by};
            if (!contacts.matters(run, static_cast<int>(i) + 1, shift)) continue;
            auto lines = r.lines[run];
            lines[i] = shifted(line, letter, by);
            if (lines[i].empty()) continue;
            ++tried;
            if (op) cuts.insert(op->cut);
            if (!caught(r, run, lines))
              missed.push_back(std::to_string(run) + "/" + std::to_string(i + 1) + " " + (op ? op->title : "") + ": " +
                               line + " -> " + lines[i]);
          }
      }
    }
    for (const auto& m : missed) UNSCOPED_INFO(m);
    CHECK(missed.empty());
    CHECK(tried > 40);
    CHECK(cuts.size() >= 2);
  }
}

TEST_CASE("a thread pass that begins or runs elsewhere is caught") {
  for (const auto& r : jobs()) {
    INFO(r.label);
    int tried = 0;
    for (std::size_t run = 0; run < r.runs.size(); ++run)
      for (std::size_t i = 1; i < r.lines[run].size(); ++i) {
        const auto& line = r.lines[run][i];
        if (!starts(line, "G33 ") && !starts(line, "G32 ")) continue;
        for (const double by : {0.05, -0.05}) {
          auto lines = r.lines[run];
          lines[i] = shifted(line, 'X', by);
          CHECK(caught(r, run, lines));
          lines = r.lines[run];
          lines[i - 1] = shifted(lines[i - 1], 'Z', by);
          INFO(r.lines[run][i - 1] << " -> " << lines[i - 1]);
          CHECK(caught(r, run, lines));
          lines = r.lines[run];
          lines[i] = changed(line, r.job.machine.dialect == "rs274" ? 'K' : 'F', [&](double v) { return v + by; });
          CHECK(caught(r, run, lines));
          ++tried;
        }
      }
    CHECK(tried > 10);
  }
}

TEST_CASE("a dropped clamp is caught wherever it stands") {
  for (const auto& r : jobs()) {
    int tried = 0;
    for (std::size_t run = 0; run < r.runs.size(); ++run)
      for (std::size_t i = 0; i < r.lines[run].size(); ++i) {
        auto lines = r.lines[run];
        if (const auto at = lines[i].find(" D2500"); at != std::string::npos && lines[i][0] != '(')
          lines[i].erase(at, 6);
        else if (starts(lines[i], "G50 S"))
          lines.erase(lines.begin() + static_cast<std::ptrdiff_t>(i));
        else
          continue;
        CHECK(caught(r, run, lines));
        ++tried;
      }
    CHECK(tried > 6);
  }
}

TEST_CASE("nose compensation left out, on the wrong side or left on is caught") {
  for (const auto& r : jobs()) {
    if (!r.job.nose_by_control) continue;
    INFO(r.label);
    int tried = 0;
    for (std::size_t run = 0; run < r.runs.size(); ++run) {
      bool on = false;
      for (std::size_t i = 0; i < r.lines[run].size(); ++i) {
        const auto& line = r.lines[run][i];
        if (line[0] == '(') continue;
        const auto at = std::min(line.find("G41"), line.find("G42"));
        const bool starts_it = at != std::string::npos, ends_it = on && line.find("G40") != std::string::npos;
        on = (on || starts_it) && !ends_it;
        if (!starts_it && !ends_it) continue;
        INFO(line);
        auto lines = r.lines[run];
        lines[i].replace(starts_it ? at : line.find("G40"), 3, "");
        CHECK(caught(r, run, lines));
        if (starts_it) {
          lines = r.lines[run];
          lines[i][at + 2] = line[at + 2] == '1' ? '2' : '1';
          CHECK(caught(r, run, lines));
        }
        ++tried;
      }
    }
    CHECK(tried >= 8);
  }
}

TEST_CASE("arcs of whole jobs turned the other way or with a wrong centre are caught") {
  for (const auto& r : jobs()) {
    INFO(r.label);
    int tried = 0;
    for (std::size_t run = 0; run < r.runs.size(); ++run)
      for (std::size_t i = 0; i < r.lines[run].size(); ++i) {
        const auto& line = r.lines[run][i];
        if (!arc_line(line)) continue;
        const auto* op = operation_of(r, run, static_cast<int>(i) + 1);
        REQUIRE(op);
        auto lines = r.lines[run];
        lines[i][1] = line[1] == '2' ? '3' : '2';
        INFO(op->title << ": " << line);
        // A roughing arc turned round may loop through air alone, and one of a few rounding steps says nothing.
        const auto word = [&](char letter) { return std::stod(line.substr(line.find(letter) + 1)); };
        if (op->cut != Cut::rough && std::hypot(word('I'), word('K')) > 0.05) CHECK(caught(r, run, lines));
        for (const char letter : {'I', 'K'}) {
          lines = r.lines[run];
          // A sign that says nothing; in roughing, an arc that hardly bends.
          const double size = std::abs(word(letter));
          if (size < (op->cut == Cut::rough ? 0.1 : 0.01)) continue;
          lines[i] = changed(line, letter, [](double v) { return -v; });
          INFO(lines[i]);
          CHECK(caught(r, run, lines));
          ++tried;
        }
      }
    CHECK(tried > 10);
  }
}
