// measure_files REQUESTS: measures STEP files and prints one JSON list of what they hold, for checks by outside
// scripts. REQUESTS is a JSON list of {"path", and as wished "body": "insert"|"cavity", "axis": [x, y, z, dx, dy, dz],
// "sealing_mm", "plug_end_mm", "solid", "time_limit_s"}.
#include "chamber/solid/foreign.hpp"
#include <fstream>
#include <iostream>
#include <nlohmann/json.hpp>

using namespace chamber;
using nlohmann::json;

namespace {

solid::MeasureOptions options_of(const json& j) {
  solid::MeasureOptions o;
  if (j.contains("body")) o.body = j["body"] == "insert" ? solid::Body::insert : solid::Body::cavity;
  if (j.contains("sealing_mm")) o.sealing_mm = j["sealing_mm"].get<double>();
  if (j.contains("plug_end_mm")) o.plug_end_mm = j["plug_end_mm"].get<double>();
  if (j.contains("solid")) o.solid = j["solid"].get<std::size_t>();
  if (j.contains("time_limit_s")) o.time_limit_s = j["time_limit_s"].get<double>();
  if (j.contains("memory_limit_mb")) o.memory_limit_mb = j["memory_limit_mb"].get<std::size_t>();
  if (j.contains("axis")) {
    const auto v = j["axis"].get<std::array<double, 6>>();
    o.axis = solid::Axis{{v[0], v[1], v[2]}, {v[3], v[4], v[5]}};
  }
  return o;
}

json chain_of(const profile::Chain& chain) {
  auto out = json::array();
  for (const auto& s : chain) {
    json one{{"kind", s.kind == profile::Kind::line  ? "line"
                      : s.kind == profile::Kind::ccw ? "ccw"
                                                     : "cw"},
             {"start", {s.start.r, s.start.z}},
             {"end", {s.end.r, s.end.z}}};
    if (s.is_arc()) one.update({{"centre", {s.centre.r, s.centre.z}}, {"radius", s.radius}});
    out.push_back(one);
  }
  return out;
}

json answer_of(const Result<solid::Measured>& result) {
  if (!result) return {{"message", result.error().message}, {"cure", result.error().cure}};
  const auto& m = *result;
  auto holes = json::array();
  for (const auto& h : m.plug_holes)
    holes.push_back({{"radius_mm", h.radius_mm},
                     {"end_mm", h.end_mm},
                     {"top_mm", h.top_mm},
                     {"tilt_deg", h.tilt_deg},
                     {"offset_mm", h.offset_mm},
                     {"at_roof", h.at_roof}});
  return {{"body", m.body == solid::Body::insert ? "insert" : "cavity"},
          {"unit", m.unit},
          {"solids", m.solids},
          {"solid", m.solid},
          {"axis", {m.axis.point, m.axis.direction}},
          {"axis_share", m.axis_share},
          {"sealing_mm", m.sealing_mm},
          {"sealing_radius_mm", m.sealing_radius_mm},
          {"mouth_area_mm2", m.mouth_area_mm2},
          {"mouth_radius_mm", m.mouth_radius_mm},
          {"volume_mm3", m.volume_mm3},
          {"volume_doubt_mm3", m.volume_doubt_mm3},
          {"depth_mm", m.depth_mm},
          {"height_mm", m.height_mm},
          {"largest_diameter_mm", m.largest_diameter_mm},
          {"plug_holes", holes},
          {"turned", m.turned},
          {"not_turned", m.not_turned},
          {"chain", chain_of(m.chain)},
          {"turned_rim", chain_of(m.turned_rim)},
          {"no_chain", m.no_chain},
          {"notes", m.notes}};
}

} // namespace

int main(int argc, char** argv) {
  if (argc != 2) {
    std::cerr << "usage: measure_files REQUESTS\n";
    return 2;
  }
  std::ifstream in(argv[1]);
  auto out = json::array();
  for (const auto& request : json::parse(in))
    out.push_back(answer_of(solid::measure_step(request.at("path").get<std::string>(), options_of(request))));
  std::cout << out.dump(1, ' ', false, json::error_handler_t::replace) << '\n';
  return std::cout.flush() ? 0 : 1;
}
