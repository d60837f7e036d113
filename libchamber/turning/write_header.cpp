#include "chamber/turning/write_header.hpp"
#include "chamber/turning/write.hpp"
#include "chamber/units/quantity.hpp"
#include <algorithm>
#include <cctype>
#include <fmt/format.h>
#include <set>

namespace chamber::turning::detail {

/// Between number and unit: no line is broken there.
constexpr char bound_space = '\x1f';

void Text::line(std::string_view text) {
  if (text.empty()) return;
  out_ += text;
  out_ += '\n';
}

void Text::comment(std::string_view label, std::string_view text) {
  std::string clean;
  for (const char c : text) {
    const auto u = static_cast<unsigned char>(c);
    const bool plain = u >= 32 && u < 127 && c != '(' && c != ')' && c != '%' && c != ';';
    if (c == bound_space) {
      clean += c;
      continue;
    }
    clean += plain ? static_cast<char>(std::toupper(u)) : (c == '(' || c == ')' ? ' ' : c == ';' ? ',' : '?');
  }
  const std::size_t room = longest_ - label.size() - 4;
  std::string_view rest = clean;
  do {
    std::size_t n = std::min(room, rest.size());
    if (n < rest.size())
      if (const auto gap = rest.substr(0, n + 1).rfind(' '); gap != std::string_view::npos && gap > 0) n = gap;
    std::string part(rest.substr(0, n));
    std::replace(part.begin(), part.end(), bound_space, ' ');
    line(fmt::format("({}: {})", label, part));
    rest.remove_prefix(n);
    while (!rest.empty() && rest.front() == ' ') rest.remove_prefix(1);
  } while (!rest.empty());
}

std::string length_text(const Machine& m, double mm, int decimals) {
  return m.inch ? units::fixed(mm / units::mm_per_inch, decimals + 1) + bound_space + "IN"
                : units::fixed(mm, decimals) + bound_space + "MM";
}

namespace {

std::string zero_text(const Clamping& c, const Machine& m, bool chamber_only) {
  if (!c.standing.empty())
    return "Z0 IS THE SEALING FACE AS IT STANDS BEFORE THIS CUT. X0 IS THE SPINDLE AXIS, WORK AT Z-";
  std::string out = c.side == Side::chamber ? "Z0 IS THE FINISHED SEALING FACE" : "Z0 IS THE FINISHED TOP FACE";
  if (chamber_only)
    out += ", ALREADY CUT";
  else if (c.front_mm > 0)
    out += fmt::format(", {} INSIDE THE RAW FACE", length_text(m, c.front_mm));
  return out + ". X0 IS THE SPINDLE AXIS, WORK AT Z-";
}

std::string clamping_text(const Clamping& c, const Machine& m) {
  if (c.jaws_mm <= 0 && !c.mandrel) return "CHUCKED ON THE OUTSIDE, JAWS CLEAR OF THE CHAMBER";
  if (c.mandrel)
    return fmt::format("SCREWED BY THE PLUG THREAD ON A MANDREL OF DIAMETER {}, WHICH MUST END {} BEHIND Z0{}",
                       length_text(m, c.mandrel_mm), length_text(m, c.mandrel_end_mm),
                       c.jaws_mm > 0 ? fmt::format(". THE CHUCK BEGINS {} BEHIND Z0", length_text(m, c.jaws_mm)) : "");
  return fmt::format("{} ON DIAMETER {}, GRIP {}, STICK-OUT {}: JAWS BEGIN {} BEHIND Z0",
                     c.soft_jaws ? "SOFT JAWS, BORED TO SIZE," : "HARD JAWS", length_text(m, c.grip_diameter_mm),
                     length_text(m, c.gripped_mm()), length_text(m, c.stick_out_mm()), length_text(m, c.jaws_mm));
}

/// "TIP 3 TOWARDS X- Z-", numbered as the control does.
std::string tip_text(const Tool& t, const Dialect& d) {
  const auto tip = tip_of(t, d.name).value();
  return fmt::format("TIP {} TOWARDS {}", tip.number, tip.towards);
}

std::string tool_text(const Tool& t, const Machine& m, const Dialect& d) {
  const auto length = [&](double mm, int decimals = 2) { return length_text(m, mm, decimals); };
  std::string data;
  switch (t.kind) {
  case ToolKind::drill:
    data = fmt::format("DRILL DIA {}, POINT {:.0f} DEG", length(t.diameter_mm), t.point_angle_deg);
    break;
  case ToolKind::tap:
    data = fmt::format("TAP DIA {}, PITCH {}, CHAMFER {}", length(t.diameter_mm), length(t.pitch_mm, 3),
                       length(t.chamfer_mm));
    break;
  case ToolKind::grooving:
  case ToolKind::face_grooving:
    data = fmt::format("BLADE {}, CORNERS {}, {}", length(t.width_mm, 3), length(t.nose_radius_mm, 3), tip_text(t, d));
    break;
  case ToolKind::turning:
    data = fmt::format("NOSE {}, {}", length(t.nose_radius_mm, 3), tip_text(t, d));
    break;
  case ToolKind::boring:
    data = fmt::format("NOSE {}, {}, BAR {}", length(t.nose_radius_mm, 3), tip_text(t, d), length(t.shank_mm));
    break;
  case ToolKind::threading:
    data = fmt::format("X AT THE POINT'S CREST, Z AT ITS MIDDLE, BAR {}", length(t.shank_mm));
    break;
  }
  return fmt::format("{}, {}, STICK-OUT {}", t.name, data, length(t.reach_mm, 1));
}

void write_nose(Text& text, const Setup& setup) {
  const auto is_by_control = [](const Operation& op) { return op.nose != Nose::in_coordinates; };
  if (std::none_of(setup.operations.begin(), setup.operations.end(), is_by_control))
    text.comment("NOSE",
                 "COORDINATES ARE COMPENSATED FOR THE NOSE, G40. TOUCH OFF THE TIP: NO COMPENSATION IN THE CONTROL");
  else
    text.comment("NOSE",
                 "FINISHING UNDER G41 AND G42: NOSE AND TIP MUST STAND IN THE CONTROL'S TOOL TABLE AS LISTED ABOVE. "
                 "ALL OTHER CUTS ARE COMPENSATED IN THE COORDINATES, G40");
}

} // namespace

void write_header(Text& text, const Plan& plan, const Setup& setup, const Machine& m, const Dialect& dialect) {
  const auto& c = setup.clamping;
  const bool chamber_only = plan.setups.size() == 1;
  const auto length = [&](double mm) { return length_text(m, mm); };
  text.comment("JOB", plan.title.empty() ? "CHAMBER INSERT" : plan.title);
  if (!plan.trim.empty()) text.comment("TRIM", plan.trim);
  text.comment("SIDE", c.side == Side::chamber ? "CHAMBER SIDE TOWARDS THE TAILSTOCK, TOP TOWARDS THE CHUCK"
                                               : "TOP SIDE TOWARDS THE TAILSTOCK, CHAMBER TOWARDS THE CHUCK");
  text.comment("CLAMPING", clamping_text(c, m));
  text.comment("UNITS", fmt::format("{}, X IS {}", m.inch ? "INCH" : "MM", m.diameter_mode ? "DIAMETER" : "RADIUS"));
  text.comment("ZERO", zero_text(c, m, chamber_only));
  if (!plan.material.empty()) text.comment("MATERIAL", plan.material);
  std::string stock = fmt::format("{}DIAMETER {}, LENGTH {}", c.standing.empty() ? "" : "THE FINISHED INSERT, ",
                                  length(c.diameter_mm), length(c.length_mm));
  if (c.bore_mm > 0) stock += ", BORE " + length(c.bore_mm);
  text.comment("STOCK", stock);
  text.comment("LATHE", fmt::format("{}, SPINDLE AT MOST {:.0f} RPM", with_toolpost(m), m.clamp_rpm));
  text.comment("SPINDLE", fmt::format("M3 FORWARD, INSERTS FACE {}", m.toolpost == Toolpost::rear ? "DOWN" : "UP"));
  text.comment("CONTROL", dialect.about);
  std::set<int> said;
  for (const auto& op : setup.operations)
    if (said.insert(op.tool.number).second)
      text.comment(fmt::format("T{}", op.tool.number), tool_text(op.tool, m, dialect));
  write_nose(text, setup);
  text.comment("CAUTION", "RUN IT FIRST IN THE AIR AT REDUCED FEED. CHECK JAWS AND REACH OF THE BARS");
  for (const auto& n : setup.notes) text.comment("NOTE", n);
}

} // namespace chamber::turning::detail
