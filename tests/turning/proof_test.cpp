// The proof: random chambers pass it, mutated programs do not.
#include "chamber/turning/sweep.hpp"
#include "chamber/units/tolerance.hpp"
#include "samples.hpp"
#include <catch2/catch.hpp>
#include <rapidcheck/catch.h>
#include <sstream>

using namespace chamber;
using namespace chamber::turning;

namespace {

Proof proof_of(const Program& program, const Job& job, const Plan& plan, const std::vector<Tool>& tools) {
  const Run run{program, plan.setups[0].clamping};
  return prove(std::span(&run, 1), samples::work_of(job, plan), tools, job.machine);
}

struct Ready {
  Job job;
  Plan plan;
  std::string text;
  std::vector<std::string> lines;
};

Ready ready(shapes::Family family) {
  Ready r{samples::job_of(family), {}, {}, {}};
  r.job.tools[1].nose_radius_mm = 0.5; // so that no tool can stand in for another
  r.plan = plan(r.job).value();
  r.text = write(r.plan, 0, r.job.machine);
  std::istringstream in(r.text);
  for (std::string line; std::getline(in, line);) r.lines.push_back(line);
  return r;
}

std::string joined(const std::vector<std::string>& lines) {
  std::string out;
  for (const auto& l : lines) out += l + "\n";
  return out;
}

bool caught(const Ready& r, const std::vector<std::string>& lines) {
  const auto program = read(joined(lines), r.job.machine);
  return !program || !proof_of(*program, r.job, r.plan, r.job.tools).passed();
}

bool starts(const std::string& s, std::string_view head) {
  return s.compare(0, head.size(), head) == 0;
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

/// How far the end of a line's motion, moved, lies from the path the program follows there: along the path, off no
/// metal or off the pilot's edge a shift changes nothing that is cut.
double off_path(const Program& program, int line, double dx, double dz) {
  for (std::size_t i = 0; i + 1 < program.motions.size(); ++i) {
    const Motion& m = program.motions[i];
    if (m.line != line) continue;
    const Motion& next = program.motions[i + 1];
    const auto path = [](const Motion& a) {
      const auto kind = a.kind == MotionKind::arc_cw    ? profile::Kind::cw
                        : a.kind == MotionKind::arc_ccw ? profile::Kind::ccw
                                                        : profile::Kind::line;
      return sweep::Path{kind, {a.from.x, -a.from.z}, {a.to.x, -a.to.z}, {a.centre.x, -a.centre.z}, a.radius};
    };
    // Before the wall and after the roof the tool is in the air.
    const bool first = program.motions[i - 1].kind == MotionKind::rapid, last = next.kind == MotionKind::rapid;
    // Where the pass leaves the roof is free within the pilot.
    const bool leaves = i + 2 < program.motions.size() && program.motions[i + 2].kind == MotionKind::rapid && dz == 0;
    if (first || last || leaves) return 0;
    const profile::P p{m.to.x + dx, -(m.to.z + dz)};
    return std::min(sweep::distance(p, path(m)), sweep::distance(p, path(next)));
  }
  return 0;
}

/// Index of the first line after the finishing tool's call.
std::size_t finishing_from(const Ready& r) {
  for (std::size_t i = r.lines.size(); i-- > 0;)
    if (starts(r.lines[i], "T3 M6")) return i;
  return r.lines.size();
}

} // namespace

TEST_CASE("random feasible chambers of every family are cut true") {
  int planned = 0;
  rc::prop("plan, write, read, prove", [&](unsigned) {
    const auto job = samples::random_job(*rc::gen::noShrink(rc::gen::arbitrary<unsigned>()));
    const auto p = plan(job);
    // A narrow trough may refuse a bar; nothing else may stop a chamber made for the tools.
    if (!p) {
      RC_LOG() << p.error().message;
      RC_ASSERT(p.error().message.find("bar") != std::string::npos);
      return;
    }
    ++planned;
    const auto program = read(write(*p, 0, job.machine), job.machine);
    if (!program) RC_LOG() << to_text(program.error().front());
    RC_ASSERT(program.has_value());
    const auto proof = proof_of(*program, job, *p, job.tools);
    for (const auto& f : proof.failures) RC_LOG() << f.message;
    RC_ASSERT(proof.passed());
    RC_ASSERT(proof.largest_gouge_mm <= tolerance::gouge_mm);
    RC_ASSERT(std::abs(proof.volume_left_cc - proof.volume_expected_cc) <= tolerance::program_volume_cc);
    RC_ASSERT(proof.volume_error_cc < 1e-3);
  });
#if defined(CHAMBER_SANITIZED)
  CHECK(planned > 10); // instrumented, fewer are tried
#else
  CHECK(planned > 60);
#endif
}

TEST_CASE("a finishing coordinate 0.05 mm off is caught") {
  for (const auto family : samples::families) {
    const auto r = ready(family);
    const auto program = read(r.text, r.job.machine);
    REQUIRE(program);
    int tried = 0;
    for (std::size_t i = finishing_from(r); i < r.lines.size(); ++i) {
      if (!starts(r.lines[i], "G1") && !starts(r.lines[i], "G2") && !starts(r.lines[i], "G3")) continue;
      for (const char letter : {'X', 'Z'})
        for (const double by : {0.05, -0.05}) {
          auto lines = r.lines;
          // 0.05 mm of travel: 0.1 on the diameter.
          lines[i] = changed(lines[i], letter, [&](double v) { return v + (letter == 'X' ? 2 * by : by); });
          REQUIRE(lines[i] != r.lines[i]);
          const int line = static_cast<int>(i) + 1;
          if (off_path(*program, line, letter == 'X' ? by : 0, letter == 'Z' ? by : 0) < tolerance::gouge_mm) continue;
          INFO(r.lines[i] << " -> " << lines[i]);
          CHECK(caught(r, lines));
          ++tried;
        }
    }
    CHECK(tried > 15);
  }
}

TEST_CASE("a dropped clamp is caught") {
  const auto r = ready(shapes::Family::spherical);
  int tried = 0;
  for (std::size_t i = 0; i < r.lines.size(); ++i) {
    if (!starts(r.lines[i], "G96 D2500")) continue;
    auto lines = r.lines;
    lines[i].erase(3, 6);
    CHECK(caught(r, lines));
    ++tried;
  }
  CHECK(tried == 2);
}

TEST_CASE("arcs turned the other way or with a wrong centre are caught") {
  for (const auto family : samples::families) {
    const auto r = ready(family);
    const auto finishing = finishing_from(r);
    int tried = 0, rough_caught = 0;
    for (std::size_t i = 0; i < r.lines.size(); ++i) {
      if (!starts(r.lines[i], "G2 ") && !starts(r.lines[i], "G3 ")) continue;
      auto lines = r.lines;
      lines[i][1] = lines[i][1] == '2' ? '3' : '2';
      INFO(r.lines[i]);
      // A roughing arc turned round may loop through air alone.
      if (i > finishing)
        CHECK(caught(r, lines));
      else
        rough_caught += caught(r, lines);
      for (const char letter : {'I', 'K'}) {
        lines = r.lines;
        lines[i] = changed(lines[i], letter, [](double v) { return -v; });
        const double size = std::abs(std::stod(r.lines[i].substr(r.lines[i].find(letter) + 1)));
        if (size < 0.01) continue; // a sign that says nothing
        INFO(lines[i]);
        CHECK(caught(r, lines));
        ++tried;
      }
    }
    CHECK(tried > 20);
    CHECK(rough_caught > 5);
  }
}

TEST_CASE("a lost line is caught, unless the chamber comes out the same") {
  for (const auto family : samples::families) {
    auto r = ready(family);
    std::size_t rough_from = 0, rough_to = 0;
    for (std::size_t i = 0; i < r.lines.size(); ++i) {
      if (starts(r.lines[i], "T2 M6")) rough_from = i;
      if (starts(r.lines[i], "T3 M6")) rough_to = i;
    }
    std::vector<std::string> missed;
    int tried = 0, rough_caught = 0;
    for (std::size_t i = 0; i < r.lines.size(); ++i) {
      if (r.lines[i][0] == '(') continue;
      auto lines = r.lines;
      lines.erase(lines.begin() + static_cast<std::ptrdiff_t>(i));
      const bool seen = caught(r, lines);
      // Between the roughing passes a lost line may only shift work to the next pass, within the tool's depth; a lost
      // rapid may turn into a feed, a lost last step back into a retreat from the roof: then the chamber is proven to
      // come out the same. Elsewhere every line counts.
      const bool roughing = i >= rough_from + 4 && i < rough_to;
      const bool retreat =
          starts(r.lines[i], "G0") || (i > rough_to && starts(r.lines[i], "G1") && starts(r.lines[i + 1], "G0"));
      rough_caught += roughing && seen;
      tried += !roughing && !retreat;
      if (!seen && !roughing && !retreat) missed.push_back(std::to_string(i + 1) + ": " + r.lines[i]);
    }
    for (const auto& m : missed) UNSCOPED_INFO(m);
    CHECK(missed.empty());
    CHECK(tried > 30);
    CHECK(rough_caught > 40);
  }
}

TEST_CASE("the wrong tool in the post is caught") {
  const auto r = ready(shapes::Family::flat_roof);
  const auto program = read(r.text, r.job.machine);
  REQUIRE(program);
  for (const double nose : {0.35, 0.45}) {
    auto tools = r.job.tools;
    tools[2].nose_radius_mm = nose;
    CHECK_FALSE(proof_of(*program, r.job, r.plan, tools).passed());
  }
  auto tools = r.job.tools;
  tools[2].orientation = 2;
  CHECK_FALSE(proof_of(*program, r.job, r.plan, tools).passed());
  tools = r.job.tools;
  tools[0].diameter_mm = 13;
  CHECK_FALSE(proof_of(*program, r.job, r.plan, tools).passed());
  tools.pop_back();
  CHECK_FALSE(proof_of(*program, r.job, r.plan, tools).passed());
}

TEST_CASE("a thicker bar, a duller insert and a shallower reach are seen in the text too") {
  Ready r = ready(shapes::Family::toroidal);
  const auto fails_with = [&](auto change, FailureKind kind) {
    const auto program = read(r.text, r.job.machine);
    REQUIRE(program);
    auto tools = r.job.tools;
    for (auto& t : tools)
      if (t.kind == ToolKind::boring) change(t);
    const auto proof = proof_of(*program, r.job, r.plan, tools);
    return std::any_of(proof.failures.begin(), proof.failures.end(), [&](const Failure& f) { return f.kind == kind; });
  };
  CHECK(fails_with([](Tool& t) { t.end_edge_angle_deg = 20; }, FailureKind::gouge));
  CHECK(fails_with([](Tool& t) { t.end_edge_angle_deg = 20, t.edge_length_mm = 1; }, FailureKind::bar_contact));
  CHECK(fails_with([](Tool& t) { t.reach_mm = 6; }, FailureKind::bar_contact));
  CHECK(fails_with([](Tool& t) { t.max_depth_mm = 0.3; }, FailureKind::depth));
  // A deep pocket, which a wide head does not go into.
  auto deep = samples::dimensions_of(shapes::Family::spherical);
  deep.pocket_depth = 9;
  r.job = samples::job_of(shapes::build(samples::frame_of(shapes::Family::spherical), deep));
  r.plan = plan(r.job).value();
  r.text = write(r.plan, 0, r.job.machine);
  CHECK_FALSE(fails_with([](Tool&) {}, FailureKind::bar_contact));
  CHECK(fails_with([](Tool& t) { t.min_bore_mm = 16; }, FailureKind::bar_contact));
}
