#include "chamber/job/lathe_read.hpp"
#include "chamber/job/text_file.hpp"
#include "chamber/turning/write.hpp"
#include <algorithm>
#include <fmt/format.h>

namespace chamber::job {
namespace {

using turning::ToolKind;
using units::Dimension;

/// Ranges that tell a slip from a tool.
constexpr Range speeds{5, 1500}, feeds{0.005, 1}, depths{0.02, 20};

constexpr std::string_view purposes[] = {"any", "roughing", "finishing"};
constexpr std::string_view drill_purposes[] = {"any", "centring"};
constexpr std::string_view kinds[] = {"drill", "boring", "turning", "grooving", "face grooving", "threading", "tap"};

bool is_blade(ToolKind kind) {
  return kind == ToolKind::grooving || kind == ToolKind::face_grooving;
}

std::string_view usual_name(ToolKind kind) {
  constexpr std::string_view names[] = {"drill",      "boring bar",    "turning tool", "grooving blade",
                                        "face blade", "threading bar", "tap"};
  return names[static_cast<std::size_t>(kind)];
}

void read_bar(Section& s, turning::Tool& t) {
  t.shank_mm = s.need("shank", Dimension::length, {1, 60}).value;
  t.carbide_shank = s.yes("carbide_shank", false);
  t.min_bore_mm = s.take("min_bore", Dimension::length, {1, 80}, 0);
  t.neck_mm = s.take("neck", Dimension::length, {0.5, 60}, 0);
  t.neck_length_mm = s.take("neck_length", Dimension::length, {0.5, 200}, 0);
}

/// Boring bars and turning tools: nose and edges.
void read_edges(Section& s, turning::Tool& t) {
  const bool boring = t.kind == ToolKind::boring;
  t.purpose = static_cast<turning::Purpose>(s.word("purpose", purposes, 0));
  t.nose_radius_mm = s.need("nose_radius", Dimension::length, {0.02, 10}).value;
  t.orientation = s.whole("orientation", 1, 9, boring ? 3 : 2);
  t.end_edge_angle_deg = s.take("end_edge_angle", Dimension::angle, {0, 89}, t.end_edge_angle_deg);
  t.side_edge_angle_deg = s.take("side_edge_angle", Dimension::angle, {0, 89}, t.side_edge_angle_deg);
  t.edge_length_mm = s.take("edge_length", Dimension::length, {0, 30}, boring ? 5 : 9); // small 80 or 55 degree inserts
  if (boring)
    read_bar(s, t);
  else
    t.shank_mm = s.take("shank", Dimension::length, {5, 60}, 20);
}

void read_blade(Section& s, turning::Tool& t) {
  const bool face = t.kind == ToolKind::face_grooving;
  t.width_mm = s.need("width", Dimension::length, {0.3, 10}).value;
  const double corner = std::isfinite(t.width_mm) ? t.width_mm / 2 : 1;
  t.nose_radius_mm = s.take("nose_radius", Dimension::length, {0.02, corner}, std::min(0.15, corner));
  t.orientation = s.whole("orientation", 1, 9, face ? 3 : 2);
  if (face) {
    t.face_min_mm = s.take("face_min", Dimension::length, {1, 1000}, 0);
    t.face_max_mm = s.take("face_max", Dimension::length, {1, 1000}, 0);
    if (t.face_max_mm > 0 && t.face_max_mm <= t.face_min_mm)
      s.complain("face_max", "face_max is not larger than face_min.", "exchange the two.");
  }
}

void read_geometry(Section& s, turning::Tool& t) {
  switch (t.kind) {
  case ToolKind::drill:
    t.diameter_mm = s.need("diameter", Dimension::length, {1, 40}).value;
    t.point_angle_deg = s.take("point_angle", Dimension::angle, {60, 180}, 118);
    if (s.word("purpose", drill_purposes, 0) == 1) t.purpose = turning::Purpose::centring;
    break;
  case ToolKind::boring:
  case ToolKind::turning:
    read_edges(s, t);
    break;
  case ToolKind::grooving:
  case ToolKind::face_grooving:
    read_blade(s, t);
    break;
  case ToolKind::threading:
    t.nose_radius_mm = s.take("nose_radius", Dimension::length, {0.01, 0.5}, 0.05);
    t.orientation = s.whole("orientation", 1, 9, 3);
    t.pitch_mm = s.take("pitch", Dimension::length, {0.2, 6}, 0);
    read_bar(s, t);
    break;
  case ToolKind::tap:
    t.diameter_mm = s.need("diameter", Dimension::length, {3, 40}).value;
    t.pitch_mm = s.need("pitch", Dimension::length, {0.2, 6}).value;
    // A bottoming tap's chamfer is two to three threads (form C of DIN 2197, from memory).
    t.chamfer_mm = s.take("chamfer", Dimension::length, {0, 40}, 3 * t.pitch_mm);
    break;
  }
}

/// Taps and threading bars feed by the pitch.
bool has_feed(ToolKind kind) {
  return kind != ToolKind::tap && kind != ToolKind::threading;
}

Cutting read_cutting(Section& s, ToolKind kind, double pitch) {
  Cutting c;
  c.speed_m_per_min = s.need("speed", Dimension::cutting_speed, speeds).value;
  const double by_pitch = pitch > 0 ? pitch : 1;
  c.feed_mm_per_rev = has_feed(kind) ? s.need("feed", Dimension::feed, feeds).value : by_pitch;
  return c;
}

RackTool read_tool(Section& s) {
  RackTool r;
  auto& t = r.tool;
  t.number = s.whole("number", 1, 99, std::nullopt);
  t.kind = static_cast<ToolKind>(s.word("kind", kinds, std::nullopt));
  t.name = s.text("name", std::string(usual_name(t.kind)), 40);
  t.reach_mm = s.need("reach", Dimension::length, {3, 400}).value;
  read_geometry(s, t);
  constexpr double depth_of[] = {0, 1, 2, 0, 0, 0.2, 0};
  if (is_blade(t.kind))
    t.max_depth_mm =
        s.need("max_depth", Dimension::length, {0.2, 60}).value; // of the groove: the blade's, not the metal's
  else if (t.kind != ToolKind::tap)
    t.max_depth_mm = s.take("max_depth", Dimension::length, depths, depth_of[static_cast<std::size_t>(t.kind)]);
  auto cutting = s.section("cutting", false);
  if (s.has("speed") || s.has("feed") || !cutting) r.any = read_cutting(s, t.kind, t.pitch_mm);
  for (std::size_t i = 0; cutting && i < std::size(metal_names); ++i) {
    auto c = cutting.section(metal_names[i], false);
    if (!c) continue;
    r.by_metal[i] = read_cutting(c, t.kind, t.pitch_mm);
    if (!is_blade(t.kind) && t.kind != ToolKind::tap)
      r.by_metal[i]->max_depth_mm = c.take("max_depth", Dimension::length, depths, 0);
    c.finish();
  }
  cutting.finish();
  s.finish();
  return r;
}

std::string lower(std::string_view text) {
  std::string out(text);
  for (auto& c : out)
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c + 32);
  return out;
}

} // namespace

