#include "chamber/papers/section.hpp"
#include "chamber/papers/svg.hpp"
#include "chamber/units/quantity.hpp"
#include <algorithm>
#include <fmt/format.h>
#include <stdexcept>

namespace chamber::papers {
namespace {

constexpr double margin = 4; ///< mm of metal drawn beyond rim and roof

class View {
public:
  explicit View(const SectionView& v) : v_(v) {
    if (v.chamber.empty() || v.crown.empty()) throw std::logic_error("section: chamber or crown is missing");
    const auto chamber = profile::bounding_box(v.chamber), crown = profile::bounding_box(v.crown);
    r_ = std::max(chamber.r_max, v.bore_mm / 2) + margin;
    top_ = chamber.z_max + margin;
    low_ = crown.z_min - 7;
  }

  std::string svg() const {
    const double unit = 2 * r_ / 100; // line widths and letters follow the picture's size
    std::string out = fmt::format(
        R"x(<svg xmlns="http://www.w3.org/2000/svg" viewBox="{} {} {} {}" role="img" aria-label="{}" font-family="system-ui, sans-serif" font-size="{}" fill="currentColor">)x"
        "\n<defs><pattern id=\"hatch\" width=\"{w}\" height=\"{w}\" patternUnits=\"userSpaceOnUse\" "
        "patternTransform=\"rotate(45)\">"
        "<path d=\"M0 0V{w}\" stroke=\"currentColor\" stroke-width=\"{l}\" "
        "stroke-opacity=\"0.55\"/></pattern></defs>\n",
        coordinate(-r_), coordinate(-top_), coordinate(2 * r_), coordinate(top_ - low_ + 7 * unit), escaped(v_.summary),
        coordinate(3.4 * unit), fmt::arg("w", coordinate(2 * unit)), fmt::arg("l", coordinate(0.16 * unit)));
    const std::string wall = chain(v_.chamber), crown = chain(v_.crown);
    const auto face = coordinate(-v_.chamber.front().start.z);
    const std::string metal =
        wall + fmt::format("L{0} {1}V{2}H{3}V{1}Z", coordinate(-r_), face, coordinate(-top_), coordinate(r_));
    out += path(metal, "fill=\"var(--metal, #d5d9df)\"");
    out += path(metal, "fill=\"url(#hatch)\"");
    out += path(crown + fmt::format("V{}H{}Z", coordinate(-low_), coordinate(v_.crown.front().start.r)),
                "fill=\"var(--piston, #b9c6d6)\" stroke=\"currentColor\"" + thin(unit));
    out +=
        path(wall, "fill=\"none\" stroke=\"var(--accent, #a34a00)\" stroke-width=\"" + coordinate(0.55 * unit) + "\"");
    for (const double side : {-1.0, 1.0})
      out += path(fmt::format("M{0} 0V{1}", coordinate(side * v_.bore_mm / 2), coordinate(-low_)),
                  "fill=\"none\" stroke=\"currentColor\"" + thin(unit));
    out += path(fmt::format("M0 {}V{}", coordinate(-top_), coordinate(-low_)),
                "fill=\"none\" stroke=\"currentColor\" stroke-dasharray=\"" + coordinate(3 * unit) + " " +
                    coordinate(unit) + " " + coordinate(0.6 * unit) + " " + coordinate(unit) + "\"" + thin(unit));
    out += gaps(unit);
    out += text(1.5 * unit, -(top_ - margin) * 0.42, v_.volume, "text-anchor=\"start\" font-weight=\"600\"");
    return out + "</svg>\n";
  }

private:
  static std::string thin(double unit) { return " stroke-width=\"" + coordinate(0.22 * unit) + "\""; }
  static std::string path(const std::string& d, const std::string& look) {
    return fmt::format("<path d=\"{}\" {}/>\n", d, look);
  }
  static std::string text(double x, double y, const std::string& what, const std::string& look) {
    return fmt::format("<text x=\"{}\" y=\"{}\" {}>{}</text>\n", coordinate(x), coordinate(y), look, escaped(what));
  }

  static std::string piece(const profile::S& s) {
    if (!s.is_arc()) return fmt::format("L{} {}", coordinate(s.end.r), coordinate(-s.end.z));
    // On paper y is down, so counter-clockwise is SVG's sweep 0.
    return fmt::format("A{0} {0} 0 {1} {2} {3} {4}", coordinate(s.radius),
                       std::abs(profile::sweep(s)) > units::pi ? 1 : 0, s.kind == profile::Kind::ccw ? 0 : 1,
                       coordinate(s.end.r), coordinate(-s.end.z));
  }

  /// From its outer end over the axis to the other side, where it is walked backwards: both turns of the sense undo
  /// each other.
  static std::string chain(const profile::Chain& chain) {
    std::string d = fmt::format("M{} {}", coordinate(chain.front().start.r), coordinate(-chain.front().start.z));
    for (const auto& s : chain) d += piece(s);
    for (auto s = chain.rbegin(); s != chain.rend(); ++s) {
      auto other = *s;
      other.end = {-s->start.r, s->start.z};
      other.start = {-s->end.r, s->end.z};
      other.centre.r = -s->centre.r;
      d += piece(other);
    }
    return d;
  }

  /// Each gap with a leader down to its figure, below the crown's edge.
  std::string gaps(double unit) const {
    std::string out;
    const double y = -low_ + 4.6 * unit;
    double side = 1;
    for (const auto& g : v_.gaps) {
      const double x = side * g.r;
      out += path(fmt::format("M{0} {1}V{2}", coordinate(x), coordinate(-g.z_chamber), coordinate(-g.z_crown)),
                  "stroke=\"var(--accent, #a34a00)\" stroke-width=\"" + coordinate(0.8 * unit) + "\"");
      out += path(fmt::format("M{0} {1}V{2}", coordinate(x), coordinate(-g.z_crown), coordinate(y - 3.4 * unit)),
                  "fill=\"none\" stroke=\"currentColor\"" + thin(unit));
      const double half = text_width(g.text, 3.4 * unit) / 2;
      const double room = std::max(0.0, r_ - half); // none for words wider than the picture
      out += text(std::clamp(x, -room, room), y, g.text, "text-anchor=\"middle\"");
      side = -side; // alternately on both sides, so that no two figures meet
    }
    return out;
  }

  const SectionView& v_;
  double r_ = 0, top_ = 0, low_ = 0;
};

} // namespace

std::string to_svg(const SectionView& view) {
  return View(view).svg();
}

} // namespace chamber::papers
