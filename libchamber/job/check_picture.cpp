// The proposed profile and the spec's own over each other, told apart by their lines, not by colour.
#include "chamber/job/check.hpp"
#include "chamber/profile/distance.hpp"
#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace chamber::job {
namespace {

using profile::Chain;
using profile::P;
using units::fixed;

constexpr double scale = 12; ///< picture units a millimetre
constexpr double left = 60, top = 110, under = 60, right = 40;
constexpr double curve_mm = 0.01; ///< arcs are drawn so close

std::string escaped(std::string_view text) {
  std::string out;
  for (const char c : text)
    out += c == '<'   ? "&lt;"
           : c == '>' ? "&gt;"
           : c == '&' ? "&amp;"
                      : std::string(1, static_cast<unsigned char>(c) < 32 ? ' ' : c);
  return out;
}

class Picture {
public:
  explicit Picture(const CheckReport& r) : r_(r), box_(extent()) {}

  std::string run() {
    const double width = std::max(left + right + scale * box_.r_max, 640.0);
    const double height = top + under + scale * (box_.z_max - box_.z_min);
    out_ = fmt::format("<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{0}\" height=\"{1}\" viewBox=\"0 0 {0} {1}\" "
                       "font-family=\"sans-serif\" font-size=\"12\">\n<rect width=\"100%\" height=\"100%\" "
                       "fill=\"white\"/>\n",
                       fixed(width, 0), fixed(height, 0));
    axes();
    if (!r_.own.empty()) curve(r_.own, own_style);
    if (r_.engine) curve(crown(), crown_style);
    curve(shown(), proposed_style);
    worst();
    legend();
    return std::move(out_) + "</svg>\n";
  }

private:
  static constexpr std::string_view proposed_style = "stroke=\"black\" stroke-width=\"2.2\"";
  static constexpr std::string_view own_style = "stroke=\"#555\" stroke-width=\"1.6\" stroke-dasharray=\"9 5\"";
  static constexpr std::string_view crown_style = "stroke=\"#555\" stroke-width=\"1.4\" stroke-dasharray=\"2 4\"";

  const Chain& shown() const { return r_.proposal.chain.empty() ? r_.proposal.turned_rim : r_.proposal.chain; }

  /// The piston's crown at top dead centre.
  Chain crown() const {
    const auto& b = r_.engine->budget;
    Chain out;
    constexpr int steps = 60;
    const auto at = [&](int i) {
      const double r = b.bore_mm / 2 * i / steps;
      return P{r, engine::crown_height_at_mm(b.crown, b.bore_mm, r) - b.edge_below_face_mm()};
    };
    for (int i = steps; i > 0; --i) out.push_back(profile::line(at(i), at(i - 1)));
    return out;
  }

  profile::Box extent() const {
    auto box = profile::bounding_box(shown());
    const auto widen = [&](const Chain& c) {
      if (c.empty()) return;
      const auto b = profile::bounding_box(c);
      box = {0, std::max(box.r_max, b.r_max), std::min(box.z_min, b.z_min), std::max(box.z_max, b.z_max)};
    };
    widen(r_.own);
    if (r_.engine) widen(crown());
    return {0, std::ceil(box.r_max + 1), std::floor(std::min(0.0, box.z_min)), std::ceil(box.z_max + 1)};
  }

  double x(double r) const { return left + scale * r; }
  double y(double z) const { return top + scale * (box_.z_max - z); }

  void line(double x0, double y0, double x1, double y1, std::string_view style) {
    out_ += fmt::format("<line x1=\"{}\" y1=\"{}\" x2=\"{}\" y2=\"{}\" {}/>\n", fixed(x0, 2), fixed(y0, 2),
                        fixed(x1, 2), fixed(y1, 2), style);
  }
  void text(double at_x, double at_y, std::string_view what, std::string_view style = "") {
    out_ += fmt::format("<text x=\"{}\" y=\"{}\" {}>{}</text>\n", fixed(at_x, 2), fixed(at_y, 2), style, escaped(what));
  }

