#pragma once
// A spec in profiles/ as the drawing's input, by the shortest way: read, fitted, assembled.
#include "chamber/drawing/sheet.hpp"
#include "chamber/job/spec.hpp"
#include <stdexcept>

namespace chamber::drawing::testing {

inline SheetInput from_spec(const std::string& path) {
  const auto spec = job::load_spec(path);
  if (!spec) throw std::runtime_error(path + ": " + to_text(spec.error().front()));
  const auto fit = solve::fit(spec->task);
  if (!fit) throw std::runtime_error(path + ": out of reach");
  const auto insert = shapes::assemble(fit->chamber, spec->task.body, spec->task.plug);
  if (!insert) throw std::runtime_error(path + ": " + to_text(insert.error()));
  SheetInput in;
  in.job = spec->name, in.revision = spec->revision, in.customer = spec->customer, in.material = spec->material;
  in.spec_hash = "0123456789abcdef";
  in.frame = spec->task.frame, in.dimensions = fit->rounded, in.closing = spec->task.closing;
  in.chamber = fit->chamber, in.body = spec->task.body, in.plug = spec->task.plug, in.insert = *insert;
  for (const auto& g : spec->o_rings) {
    auto& rings = g.groove.find("face") != std::string::npos ? in.face_rings : in.radial_rings;
    const auto size = std::find_if(shapes::o_ring_sizes().begin(), shapes::o_ring_sizes().end(),
                                   [&](const auto& s) { return std::abs(s.section_mm - g.section_mm) < 1e-6; });
    rings.push_back("O-ring " + std::string(size->name) + " in");
  }
  in.budget = spec->budget, in.head_cc = fit->head_cc;
  in.trapped_swept_cc = spec->trapped_swept_cc(), in.swept_cc = spec->swept_cc();
  in.roughness_um = spec->roughness_um, in.inner_corner_mm = 0.4, in.volume_tolerance_cc = 0.1;
  return in;
}

} // namespace chamber::drawing::testing
