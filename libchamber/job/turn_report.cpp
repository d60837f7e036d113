#include "chamber/job/turn_report.hpp"
#include "chamber/job/sha256.hpp"
#include "chamber/turning/write.hpp"
#include "chamber/units/quantity.hpp"
#include <cmath>
#include <fmt/format.h>

namespace chamber::job {
namespace {

using turning::ToolKind;
using units::fixed;

/// What the proof read of an operation; empty where the program is not proven.
const turning::CallFigures* figures_of(const Turned& t, std::size_t setup, std::size_t op) {
  for (const auto& c : t.proof.calls)
    if (c.run == static_cast<int>(setup) && c.call == static_cast<int>(op) + 1) return &c;
  return nullptr;
}

std::string minutes(double s) {
  const auto whole = std::lround(s);
  return fmt::format("{}:{:02} min", whole / 60, whole % 60);
}

/// Lengths as the lathe counts them.
class Said {
public:
  explicit Said(const Turned& t) : inch_(t.job.machine.inch) {}
  /// `decimals` of a mm, one more of an inch.
  std::string operator()(double mm, int decimals = 2) const {
    return inch_ ? fixed(mm / units::mm_per_inch, decimals + 1) + " in" : fixed(mm, decimals) + " mm";
  }
  std::string surface_speed(double m_per_min) const {
    return inch_ ? fixed(1000 * m_per_min / units::mm_per_inch / 12, 0) + " ft/min" : fixed(m_per_min, 0) + " m/min";
  }

private:
  bool inch_;
};

std::string stock_text(const Turned& t, const turning::Clamping& c, bool first) {
  const Said said(t);
  auto out = fmt::format("diameter {}, {} long", said(c.diameter_mm), said(c.length_mm));
  if (c.bore_mm > 0) out += fmt::format(", bore {}", said(c.bore_mm));
  if (!first) return out + ", from the first clamping";
  return (t.job.chucking.bar ? "bar, " : "sawn blank, ") + out;
}

std::string held_text(const turning::Clamping& c, const Said& said) {
  if (c.mandrel) return fmt::format("by the plug thread on a mandrel, which ends {} behind Z0", said(c.mandrel_end_mm));
  if (c.jaws_mm <= 0) return "on the outside";
  return fmt::format("{} on diameter {}, stick-out {}, jaws {} behind Z0",
                     c.soft_jaws ? "soft jaws bored to size" : "hard jaws", said(c.grip_diameter_mm),
                     said(c.stick_out_mm()), said(c.jaws_mm));
}

std::string zero_text(const turning::Clamping& c, const Said& said) {
  const auto face = c.side == turning::Side::chamber ? "sealing face" : "top face";
  return c.front_mm > 0 ? fmt::format("Z0 is the finished {}, {} inside the raw face", face, said(c.front_mm))
                        : fmt::format("Z0 is the finished {}", face);
}

std::string tool_data(const turning::Tool& t, const turning::Machine& m, const Said& said) {
  const auto tip = turning::tip_of(t, m.dialect);
  const auto pointing = tip ? fmt::format(", tip {} towards {}", tip->number, tip->towards) : "";
  switch (t.kind) {
  case ToolKind::drill:
    return fmt::format("diameter {}", said(t.diameter_mm));
  case ToolKind::tap:
    return fmt::format("M{:g}x{:g}", t.diameter_mm, t.pitch_mm);
  case ToolKind::grooving:
  case ToolKind::face_grooving:
    return fmt::format("width {}, corners {}{}", said(t.width_mm), said(t.nose_radius_mm), pointing);
  default:
    return fmt::format("nose {}{}", said(t.nose_radius_mm, 3), pointing);
  }
}

std::string operation_text(const Turned& t, std::size_t setup, std::size_t i) {
  const Said said(t);
  const auto& op = t.plan.setups[setup].operations[i];
  auto out = fmt::format("    T{:<3}{:<32} {}\n", op.tool.number, op.tool.name, op.title);
  const auto speed = op.constant_speed ? fmt::format("{} to at most {} rpm", said.surface_speed(op.speed),
                                                     fixed(t.job.machine.clamp_rpm, 0))
                                       : fmt::format("{} rpm", fixed(op.speed, 0));
  out += fmt::format("        {}; {}; {}/rev; {} pass{}", tool_data(op.tool, t.job.machine, said), speed,
                     said(op.feed_mm_per_rev, 3), op.passes, op.passes == 1 ? "" : "es");
  if (op.nose != turning::Nose::in_coordinates)
    out += op.nose == turning::Nose::left ? "; nose by the control, G41" : "; nose by the control, G42";
  if (const auto* f = figures_of(t, setup, i)) {
    out += fmt::format("\n        {}; lines {} to {}", minutes(f->time_s), f->first_line, f->last_line);
    if (f->deepest_cut_mm > 0) out += fmt::format("; deepest cut {}", said(f->deepest_cut_mm));
  }
  out += "\n";
  if (!op.reason.empty()) out += fmt::format("        why: {}\n", op.reason);
  for (const auto& s : op.stop) out += fmt::format("        before it, measure: {}\n", s);
  return out;
}

double time_of(const Turned& t, std::size_t setup) {
  double s = 0;
  for (const auto& c : t.proof.calls)
    if (c.run == static_cast<int>(setup)) s += c.time_s;
  return s;
}

Json tool_json(const turning::Tool& t, std::string_view dialect) {
  Json j = {{"number", t.number}, {"kind", turning::name(t.kind)}, {"name", t.name}, {"reach_mm", t.reach_mm}};
  const auto add = [&](const char* key, double value) {
    if (value > 0) j[key] = neat(value, 1e-6);
  };
  add("nose_radius_mm", t.nose_radius_mm);
  if (t.kind != ToolKind::drill && t.kind != ToolKind::tap) j["orientation"] = t.orientation;
  if (const auto tip = turning::tip_of(t, dialect)) j["tip"] = {{"number", tip->number}, {"towards", tip->towards}};
  add("diameter_mm", t.diameter_mm);
  if (t.kind == ToolKind::drill) j["point_angle_deg"] = t.point_angle_deg;
  add("pitch_mm", t.pitch_mm);
  add("width_mm", t.width_mm);
  return j;
}

Json operation_json(const Turned& t, std::size_t setup, std::size_t i) {
  static constexpr std::string_view noses[] = {"in the coordinates", "G41", "G42"};
  const auto& op = t.plan.setups[setup].operations[i];
  Json j = {{"cut", turning::name(op.cut)},
            {"title", op.title},
            {"tool", tool_json(op.tool, t.job.machine.dialect)},
            {"reason", op.reason}};
  j[op.constant_speed ? "speed_m_per_min" : "speed_rpm"] = neat(op.speed, 1e-3);
  if (op.constant_speed) j["clamp_rpm"] = t.job.machine.clamp_rpm;
  j["feed_mm_per_rev"] = neat(op.feed_mm_per_rev, 1e-6);
  j["passes"] = op.passes;
  j["nose"] = noses[static_cast<std::size_t>(op.nose)];
  j["measure"] = op.stop;
  j["notes"] = op.notes;
  if (const auto* f = figures_of(t, setup, i)) {
    j["time_s"] = neat(f->time_s, 0.1);
    j["first_line"] = f->first_line;
    j["last_line"] = f->last_line;
    j["deepest_cut_mm"] = neat(f->deepest_cut_mm, 1e-3);
  }
  return j;
}

Json clamping_json(const turning::Clamping& c) {
  const auto how = c.mandrel ? "mandrel" : c.soft_jaws ? "soft jaws" : c.jaws_mm > 0 ? "hard jaws" : "not known";
  Json j = {{"by", how},
            {"stock",
             {{"diameter_mm", neat(c.diameter_mm, 1e-6)},
              {"length_mm", neat(c.length_mm, 1e-6)},
              {"bore_mm", neat(c.bore_mm, 1e-6)}}},
            {"in_front_of_zero_mm", neat(c.front_mm, 1e-6)}};
  if (c.jaws_mm > 0) {
    j["jaws_behind_zero_mm"] = neat(c.jaws_mm, 1e-6);
    j["stick_out_mm"] = neat(c.stick_out_mm(), 1e-6);
    if (!c.mandrel) j["grip_diameter_mm"] = neat(c.grip_diameter_mm, 1e-6);
  }
  if (c.mandrel) {
    j["mandrel_mm"] = neat(c.mandrel_mm, 1e-6);
    j["mandrel_end_behind_zero_mm"] = neat(c.mandrel_end_mm, 1e-6);
  }
  return j;
}

} // namespace

std::string turning_text(const Turned& t, const std::string& base, const Paint& paint) {
  const auto& m = t.job.machine;
  auto out = paint.head(fmt::format("Turning ({}, {})\n", m.name, m.dialect));
  for (std::size_t s = 0; s < t.plan.setups.size(); ++s) {
    const auto& setup = t.plan.setups[s];
    const double time = time_of(t, s);
    out += paint.head(fmt::format("  {} clamping, {} towards the tailstock: {}{}, O{:04}{}\n", ordinal(s),
                                  turning::name(setup.clamping.side), base, t.files[s].suffix,
                                  m.program_number + static_cast<int>(s),
                                  time > 0 ? ", " + minutes(time) + " without tool changes" : ""));
    out += fmt::format("    stock  {}\n    held   {}\n    zero   {}\n", stock_text(t, setup.clamping, s == 0),
                       held_text(setup.clamping, Said(t)), zero_text(setup.clamping, Said(t)));
    for (std::size_t i = 0; i < setup.operations.size(); ++i) out += operation_text(t, s, i);
    for (const auto& n : setup.notes) out += fmt::format("    note   {}\n", n);
  }
  return out;
}

Json turning_json(const Turned& t, const std::string& base) {
  const auto& m = t.job.machine;
  Json j;
  j["dialect"] = m.dialect;
  j["lathe"] = m.name;
  j["toolpost"] = m.toolpost == turning::Toolpost::rear ? "rear" : "front";
  j["arcs"] = m.arcs_from_above ? "from above" : "in the axes";
  j["x"] = m.diameter_mode ? "diameter" : "radius";
  j["units"] = m.inch ? "inch" : "mm";
  j["form"] = t.job.chucking.bar ? "bar" : "sawn";
  j["proven"] = t.unproven.empty();
  j["largest_gouge_mm"] = neat(t.proof.largest_gouge_mm, 1e-6);
  j["largest_left_mm"] = neat(t.proof.largest_left_mm, 1e-6);
  j["setups"] = Json::array();
  for (std::size_t s = 0; s < t.plan.setups.size(); ++s) {
    const auto& setup = t.plan.setups[s];
    Json e = {{"program", base + t.files[s].suffix},        {"number", m.program_number + static_cast<int>(s)},
              {"side", turning::name(setup.clamping.side)}, {"clamping", clamping_json(setup.clamping)},
              {"sha256", sha256(t.files[s].text)},          {"zero", zero_text(setup.clamping, Said(t))},
              {"time_s", neat(time_of(t, s), 0.1)}};
    e["operations"] = Json::array();
    for (std::size_t i = 0; i < setup.operations.size(); ++i) e["operations"].push_back(operation_json(t, s, i));
    e["notes"] = setup.notes;
    j["setups"].push_back(std::move(e));
  }
  return j;
}

} // namespace chamber::job
