#include "chamber/papers/chart.hpp"
#include "chamber/units/quantity.hpp"
#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <stdexcept>

namespace chamber::papers {
namespace {

using figure::Anchor;
using figure::Figure;
using figure::Fill;
using figure::Ink;
using figure::Path;
using figure::Stroke;
using figure::text_width;
using figure::Words;

constexpr double width = 480, left = 70, right = 30, edge = 12, font = 14, plot_height = 190, row = 20;
constexpr double bottom = 54;

/// Okabe and Ito's colours, which the common kinds of colour blindness tell apart; dashes and markers say the same in
/// black and white.
struct Look {
  Ink ink;
  std::vector<double> dashes;
};
const std::array<Look, 4> looks{
    {{{"#0072b2"}, {}}, {{"#000000"}, {9, 5}}, {{"#b04a00"}, {2, 4}}, {{"#007a5a"}, {12, 4, 2, 4}}}};
constexpr Ink grey{"#6b6b6b"}, faint{"#d9d9d9"}, ruled{"#444444"};

struct Range {
  double low = std::numeric_limits<double>::infinity(), high = -std::numeric_limits<double>::infinity();
  void take(double v) {
    if (!std::isfinite(v)) throw std::logic_error("chart: a value is not a finite number");
    low = std::min(low, v);
    high = std::max(high, v);
  }
};

/// An axis: what it spans, where its ticks stand, how many decimals they need.
struct Scale {
  double low = 0, high = 1, step = 1, from = 0, to = 1; ///< values; pixels
  int decimals = 0;
  double at(double v) const { return from + (to - from) * (v - low) / (high - low); }
};

Scale scale_of(const Axis& axis, Range r, double from, double to, bool round_out) {
  if (axis.low) r.low = *axis.low;
  if (axis.high) r.high = *axis.high;
  if (!(r.low <= r.high)) throw std::logic_error("chart: nothing to draw");
  if (r.high - r.low < 1e-9 * std::max(1.0, std::abs(r.high))) {
    const double half = std::max(0.05 * std::abs(r.high), 0.5);
    r = {r.low - half, r.high + half};
  }
  const double raw = (r.high - r.low) / 6, power = std::pow(10, std::floor(std::log10(raw)));
  Scale s{r.low, r.high, power, from, to, 0};
  for (const double nice : {1.0, 2.0, 5.0, 10.0})
    if (nice * power >= raw * 0.999) {
      s.step = nice * power;
      break;
    }
  s.decimals = std::max(0, static_cast<int>(-std::floor(std::log10(s.step) + 1e-9)));
  if (round_out && !axis.low) s.low = std::floor(r.low / s.step + 1e-9) * s.step;
  if (round_out && !axis.high) s.high = std::ceil(r.high / s.step - 1e-9) * s.step;
  return s;
}

/// The title in as many lines as it needs; moves y to the last one's baseline.
void heading(Figure& f, const std::string& title, double& y) {
  constexpr double size = 16, bold = 1.12;
  std::string line;
  const auto put = [&] {
    y += 20;
    f.words({{edge, y}, line, size, Anchor::start, true});
    line.clear();
  };
  for (std::size_t at = 0; at < title.size();) {
    const auto end = std::min(title.find(' ', at), title.size());
    const auto word = title.substr(at, end - at);
    if (!line.empty() && text_width(line + " " + word, size) * bold > width - 2 * edge) put();
    line += (line.empty() ? "" : " ") + word;
    at = end + 1;
  }
  put();
}

/// Disc, square, triangle, diamond; every second one hollow.
void marker(Figure& f, std::size_t i, double x, double y) {
  Path p;
  const auto polygon = [&](std::initializer_list<figure::Point> corners) {
    for (const auto& c : corners) p.empty() ? p.move(x + c.x, y + c.y) : p.line(x + c.x, y + c.y);
    p.close();
  };
  if (i == 0)
    p.circle({x, y}, 4);
  else if (i == 1)
    polygon({{-3.6, -3.6}, {3.6, -3.6}, {3.6, 3.6}, {-3.6, 3.6}});
  else if (i == 2)
    polygon({{0, -4.6}, {4.4, 3.4}, {-4.4, 3.4}});
  else
    polygon({{0, -5}, {5, 0}, {0, 5}, {-5, 0}});
  f.shape(std::move(p), Fill{i % 2 ? Ink{"#ffffff"} : looks[i].ink}, Stroke{1.4, looks[i].ink});
}

Stroke stroke(std::size_t i) {
  return {2, looks[i].ink, looks[i].dashes, true};
}

const Fill band_fill{{"#0072b2"}, 0.13}, zone_fill{grey, 1, figure::Hatching{7, 0.5}};
const Stroke band_stroke{0.8, {"#0072b2"}, {3, 2}}, zone_stroke{1, grey};

/// The drawing of one chart, from the title downwards.
class Panel {
public:
  explicit Panel(const Chart& chart) : chart_(chart) {
    if (chart.series.size() > looks.size()) throw std::logic_error("chart: more than four series");
    legend();
    range();
    // Labels of the rules stand above the plot, in as many rows as keep them apart.
    rules();
    const double plot = y_ + 14;
    scale_y(plot);
    frame();
    zones();
    bands();
    for (const auto& rule : chart_.rules) {
      const double x = x_scale_.at(rule.x);
      figure_.line({x, plot}, {x, plot + plot_height}, {1, ruled, {1, 3}});
    }
    series();
    end_ = plot + plot_height + bottom;
  }

