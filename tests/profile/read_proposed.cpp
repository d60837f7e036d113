// Reads proposed profiles and prints what was understood, for the script that has other programs write them:
// read_proposed REQUESTS, a JSON list of {"file", "unit", "axis", "layer", "roof_mm", "bore_radius_mm"}; answers in a
// list.
#include "chamber/profile/integrals.hpp"
#include "chamber/profile/proposed.hpp"
#include "proposed_samples.hpp"
#include <fstream>
#include <iostream>
#include <nlohmann/json.hpp>

using namespace chamber;
using namespace chamber::profile;

namespace {

nlohmann::json answer(const nlohmann::json& ask) {
  ProposedOptions o;
  const std::string file = ask.at("file"), unit = ask.value("unit", ""), axis = ask.value("axis", "");
  if (!unit.empty()) o.unit = unit == "in" ? LengthUnit::inch : LengthUnit::millimetre;
  if (!axis.empty()) o.axis = axis == "vertical" ? TurningAxis::vertical : TurningAxis::horizontal;
  o.layer = ask.value("layer", "");
  if (ask.contains("roof_mm")) o.roof_mm = ask["roof_mm"].get<double>();
  if (ask.contains("bore_radius_mm")) o.bore_radius_mm = ask["bore_radius_mm"].get<double>();
  std::ifstream in(file, std::ios::binary);
  if (!in) throw std::runtime_error("cannot open " + file);
  const auto p = file.ends_with(".dxf") ? read_dxf(in, file, o) : read_points(in, file, o);
  if (!p)
    return {{"ok", false},
            {"message", p.error()[0].message},
            {"cure", p.error()[0].cure},
            {"line", p.error()[0].place.line}};
  const auto rim = p->chain.front().start;
  return {{"ok", true},
          {"volume_mm3", swept_volume(ChainView(p->chain))},
          {"rim_mm", rim.r},
          {"depth_mm", p->chain.back().end.z},
          {"segments", p->chain.size()},
          {"taken", p->taken},
          {"cautions", p->cautions}};
}

void write_samples(const std::string& folder) {
  for (const bool bulges : {true, false})
    for (const bool inch : {true, false}) {
      const auto name = std::string(bulges ? "bulges" : "entities") + (inch ? "-in" : "-mm") + ".dxf";
      std::ofstream(folder + "/own-segment-" + name)
          << write_dxf(testing::spherical_segment(), {bulges, inch, "CHAMBER"});
      std::ofstream(folder + "/own-chamber-" + name) << write_dxf(testing::plain_chamber(), {bulges, inch, "CHAMBER"});
    }
}

} // namespace

int main(int argc, char** argv) try {
  if (argc == 3 && std::string(argv[1]) == "--write") {
    write_samples(argv[2]);
    return 0;
  }
  if (argc != 2) {
    std::cerr << "usage: read_proposed REQUESTS\n";
    return 2;
  }
  nlohmann::json asks, out = nlohmann::json::array();
  std::ifstream(argv[1]) >> asks;
  for (const auto& a : asks) out.push_back(answer(a));
  std::cout << out.dump(1, ' ', false, nlohmann::json::error_handler_t::replace) << "\n";
  return 0;
} catch (const std::exception& e) {
  std::cerr << e.what() << "\n";
  return 1;
}
