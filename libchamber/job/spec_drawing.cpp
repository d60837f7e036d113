#include "chamber/job/spec_sections.hpp"

namespace chamber::job {

bool is_inch(const units::Unit& length) {
  return length.symbol == "in" || length.symbol == "thou" || length.symbol == "ft";
}

void read_drawing_section(Section& root, Spec& spec) {
  auto s = root.section("drawing", false);
  auto& style = spec.drawing;
  const bool inch = spec.length_unit && is_inch(*spec.length_unit);
  const auto fallback = inch ? drawing::Units::inch : drawing::Units::mm;
  style.paper = static_cast<drawing::Paper>(s.word("paper", paper_names, 0));
  style.units = static_cast<drawing::Units>(s.word("units", drawing_unit_names, static_cast<std::size_t>(fallback)));
  style.projection = static_cast<drawing::Projection>(s.word("projection", projection_names, 0));
  s.finish();
}

} // namespace chamber::job
