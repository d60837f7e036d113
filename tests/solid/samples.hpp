#pragma once
// Invented chambers and bodies: the same for every check of the solids, here and in outside programs.
#include "chamber/shapes/body.hpp"
#include "chamber/solid/solid.hpp"
#include <stdexcept>
#include <string>
#include <vector>

namespace samples {

using namespace chamber;

/// A named chamber and the insert round it.
struct Sample {
  std::string name;
  shapes::Chamber<double> chamber;
  shapes::Insert insert;
};

inline shapes::Frame frame(shapes::Family family) {
  shapes::Frame f;
  f.family = family;
  f.bore_radius = 33.2;
  f.rim_radius = 33.35;
  f.edge_height = 0.4;
  f.rim_round = 0.3;
  f.mouth_round = 1.0;
  f.pocket_radius = 8.0;
  f.pocket_edge = 0.5;
  f.pocket_corner = 0.8;
  f.draft_deg = 6;
  f.wall_radius = 6;
  f.boss_drop = 2.5;
  f.boss_round = 1.0;
  return f;
}

inline shapes::Dimensions<double> dimensions(shapes::Family family) {
  switch (family) {
  case shapes::Family::spherical:
    return {26, 0, 10.5, 6, 2.0};
  case shapes::Family::flat_roof:
    return {5, 9, 10.5, 6, 1.5};
  case shapes::Family::toroidal:
    return {5.5, 9, 10.5, 6, 1.5};
  case shapes::Family::two_radius:
    return {30, 0, 10.5, 6, 2.0};
  }
  throw std::logic_error("no such family");
}

inline shapes::BodySpec body(double face_depth_mm = 1.95) {
  shapes::BodySpec b;
  b.steps = {{94, 14}, {70, 20}};
  b.face_grooves = {{76, 3.5, face_depth_mm}};
  b.radial_grooves = {{20, 3.6, 1.9}};
  b.edge_break_mm = 0.3;
  return b;
}

inline shapes::Plug plug() {
  return {"M14x1.25", 14, 1.25, 19.0, 1.5, 26};
}

inline Sample sample(shapes::Family family) {
  const auto chamber = shapes::build(frame(family), dimensions(family));
  if (const auto t = shapes::tightest(chamber); t.room < 0)
    throw std::logic_error("sample " + std::string(shapes::name(family)) + ": " + std::string(t.what));
  auto insert = shapes::assemble(chamber, body(), plug());
  if (!insert) throw std::logic_error("sample " + std::string(shapes::name(family)) + ": " + insert.error().message);
  return {std::string(shapes::name(family)), chamber, *insert};
}

/// Insert and cavity, to be written as <stem>-insert.step, <stem>-insert_mm.stl and so on. With `glb` as
/// <stem>-insert.glb too.
inline std::vector<solid::Part> parts(const Sample& s, const std::string& stem, bool glb = false) {
  std::vector<solid::Part> out{
      {s.name + " insert", s.insert.outline, stem + "-insert.step", stem + "-insert_mm.stl"},
      {s.name + " cavity", shapes::cavity_outline(s.chamber), stem + "-cavity.step", stem + "-cavity_mm.stl"}};
  if (!glb) return out;
  out[0].glb_path = stem + "-insert.glb";
  out[1].glb_path = stem + "-cavity.glb";
  for (const auto& face : out[1].outline) out[0].chamber_faces.push_back(face.face);
  return out;
}

} // namespace samples