std::optional<std::size_t> metal_of(std::string_view material) {
  // 6061 and 7075 are aluminium alloys by the four-digit designation (EN 573, from memory).
  static constexpr std::pair<std::string_view, std::size_t> words[] = {{"aluminium", 0}, {"aluminum", 0}, {"6061", 0},
                                                                       {"7075", 0},      {"bronze", 1},   {"steel", 2}};
  const auto name = lower(material);
  for (const auto& [word, metal] : words)
    if (name.find(word) != std::string::npos) return metal;
  return std::nullopt;
}

std::optional<turning::Tool> RackTool::with_data_for(std::optional<std::size_t> metal) const {
  const auto& own = metal ? by_metal[*metal] : any;
  const auto& c = own ? own : any;
  if (!c) return std::nullopt;
  auto t = tool;
  t.cutting_speed_m_per_min = c->speed_m_per_min;
  t.feed_mm_per_rev = c->feed_mm_per_rev;
  if (c->max_depth_mm > 0) t.max_depth_mm = c->max_depth_mm;
  return t;
}

void read_machine(Section& s, turning::Machine& m) {
  static constexpr std::string_view posts[] = {"rear", "front"}, unit[] = {"mm", "inch"},
                                    arcs[] = {"in the axes", "from above"}, x_words[] = {"diameter", "radius"};
  m.name = s.text("name", m.name, 40);
  const auto dialects = turning::dialect_names();
  const auto now = std::find(dialects.begin(), dialects.end(), m.dialect) - dialects.begin();
  m.dialect = dialects[s.word("dialect", dialects, static_cast<std::size_t>(now))];
  m.toolpost = static_cast<turning::Toolpost>(s.word("toolpost", posts, static_cast<std::size_t>(m.toolpost)));
  m.arcs_from_above = s.word("arcs", arcs, m.arcs_from_above ? 1 : 0) == 1;
  m.diameter_mode = s.word("x", x_words, m.diameter_mode ? 0 : 1) == 0;
  m.inch = s.word("units", unit, m.inch ? 1 : 0) == 1;
  if (s.has("decimals")) m.decimals = s.whole("decimals", 2, 6, coordinate_decimals(m));
  m.max_line_length = s.whole("line_length", 40, 250, m.max_line_length);
  m.clamp_rpm = s.take("clamp", Dimension::rotation, {50, 12000}, m.clamp_rpm);
  m.rapid_mm_per_min = 1000 * s.take("rapid", Dimension::cutting_speed, {0.1, 100}, m.rapid_mm_per_min / 1000);
  m.change_x_mm = s.take("change_x", Dimension::length, {10, 800}, m.change_x_mm);
  m.change_z_mm = s.take("change_z", Dimension::length, {10, 800}, m.change_z_mm);
  m.coolant = s.yes("coolant", m.coolant);
  m.program_number = s.whole("program", 1, 9998, m.program_number);
}

std::vector<RackTool> read_tools(Section& root) {
  std::vector<RackTool> out;
  for (auto& s : root.sections("tool", 40)) {
    out.push_back(read_tool(s));
    for (std::size_t i = 0; i + 1 < out.size(); ++i)
      if (out[i].tool.number == out.back().tool.number)
        s.complain("number", fmt::format("tool number {} is given twice.", out[i].tool.number),
                   "give every tool its own number.");
  }
  return out;
}

Results<Lathe> read_lathe(std::string_view text, const std::string& file) {
  Reader reader(text, file);
  if (!reader.problems().empty()) return tl::unexpected(reader.problems());
  Lathe lathe;
  auto root = reader.root();
  auto s = root.section("lathe", true);
  read_machine(s, lathe.machine);
  s.finish();
  lathe.tools = read_tools(root);
  if (lathe.tools.empty())
    root.complain("", "the lathe file lists no tool.", "add [[tool]] for a pilot drill and at least one boring bar.");
  root.finish();
  if (!reader.problems().empty()) return tl::unexpected(reader.sorted());
  return lathe;
}

Results<Lathe> load_lathe(const std::string& path) {
  const auto text = read_text_file(path, "lathe file");
  if (!text) return tl::unexpected(std::vector{text.error()});
  return read_lathe(*text, path);
}

} // namespace chamber::job
