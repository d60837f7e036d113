// The traveller's inspection: every size with its limits as the drawing has them, what a one-man shop measures it with,
// and the burette.
#include "chamber/job/filling.hpp"
#include "chamber/job/limits.hpp"
#include "chamber/job/papers.hpp"
#include <fmt/format.h>

namespace chamber::job {
namespace {

using shapes::Size;
using units::fixed;

std::string_view instrument(const shapes::Limits& l) {
  switch (l.size) {
  case Size::step_diameter:
  case Size::height:
    return "micrometer";
  case Size::step_length:
  case Size::face_groove_depth:
  case Size::seat_below_top:
    return "depth gauge";
  case Size::face_groove_inner:
  case Size::radial_groove_from_face:
    return "caliper";
  case Size::face_groove_width:
  case Size::radial_groove_width:
    return "gauge blocks";
  case Size::radial_groove_floor:
    return "caliper, narrow jaws";
  case Size::rim:
    return "inside micrometer";
  case Size::pocket:
    return "telescopic gauge";
  case Size::roof:
    return "depth micrometer";
  case Size::band:
  case Size::mouth:
    return "indicator, still chucked";
  }
  throw std::logic_error("inspection: no such size");
}

class Rows {
public:
  explicit Rows(const Design& d) : d_(d), w_(d.spec) {}

  std::vector<papers::Measure> all() const {
    const auto& sizes = d_.limits.sizes;
    std::vector<papers::Measure> out;
    for (const auto& l : sizes) out.push_back(row(l, sizes));
    out.push_back({"plug thread", d_.spec.task.plug.thread + " 6H", "go in, no-go stop", "thread gauge"});
    if (d_.spec.roughness_um > 0) {
      const auto ra = drawing::roughness_words(d_.spec.roughness_um, w_.inch());
      out.push_back({"turned surfaces", ra, "or finer", "roughness samples"});
    }
    return out;
  }

private:
  papers::Measure row(const shapes::Limits& l, std::span<const shapes::Limits> sizes) const {
    const auto p = shapes::printed(l, w_.inch());
    auto what = words_for(l, sizes);
    if (l.size == Size::band) what += ", ⌀ " + w_.length(l.gauge_diameter_mm);
    return {std::move(what), fmt::format("{} {}", fixed(p.nominal, p.decimals), w_.length_unit()),
            fmt::format("{} to {} {}", fixed(p.lower, p.decimals), fixed(p.upper, p.decimals), w_.length_unit()),
            std::string(instrument(l))};
  }

  const Design& d_;
  Words w_;
};

} // namespace

papers::BuretteTest burette_test(const Spec& spec, double cc) {
  const auto rule = fill_rule(fillings_standard_cc(spec.sheet.doubts, usual_fillings));
  return {fmt::format("{} cc wanted", fixed(cc, 2)),
          fmt::format("right from {} to {} cc", fixed(cc - rule.limit_cc, 2), fixed(cc + rule.limit_cc, 2)),
          fmt::format("The mean counts. By this burette it is known to ± {} cc (95 %): from {} to {} cc it cannot be "
                      "told from right, and is left as it is. Plug fitted, sealing face up and level, a greased plate "
                      "with a hole on it; fill to the plate without a bubble",
                      fixed(rule.untold_cc, 2), fixed(cc - rule.leave_cc(), 2), fixed(cc + rule.leave_cc(), 2))};
}

std::vector<papers::Measure> inspection(const Design& d) {
  return Rows(d).all();
}

} // namespace chamber::job
