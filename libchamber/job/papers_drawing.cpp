#include "chamber/job/papers.hpp"
#include "chamber/units/calendar.hpp"
#include "chamber/units/tolerance.hpp"
#include <algorithm>
#include <cmath>

namespace chamber::job {

drawing::SheetInput sheet_input(const Spec& s, const solve::Fit& fit, const shapes::Insert& insert) {
  drawing::SheetInput in;
  in.job = s.name, in.revision = s.revision, in.customer = s.customer, in.material = s.material;
  in.spec_hash = s.sha256.substr(0, 16);
  if (const auto date = source_date(); date && *date) in.date = iso_8601(**date).substr(0, 10);
  in.frame = s.task.frame, in.dimensions = fit.rounded, in.closing = s.task.closing;
  in.chamber = fit.chamber, in.body = s.task.body, in.plug = s.task.plug, in.insert = insert;
  for (const auto& g : s.o_rings) {
    auto& rings = g.groove.find("face") != std::string::npos ? in.face_rings : in.radial_rings;
    const auto size = std::find_if(shapes::o_ring_sizes().begin(), shapes::o_ring_sizes().end(),
                                   [&](const auto& o) { return std::abs(o.section_mm - g.section_mm) < 1e-6; });
    rings.push_back("O-ring " + std::string(size->name) + " in");
  }
  in.budget = s.budget, in.head_cc = fit.head_cc;
  in.trapped_swept_cc = s.trapped_swept_cc(), in.swept_cc = s.swept_cc();
  in.roughness_um = s.roughness_um, in.inner_corner_mm = s.inner_corner_mm;
  in.volume_tolerance_cc = tolerance::cutting_volume_cc;
  in.style = s.drawing;
  return in;
}

} // namespace chamber::job