  void axes() {
    const double bottom = y(box_.z_min), end = x(box_.r_max);
    for (int r = 0; r <= static_cast<int>(box_.r_max); ++r) {
      if (r % 5 == 0) line(x(r), y(box_.z_max), x(r), bottom, "stroke=\"#ddd\"");
      line(x(r), bottom, x(r), bottom + (r % 5 == 0 ? 7 : 4), "stroke=\"black\"");
      if (r % 10 == 0) text(x(r), bottom + 21, std::to_string(r), "text-anchor=\"middle\"");
    }
    for (int z = static_cast<int>(box_.z_min); z <= static_cast<int>(box_.z_max); ++z) {
      if (z % 5 == 0) line(left, y(z), end, y(z), z == 0 ? "stroke=\"#888\"" : "stroke=\"#ddd\"");
      line(left, y(z), left - (z % 5 == 0 ? 7 : 4), y(z), "stroke=\"black\"");
      if (z % 5 == 0) text(left - 11, y(z) + 4, std::to_string(z), "text-anchor=\"end\"");
    }
    line(left, bottom, end, bottom, "stroke=\"black\"");
    line(left, y(box_.z_max), left, bottom, "stroke=\"black\"");
    text((left + end) / 2, bottom + 42, "radius, mm (0: turning axis)", "text-anchor=\"middle\"");
    const double middle = (y(box_.z_max) + bottom) / 2;
    text(18, middle, "height, mm (0: sealing face)",
         fmt::format("text-anchor=\"middle\" transform=\"rotate(-90 18 {})\"", fixed(middle, 2)));
  }

  void curve(const Chain& chain, std::string_view style) {
    if (chain.empty()) return;
    std::string d = fmt::format("M{} {}", fixed(x(chain[0].start.r), 2), fixed(y(chain[0].start.z), 2));
    P last = chain[0].start;
    for (const auto& s : chain) {
      const double turned = s.is_arc() ? std::abs(profile::sweep(s)) : 0;
      const int n =
          s.is_arc() ? 1 + static_cast<int>(turned / std::sqrt(8 * curve_mm / std::max(s.radius, curve_mm))) : 1;
      for (int i = 1; i <= n; ++i) {
        const P p = profile::point_at(s, static_cast<double>(i) / n);
        if (&s != &chain.back() && profile::length(p - last) < curve_mm) continue;
        d += fmt::format("L{} {}", fixed(x(p.r), 2), fixed(y(p.z), 2));
        last = p;
      }
    }
    out_ += fmt::format("<path d=\"{}\" fill=\"none\" {}/>\n", d, style);
  }

  void worst() {
    if (!r_.deviation || r_.proposal.chain.empty() || r_.deviation->largest_mm < 1e-4) return;
    const auto& d = *r_.deviation;
    out_ += fmt::format("<circle cx=\"{}\" cy=\"{}\" r=\"9\" fill=\"none\" stroke=\"black\" stroke-width=\"1.2\"/>\n",
                        fixed(x(d.at.r), 2), fixed(y(d.at.z), 2));
  }

  void legend() {
    text(left, 22, std::filesystem::path(r_.file).filename().string(), "font-weight=\"bold\" font-size=\"14\"");
    double row = 42;
    const auto entry = [&](std::string_view style, const std::string& what) {
      line(left, row - 4, left + 46, row - 4, style);
      text(left + 56, row, what);
      row += 17;
    };
    entry(proposed_style, fmt::format("proposed: {} cc with the plug fitted{}", fixed(r_.proposal.volume_cc, 3),
                                      r_.proposal.chain.empty() ? " (only what is turned is drawn)" : ""));
    if (r_.deviation)
      entry(own_style, fmt::format("the spec's own: {} cc{}", fixed(r_.deviation->own_cc, 3),
                                   r_.proposal.chain.empty() ? ""
                                                             : fmt::format("; largest distance {} mm (ring)",
                                                                           fixed(r_.deviation->largest_mm, 3))));
    if (r_.engine) entry(crown_style, "piston crown at top dead centre");
  }

  const CheckReport& r_;
  profile::Box box_;
  std::string out_;
};

} // namespace

std::string to_svg(const CheckReport& r) {
  if (r.proposal.chain.empty() && r.proposal.turned_rim.empty()) return {};
  return Picture(r).run();
}

} // namespace chamber::job
