// write_samples FOLDER: sample inserts and cavities as STEP (millimetres and inches), STL and glTF, and expected.json
// with what they must hold by the closed form, for checks by outside programs.
#include "chamber/profile/integrals.hpp"
#include "chamber/solid/solid.hpp"
#include "samples.hpp"
#include <fstream>
#include <iostream>
#include <nlohmann/json.hpp>

using namespace chamber;

namespace {

/// Face kinds the outline must sweep, by its segments.
nlohmann::json kinds(const std::vector<shapes::NamedSegment>& outline) {
  int plane = 0, cylinder = 0, cone = 0, sphere = 0, torus = 0;
  for (const auto& [s, face] : outline) {
    if (!s.is_arc() && s.start.r == 0 && s.end.r == 0) continue;
    if (s.is_arc())
      ++(s.centre.r == 0 ? sphere : torus);
    else
      ++(s.start.z == s.end.z ? plane : s.start.r == s.end.r ? cylinder : cone);
  }
  return {{"plane", plane}, {"cylinder", cylinder}, {"cone", cone}, {"sphere", sphere}, {"torus", torus}};
}

/// The outline as lines and arcs, for checks that measure from it.
nlohmann::json segments(const std::vector<shapes::NamedSegment>& outline) {
  auto out = nlohmann::json::array();
  for (const auto& [s, face] : outline) {
    nlohmann::json one{{"kind", s.kind == profile::Kind::line  ? "line"
                                : s.kind == profile::Kind::ccw ? "ccw"
                                                               : "cw"},
                       {"start", {s.start.r, s.start.z}},
                       {"end", {s.end.r, s.end.z}}};
    if (s.is_arc()) one.update({{"centre", {s.centre.r, s.centre.z}}, {"radius", s.radius}});
    out.push_back(one);
  }
  return out;
}

/// Names of the faces, in the outline's order; what lies on the axis sweeps none.
nlohmann::json face_names(const std::vector<shapes::NamedSegment>& outline) {
  auto out = nlohmann::json::array();
  for (const auto& [s, face] : outline)
    if (s.is_arc() || s.start.r != 0 || s.end.r != 0) out.push_back(face);
  return out;
}

} // namespace

int main(int argc, char** argv) {
  if (argc != 2) {
    std::cerr << "usage: write_samples FOLDER\n";
    return 2;
  }
  const std::string folder = std::string(argv[1]) + "/";
  auto all = nlohmann::json::array();
  for (const auto family : {shapes::Family::toroidal, shapes::Family::spherical}) {
    const auto sample = samples::sample(family);
    for (const bool inch : {false, true}) {
      const std::string stem = folder + sample.name + (inch ? "-inch" : "");
      const auto parts = samples::parts(sample, stem, true);
      solid::FileOptions options{
          .description = "sample", .author = "nobody", .organization = "none", .originating_system = "chamber tests"};
      if (inch) options.unit = solid::LengthUnit::inch;
      const auto results = solid::make(parts, options);
      if (!results) {
        std::cerr << to_text(results.error()) << '\n';
        return 1;
      }
      for (std::size_t i = 0; i < parts.size(); ++i) {
        const auto chain = shapes::chain_of(parts[i].outline);
        const auto box = profile::bounding_box(chain);
        const auto& r = results->at(i);
        all.push_back({{"name", parts[i].name},
                       {"step", parts[i].step_path},
                       {"stl", parts[i].stl_path},
                       {"glb", parts[i].glb_path},
                       {"unit", inch ? "inch" : "mm"},
                       {"genus", i == 0 ? 1 : 0},
                       {"volume_mm3", profile::swept_volume(profile::ChainView(chain))},
                       {"area_mm2", profile::swept_area(chain)},
                       {"centroid_z_mm", profile::centroid_z(chain)},
                       {"r_max_mm", box.r_max},
                       {"z_min_mm", box.z_min},
                       {"z_max_mm", box.z_max},
                       {"stl_bound_mm3", r.stl_bound_mm3},
                       {"triangles", r.triangles},
                       {"chamber_faces", parts[i].chamber_faces},
                       {"faces", kinds(parts[i].outline)},
                       {"face_names", face_names(parts[i].outline)},
                       {"outline", segments(parts[i].outline)}});
      }
    }
  }
  std::ofstream out(folder + "expected.json");
  out << all.dump(2) << '\n';
  return out.flush() ? 0 : 1;
}
