// The proposed profile and the spec's own over each other, told apart by their lines, not by colour.
#include "chamber/figure/figure.hpp"
#include "chamber/job/check.hpp"
#include "chamber/job/words.hpp"
#include "chamber/profile/distance.hpp"
#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace chamber::job {
namespace {

using figure::Anchor;
using figure::Stroke;
using profile::Chain;
using profile::P;
using units::fixed;

constexpr double scale = 12; ///< picture units a millimetre
constexpr double left = 66, top = 110, under = 60, right = 40;
constexpr double curve_mm = 0.01; ///< arcs are drawn so close

class Picture {
public:
  explicit Picture(const CheckReport& r)
      : r_(r), w_(words_of(r)), step_(w_.inch() ? units::mm_per_inch / 20 : 1), box_(extent()) {}

  figure::Figure run() {
    const double width = std::max(left + right + scale * box_.r_max, 640.0);
    figure_.view = {0, 0, std::round(width), std::round(top + under + scale * (box_.z_max - box_.z_min))};
    figure_.width_px = figure_.view.width;
    figure_.says = "The proposed profile, and what it is compared with.";
    axes();
    if (!r_.own.empty()) curve(r_.own, own());
    if (r_.engine) curve(crown(), crowns());
    curve(shown(), proposed());
    worst();
    legend();
    return std::move(figure_);
  }

private:
  static Stroke proposed() { return {2.2}; }
  static Stroke own() { return {1.6, {"#555555"}, {9, 5}}; }
  static Stroke crowns() { return {1.4, {"#555555"}, {2, 4}}; }

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
    const auto up = [&](double mm) { return (std::ceil(mm / step_) + 1) * step_; };
    return {0, up(box.r_max), std::floor(std::min(0.0, box.z_min) / step_) * step_, up(box.z_max)};
  }

  double x(double r) const { return left + scale * r; }
  double y(double z) const { return top + scale * (box_.z_max - z); }

  void text(double at_x, double at_y, std::string what, Anchor anchor = Anchor::start) {
    figure_.words({{at_x, at_y}, std::move(what), 12, anchor});
  }

  void axes() {
    const Stroke black{}, pale{1, {"#dddddd"}}, face{1, {"#888888"}};
    const double bottom = y(box_.z_min), end = x(box_.r_max);
    const auto last = [&](double mm) { return static_cast<int>(std::lround(mm / step_)); };
    const auto number = [&](int k) { return fixed(w_.lengths(k * step_), w_.inch() ? 2 : 0); };
    for (int k = 0; k <= last(box_.r_max); ++k) {
      const double at = x(k * step_);
      if (k % 5 == 0) figure_.line({at, y(box_.z_max)}, {at, bottom}, pale);
      figure_.line({at, bottom}, {at, bottom + (k % 5 == 0 ? 7 : 4)}, black);
      if (k % 10 == 0) text(at, bottom + 21, number(k), Anchor::middle);
    }
    for (int k = last(box_.z_min); k <= last(box_.z_max); ++k) {
      const double at = y(k * step_);
      if (k % 5 == 0) figure_.line({left, at}, {end, at}, k == 0 ? face : pale);
      figure_.line({left, at}, {left - (k % 5 == 0 ? 7 : 4), at}, black);
      if (k % 5 == 0) text(left - 11, at + 4, number(k), Anchor::end);
    }
    figure_.line({left, bottom}, {end, bottom}, black);
    figure_.line({left, y(box_.z_max)}, {left, bottom}, black);
    const auto axis = [&](std::string_view what, std::string_view zero) {
      return fmt::format("{}, {} (0: {})", what, w_.length_unit(), zero);
    };
    text((left + end) / 2, bottom + 42, axis("radius", "turning axis"), Anchor::middle);
    figure_.words(
        {{18, (y(box_.z_max) + bottom) / 2}, axis("height", "sealing face"), 12, Anchor::middle, false, true});
  }

  void curve(const Chain& chain, const Stroke& stroke) {
    if (chain.empty()) return;
    figure::Path path;
    path.move(x(chain[0].start.r), y(chain[0].start.z));
    P last = chain[0].start;
    for (const auto& s : chain) {
      const double turned = s.is_arc() ? std::abs(profile::sweep(s)) : 0;
      const int n =
          s.is_arc() ? 1 + static_cast<int>(turned / std::sqrt(8 * curve_mm / std::max(s.radius, curve_mm))) : 1;
      for (int i = 1; i <= n; ++i) {
        const P p = profile::point_at(s, static_cast<double>(i) / n);
        if (&s != &chain.back() && profile::length(p - last) < curve_mm) continue;
        path.line(x(p.r), y(p.z));
        last = p;
      }
    }
    figure_.shape(std::move(path), {}, stroke);
  }

  void worst() {
    if (!r_.deviation || r_.proposal.chain.empty() || !r_.deviation->stands_out(w_)) return;
    const auto& d = *r_.deviation;
    figure_.shape(figure::Path().circle({x(d.at.r), y(d.at.z)}, 9), {}, Stroke{1.2});
  }

  void legend() {
    figure_.words({{left, 22}, std::filesystem::path(r_.file).filename().string(), 14, Anchor::start, true});
    double row = 42;
    const auto entry = [&](const Stroke& stroke, const std::string& what) {
      figure_.line({left, row - 4}, {left + 46, row - 4}, stroke);
      text(left + 56, row, what);
      row += 17;
    };
    entry(proposed(), fmt::format("proposed: {} cc with the plug fitted{}", fixed(r_.proposal.volume_cc, 3),
                                  r_.proposal.chain.empty() ? " (only what is turned is drawn)" : ""));
    if (r_.deviation)
      entry(own(), fmt::format("the spec's own: {} cc{}", fixed(r_.deviation->own_cc, 3),
                               r_.proposal.chain.empty()
                                   ? ""
                                   : fmt::format("; largest distance {}{}", w_.length(r_.deviation->largest_mm, true),
                                                 r_.deviation->stands_out(w_) ? " (ring)" : "")));
    if (r_.engine) entry(crowns(), "piston crown at top dead centre");
  }

  const CheckReport& r_;
  Words w_;
  double step_; ///< between two marks of an axis, mm
  profile::Box box_;
  figure::Figure figure_;
};

} // namespace

std::string to_svg(const CheckReport& r) {
  if (r.proposal.chain.empty() && r.proposal.turned_rim.empty()) return {};
  return figure::to_svg(Picture(r).run());
}

} // namespace chamber::job
