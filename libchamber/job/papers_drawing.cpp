#include "chamber/job/limits.hpp"
#include "chamber/job/papers.hpp"
#include "chamber/units/calendar.hpp"
#include "chamber/units/tolerance.hpp"

namespace chamber::job {

drawing::SheetInput sheet_input(const Spec& s, const solve::Fit& fit, const shapes::Insert& insert,
                                std::vector<shapes::Limits> limits) {
  drawing::SheetInput in;
  in.job = s.name, in.revision = s.revision, in.customer = s.customer, in.material = s.material;
  in.spec_hash = s.sha256.substr(0, 16);
  if (const auto date = source_date(); date && *date) in.date = iso_8601(**date).substr(0, 10);
  in.frame = s.task.frame, in.dimensions = fit.rounded, in.closing = s.task.closing;
  in.chamber = fit.chamber, in.body = s.task.body, in.plug = s.task.plug, in.insert = insert;
  const auto ring = [](const shapes::ORingSize* o) {
    return o ? "O-ring " + std::string(o->name) + " in" : std::string();
  };
  for (std::size_t i = 0; i < in.body.face_grooves.size(); ++i)
    in.face_rings.push_back(ring(ring_in_face_groove(s, i)));
  for (std::size_t i = 0; i < in.body.radial_grooves.size(); ++i)
    in.radial_rings.push_back(ring(ring_in_radial_groove(s, i)));
  in.limits = std::move(limits);
  in.budget = s.budget, in.head_cc = fit.head_cc;
  in.trapped_swept_cc = s.trapped_swept_cc(), in.swept_cc = s.swept_cc();
  in.roughness_um = s.roughness_um, in.inner_corner_mm = s.inner_corner_mm;
  in.volume_tolerance_cc = tolerance::cutting_volume_cc;
  in.style = s.drawing;
  return in;
}

} // namespace chamber::job
