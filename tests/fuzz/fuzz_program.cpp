// Lathe programs: the reader in both dialects, and the sweep of what it accepts.
#include "chamber/turning/leftover.hpp"
#include "chamber/turning/write.hpp"
#include "target.hpp"

namespace chamber::fuzz {
namespace {

using namespace turning;

Machine machine_by(std::size_t n, std::string_view text) {
  Machine m;
  m.dialect =
      text.find("G50") != std::string_view::npos || text.find("G99") != std::string_view::npos ? "type-a" : "rs274";
  m.diameter_mode = n % 4 != 3;
  m.arcs_from_above = n % 8 == 5;
  m.toolpost = n % 16 == 5 ? Toolpost::front : Toolpost::rear;
  return m;
}

void check_motion(const Motion& m, const Program& p) {
  for (const double x :
       {m.from.x, m.from.z, m.to.x, m.to.z, m.centre.x, m.centre.z, m.radius, m.feed_mm_per_rev, m.speed, m.clamp_rpm})
    check_finite(x, "a motion's figure");
  promise(m.line >= 1 && m.line <= p.line_count, "a motion outside the text");
  if (m.kind == MotionKind::rapid) return;
  promise(m.from_known && m.tool >= 1 && m.tool <= 99, "a cut from nowhere, or with no tool");
  promise(m.feed_mm_per_rev > 0, "a cut without a feed");
  promise(m.speed > 0, "a cut with the spindle still");
  promise(!m.constant_speed || m.clamp_rpm > 0, "constant speed without a clamp");
  if (m.kind == MotionKind::arc_cw || m.kind == MotionKind::arc_ccw)
    promise(m.radius > 0 && m.mismatch <= arc_mismatch_mm, "an arc whose radii disagree");
}

std::optional<Program> read_program(const std::string& text) {
  const auto p = read(text, machine_by(text.size(), text));
  if (!p) {
    check_problems(p.error(), 50, "");
    return std::nullopt;
  }
  promise(!p->motions.empty(), "a program that moves nothing");
  for (const auto& m : p->motions) check_motion(m, *p);
  return *p;
}

} // namespace

void program(std::string_view bytes) {
  read_program(std::string(bytes));
}

void leftover(std::string_view bytes) {
  const auto p = read_program(std::string(bytes));
  if (!p || p->motions.size() > 60) return; // enough for a chamber; the sweep takes its time for each
  static const auto tools = example_whole_tools();
  LeftoverOptions o;
  o.hole_radius_mm = bytes.size() % 3 == 0 ? 6.3 : 0;
  if (bytes.size() % 5 == 0) o.blank_diameter_mm = 92, o.blank_length_mm = 38;
  const auto left = turning::leftover(*p, tools, o);
  if (!left) return check_problem(left.error());
  check_profile(left->chain);
  promise(left->cautions.size() <= 12, "more cautions than anybody reads");
}

} // namespace chamber::fuzz