  double end() const { return end_; }
  Figure take() { return std::move(figure_); }

private:
  void range() {
    Range x, y;
    for (const auto& s : chart_.series)
      for (const auto& p : s.points) x.take(p.x), y.take(p.y);
    for (const auto& b : chart_.bands)
      for (const auto& s : b.slices) x.take(s.x), y.take(s.low), y.take(s.high);
    for (const auto& z : chart_.zones) {
      if (z.low) y.take(*z.low);
      if (z.high) y.take(*z.high);
    }
    for (const auto& r : chart_.rules) x.take(r.x);
    x_scale_ = scale_of(chart_.x, x, left, width - right, false);
    y_range_ = y;
  }

  void scale_y(double plot) { y_scale_ = scale_of(chart_.y, y_range_, plot + plot_height, plot, true); }

  /// Title, and below it what each line, band and zone is, wrapped.
  void legend() {
    y_ = 4;
    heading(figure_, chart_.title, y_);
    double x = edge;
    y_ += row;
    bool any = false;
    const auto entry = [&](const std::string& label, const auto& sample) {
      if (label.empty()) return;
      const double needs = 40 + text_width(label, font) + 18;
      if (x > edge && x + needs > width) x = edge, y_ += row;
      sample(x, y_ - 4.5);
      figure_.words({{x + 40, y_}, label, font});
      x += needs;
      any = true;
    };
    for (std::size_t i = 0; i < chart_.series.size(); ++i)
      entry(chart_.series[i].label, [&](double at, double mid) {
        const auto& s = chart_.series[i];
        if (s.line) figure_.line({at, mid}, {at + 33, mid}, stroke(i));
        if (s.markers || !s.line) marker(figure_, i, at + 16.5, mid);
      });
    const auto box = [&](const Fill& fill, const Stroke& around) {
      return [&](double at, double mid) { figure_.shape(Path().rectangle({at, mid - 6, 33, 11}), fill, around); };
    };
    for (const auto& b : chart_.bands) entry(b.label, box(band_fill, band_stroke));
    for (const auto& z : chart_.zones) entry(z.label, box(zone_fill, zone_stroke));
    if (!any) y_ -= row;
  }

  void rules() {
    if (chart_.rules.empty()) return;
    std::vector<double> ends; // of the last label in each row
    const double first = y_ + row;
    for (const auto& r : chart_.rules) {
      const double half = text_width(r.label, font) / 2;
      const double middle = std::clamp(x_scale_.at(r.x), edge + half, std::max(edge + half, width - edge - half));
      std::size_t k = 0;
      while (k < ends.size() && ends[k] > middle - half) ++k;
      if (k == ends.size()) ends.push_back(0);
      ends[k] = middle + half + 8;
      const double y = first + static_cast<double>(k) * (row - 2);
      y_ = std::max(y_, y);
      figure_.words({{middle, y}, r.label, font, Anchor::middle});
    }
  }

  static std::vector<double> ticks(const Scale& s) {
    std::vector<double> out;
    for (double v = std::ceil(s.low / s.step - 1e-9) * s.step; v <= s.high + 1e-9 * s.step; v += s.step)
      out.push_back(v);
    return out;
  }

