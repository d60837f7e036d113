#include "chamber/papers/section.hpp"
#include "chamber/units/quantity.hpp"
#include <algorithm>
#include <cmath>
#include <stdexcept>

namespace chamber::papers {
namespace {

using figure::Anchor;
using figure::Figure;
using figure::Fill;
using figure::Hatching;
using figure::Ink;
using figure::Path;
using figure::Stroke;

constexpr double margin = 4; ///< mm of metal drawn beyond rim and roof
constexpr Ink ink{"#000000", "currentColor"}, metal{"#d5d9df", "var(--metal, #d5d9df)"},
    piston{"#b9c6d6", "var(--piston, #b9c6d6)"}, accent{"#a34a00", "var(--accent, #a34a00)"};

class View {
public:
  explicit View(const SectionView& v) : v_(v) {
    if (v.chamber.empty() || v.crown.empty()) throw std::logic_error("section: chamber or crown is missing");
    const auto chamber = profile::bounding_box(v.chamber), crown = profile::bounding_box(v.crown);
    r_ = std::max(chamber.r_max, v.bore_mm / 2) + margin;
    top_ = chamber.z_max + margin;
    low_ = crown.z_min - 7;
    unit_ = 2 * r_ / 100; // line widths and letters follow the picture's size
  }

  Figure drawn() {
    figure_.view = {-r_, -top_, 2 * r_, top_ - low_ + 7 * unit_};
    figure_.says = v_.summary;
    figure_.on_white = false;
    const Path wall = chain(v_.chamber);
    const double face = -v_.chamber.front().start.z;
    Path solid = wall;
    solid.line(-r_, face).line(-r_, -top_).line(r_, -top_).line(r_, face).close();
    figure_.shape(solid, Fill{metal});
    figure_.shape(std::move(solid), Fill{ink, 0.55, Hatching{2 * unit_, 0.1 * unit_}});
    Path crown = chain(v_.crown);
    const double edge = v_.crown.front().start.r;
    crown.line(-edge, -low_).line(edge, -low_).close();
    figure_.shape(std::move(crown), Fill{piston}, thin());
    figure_.shape(wall, {}, Stroke{0.55 * unit_, accent});
    for (const double side : {-1.0, 1.0})
      figure_.line({side * v_.bore_mm / 2, 0}, {side * v_.bore_mm / 2, -low_}, thin());
    figure_.line({0, -top_}, {0, -low_}, {0.22 * unit_, ink, {3 * unit_, unit_, 0.6 * unit_, unit_}});
    gaps();
    figure_.words({{1.5 * unit_, -(top_ - margin) * 0.42}, v_.volume, letters(), Anchor::start, true, false, ink});
    return std::move(figure_);
  }

private:
  Stroke thin() const { return {0.22 * unit_, ink}; }
  double letters() const { return 3.4 * unit_; }

  static void piece(Path& path, const profile::S& s) {
    if (!s.is_arc())
      path.line(s.end.r, -s.end.z);
    else
      path.arc(s.radius, std::abs(profile::sweep(s)) > units::pi, s.kind == profile::Kind::cw, s.end.r, -s.end.z);
  }

  /// From its outer end over the axis to the other side, where it is walked backwards: both turns of the sense undo
  /// each other.
  static Path chain(const profile::Chain& chain) {
    Path path;
    path.move(chain.front().start.r, -chain.front().start.z);
    for (const auto& s : chain) piece(path, s);
    for (auto s = chain.rbegin(); s != chain.rend(); ++s) {
      auto other = *s;
      other.end = {-s->start.r, s->start.z};
      other.start = {-s->end.r, s->end.z};
      other.centre.r = -s->centre.r;
      piece(path, other);
    }
    return path;
  }

  /// Each gap with a leader down to its figure, below the crown's edge.
  void gaps() {
    const double y = -low_ + 4.6 * unit_;
    double side = 1;
    for (const auto& g : v_.gaps) {
      const double x = side * g.r;
      figure_.line({x, -g.z_chamber}, {x, -g.z_crown}, {0.8 * unit_, accent});
      figure_.line({x, -g.z_crown}, {x, y - letters()}, thin());
      const double half = figure::text_width(g.text, letters()) / 2;
      const double room = std::max(0.0, r_ - half); // none for words wider than the picture
      figure_.words({{std::clamp(x, -room, room), y}, g.text, letters(), Anchor::middle, false, false, ink});
      side = -side; // alternately on both sides, so that no two figures meet
    }
  }

  const SectionView& v_;
  Figure figure_;
  double r_ = 0, top_ = 0, low_ = 0, unit_ = 1;
};

} // namespace

Figure figure_of(const SectionView& view) {
  return View(view).drawn();
}

} // namespace chamber::papers