  void frame() {
    const double low = y_scale_.from, high = y_scale_.to, middle = (low + high) / 2;
    for (const double v : ticks(x_scale_)) {
      const double x = x_scale_.at(v);
      figure_.line({x, low}, {x, high}, {0.8, faint});
      figure_.line({x, low}, {x, low + 5}, {});
      figure_.words({{x, low + 21}, units::fixed(v, x_scale_.decimals), font, Anchor::middle});
    }
    for (const double v : ticks(y_scale_)) {
      const double y = y_scale_.at(v);
      figure_.line({left, y}, {width - right, y}, {0.8, faint});
      figure_.line({left - 5, y}, {left, y}, {});
      figure_.words({{left - 9, y + 4.5}, units::fixed(v, y_scale_.decimals), font, Anchor::end});
    }
    figure_.shape(Path().move(left, high).line(left, low).line(width - right, low), {}, Stroke{1.2});
    figure_.words({{(left + width - right) / 2, low + 42}, chart_.x.label, font, Anchor::middle});
    figure_.words({{20, middle}, chart_.y.label, font, Anchor::middle, false, true});
  }

  void zones() {
    for (const auto& z : chart_.zones) {
      const double high = clamped(z.high.value_or(y_scale_.high)), low = clamped(z.low.value_or(y_scale_.low));
      figure_.shape(Path().rectangle({left, high, width - right - left, low - high}), zone_fill, zone_stroke);
    }
  }

  void bands() {
    for (const auto& b : chart_.bands) {
      if (b.slices.size() < 2) throw std::logic_error("chart: a band of fewer than two slices");
      Path d;
      for (const auto& s : b.slices) put(d, s.x, s.high);
      for (auto s = b.slices.rbegin(); s != b.slices.rend(); ++s) put(d, s->x, s->low);
      figure_.shape(std::move(d.close()), band_fill, band_stroke);
    }
  }

  void series() {
    for (std::size_t i = 0; i < chart_.series.size(); ++i) {
      const auto& s = chart_.series[i];
      if (s.points.empty()) throw std::logic_error("chart: a series without points");
      Path d;
      for (const auto& p : s.points) put(d, p.x, p.y);
      if (s.line) figure_.shape(std::move(d), {}, stroke(i));
      if (s.markers || !s.line)
        for (const auto& p : s.points) marker(figure_, i, x_scale_.at(p.x), clamped(p.y));
    }
  }

  double clamped(double y) const { return y_scale_.at(std::clamp(y, y_scale_.low, y_scale_.high)); }
  void put(Path& path, double x, double y) const {
    path.empty() ? path.move(x_scale_.at(x), clamped(y)) : path.line(x_scale_.at(x), clamped(y));
  }

  const Chart& chart_;
  double y_ = 0, end_ = 0;
  Figure figure_;
  Scale x_scale_, y_scale_;
  Range y_range_;
};

/// Its frame and what it says.
Figure document(Figure f, double height, const std::string& title) {
  f.view = {0, 0, width, height};
  f.width_px = width;
  f.says = title;
  return f;
}

} // namespace

Figure figure_of(const Chart& chart) {
  Panel panel(chart);
  return document(panel.take(), panel.end(), chart.title);
}

Figure figure_of(const BarChart& chart) {
  double longest = 0, labels = 0, values = 0;
  for (const auto& bar : chart.bars) {
    if (!(bar.length >= 0) || !std::isfinite(bar.length)) throw std::logic_error("chart: a bar without a length");
    longest = std::max(longest, bar.length);
    labels = std::max(labels, text_width(bar.label, font));
    values = std::max(values, text_width(bar.value, font));
  }
  constexpr double pitch = 26;
  const double x0 = edge + labels + 10, room = std::max(60.0, width - x0 - values - 10 - edge);
  double y = 4;
  Figure f;
  heading(f, chart.title, y);
  f.words({{edge, y + row}, chart.axis, font});
  y += row + 14;
  const double top = y - 4;
  for (const auto& bar : chart.bars) {
    const double length = longest > 0 ? room * bar.length / longest : 0;
    f.words({{x0 - 10, y + 14}, bar.label, font, Anchor::end});
    f.shape(Path().rectangle({x0, y, std::max(length, 0.5), 17}), Fill{{"#0072b2"}, 0.45}, Stroke{});
    f.words({{x0 + length + 8, y + 14}, bar.value, font});
    y += pitch;
  }
  f.line({x0, top}, {x0, y - 4}, {1.2});
  return document(std::move(f), y + 6, chart.title);
}

} // namespace chamber::papers
