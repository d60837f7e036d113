#include "chamber/papers/chart.hpp"
#include "chamber/papers/svg.hpp"
#include "chamber/units/quantity.hpp"
#include <algorithm>
#include <array>
#include <cmath>
#include <fmt/format.h>
#include <limits>
#include <stdexcept>

namespace chamber::papers {
namespace {

constexpr double width = 480, left = 70, right = 30, edge = 12, font = 14, plot_height = 190, row = 20;
constexpr double bottom = 54;

/// Okabe and Ito's colours, which the common kinds of colour blindness tell apart; dashes and markers say the same in
/// black and white.
struct Look {
  const char *colour, *dashes, *marker;
};
constexpr std::array<Look, 4> looks{{{"#0072b2", "", "M-4,0a4,4 0 1 0 8,0a4,4 0 1 0 -8,0z"},
                                     {"#000000", "9 5", "M-3.6,-3.6h7.2v7.2h-7.2z"},
                                     {"#b04a00", "2 4", "M0,-4.6L4.4,3.4H-4.4z"},
                                     {"#007a5a", "12 4 2 4", "M0,-5L5,0L0,5L-5,0z"}}};

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

std::string text(double x, double y, std::string_view what, std::string_view more = "") {
  return fmt::format("<text x=\"{}\" y=\"{}\"{}>{}</text>\n", coordinate(x), coordinate(y), more, escaped(what));
}

std::string line(double x1, double y1, double x2, double y2, std::string_view more) {
  return fmt::format("<path d=\"M{} {}L{} {}\" {}/>\n", coordinate(x1), coordinate(y1), coordinate(x2), coordinate(y2),
                     more);
}

/// The title in as many lines as it needs; moves y to the last one's baseline.
std::string heading(const std::string& title, double& y) {
  constexpr double size = 16, bold = 1.12;
  std::string out, line;
  const auto put = [&] {
    y += 20;
    out += text(edge, y, line, R"( font-weight="bold" font-size="16")");
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
  return out;
}

const char* marker_fill(std::size_t i) {
  return i % 2 ? "#ffffff" : looks[i].colour;
}

std::string marker(std::size_t i, double x, double y) {
  return fmt::format(R"x(<path transform="translate({} {})" d="{}" fill="{}" stroke="{}" stroke-width="1.4"/>)x"
                     "\n",
                     coordinate(x), coordinate(y), looks[i].marker, marker_fill(i), looks[i].colour);
}

std::string stroke(std::size_t i) {
  return fmt::format(R"x(fill="none" stroke="{}" stroke-width="2" stroke-dasharray="{}")x", looks[i].colour,
                     *looks[i].dashes ? looks[i].dashes : "none");
}

constexpr const char* band_look =
    R"x(fill="#0072b2" fill-opacity="0.13" stroke="#0072b2" stroke-width="0.8" stroke-dasharray="3 2")x";

constexpr const char* pattern =
    R"x(<defs><pattern id="zone" width="7" height="7" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><path d="M0 0V7" stroke="#6b6b6b" stroke-width="0.9"/></pattern></defs>
)x";
constexpr const char* zone_look = R"x(fill="url(#zone)" stroke="#6b6b6b" stroke-width="1")x";

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
    body_ = frame() + zones() + bands() + series() + rule_lines_at(plot) + body_;
    end_ = plot + plot_height + bottom;
  }

  double end() const { return end_; }
  std::string svg() const { return pattern + body_; }

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
    body_ += heading(chart_.title, y_);
    double x = edge;
    y_ += row;
    bool any = false;
    const auto entry = [&](const std::string& label, const auto& sample) {
      if (label.empty()) return;
      const double needs = 40 + text_width(label, font) + 18;
      if (x > edge && x + needs > width) x = edge, y_ += row;
      body_ += sample(x, y_ - 4.5) + text(x + 40, y_, label);
      x += needs;
      any = true;
    };
    for (std::size_t i = 0; i < chart_.series.size(); ++i)
      entry(chart_.series[i].label, [&](double at, double mid) {
        const auto& s = chart_.series[i];
        return (s.line ? line(at, mid, at + 33, mid, stroke(i)) : "") +
               (s.markers || !s.line ? marker(i, at + 16.5, mid) : "");
      });
    const auto box = [](double at, double mid, std::string_view look) {
      return fmt::format("<rect x=\"{}\" y=\"{}\" width=\"33\" height=\"11\" {}/>\n", coordinate(at),
                         coordinate(mid - 6), look);
    };
    for (const auto& b : chart_.bands) entry(b.label, [&](double at, double mid) { return box(at, mid, band_look); });
    for (const auto& z : chart_.zones) entry(z.label, [&](double at, double mid) { return box(at, mid, zone_look); });
    if (!any) y_ -= row;
  }

  void rules() {
    if (chart_.rules.empty()) return;
    std::vector<double> ends; // of the last label in each row
    const double first = y_ + row;
    for (const auto& r : chart_.rules) {
      const double half = text_width(r.label, font) / 2;
      const double middle = std::clamp(x_scale_.at(r.x), left + half, std::max(left + half, width - right - half + 12));
      std::size_t k = 0;
      while (k < ends.size() && ends[k] > middle - half) ++k;
      if (k == ends.size()) ends.push_back(0);
      ends[k] = middle + half + 8;
      const double y = first + static_cast<double>(k) * (row - 2);
      y_ = std::max(y_, y);
      body_ += text(middle, y, r.label, fmt::format(R"x( font-size="{}" text-anchor="middle")x", font));
    }
  }

  std::string rule_lines_at(double plot) const {
    std::string out;
    for (const auto& rule : chart_.rules) {
      const double x = x_scale_.at(rule.x);
      out += line(x, plot, x, plot + plot_height, R"x(stroke="#444" stroke-width="1" stroke-dasharray="1 3")x");
    }
    return out;
  }

  std::string frame() const {
    std::string out;
    const double low = y_scale_.from, high = y_scale_.to;
    for (double v = std::ceil(x_scale_.low / x_scale_.step - 1e-9) * x_scale_.step;
         v <= x_scale_.high + 1e-9 * x_scale_.step; v += x_scale_.step) {
      const double x = x_scale_.at(v);
      out += line(x, low, x, high, R"x(stroke="#d9d9d9" stroke-width="0.8")x") +
             line(x, low, x, low + 5, R"x(stroke="#000")x") +
             text(x, low + 21, units::fixed(v, x_scale_.decimals), R"x( text-anchor="middle")x");
    }
    for (double v = std::ceil(y_scale_.low / y_scale_.step - 1e-9) * y_scale_.step;
         v <= y_scale_.high + 1e-9 * y_scale_.step; v += y_scale_.step) {
      const double y = y_scale_.at(v);
      out += line(left, y, width - right, y, R"x(stroke="#d9d9d9" stroke-width="0.8")x") +
             line(left - 5, y, left, y, R"x(stroke="#000")x") +
             text(left - 9, y + 4.5, units::fixed(v, y_scale_.decimals), R"x( text-anchor="end")x");
    }
    out += fmt::format("<path d=\"M{} {}V{}H{}\" fill=\"none\" stroke=\"#000\" stroke-width=\"1.2\"/>\n",
                       coordinate(left), coordinate(high), coordinate(low), coordinate(width - right));
    const double middle = (low + high) / 2;
    out += text((left + width - right) / 2, low + 42, chart_.x.label, R"x( text-anchor="middle")x");
    out += text(20, middle, chart_.y.label,
                fmt::format(R"x( text-anchor="middle" transform="rotate(-90 20 {})")x", coordinate(middle)));
    return out;
  }

  std::string zones() const {
    std::string out;
    for (const auto& z : chart_.zones) {
      const double high = std::clamp(z.high.value_or(y_scale_.high), y_scale_.low, y_scale_.high);
      const double low = std::clamp(z.low.value_or(y_scale_.low), y_scale_.low, y_scale_.high);
      out += fmt::format("<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" {}/>\n", coordinate(left),
                         coordinate(y_scale_.at(high)), coordinate(width - right - left),
                         coordinate(y_scale_.at(low) - y_scale_.at(high)), zone_look);
    }
    return out;
  }

  std::string bands() const {
    std::string out;
    for (const auto& b : chart_.bands) {
      if (b.slices.size() < 2) throw std::logic_error("chart: a band of fewer than two slices");
      std::string d;
      for (const auto& s : b.slices) d += point(d.empty() ? 'M' : 'L', s.x, s.high);
      for (auto s = b.slices.rbegin(); s != b.slices.rend(); ++s) d += point('L', s->x, s->low);
      out += fmt::format("<path d=\"{}Z\" {}/>\n", d, band_look);
    }
    return out;
  }

  std::string series() const {
    std::string out;
    for (std::size_t i = 0; i < chart_.series.size(); ++i) {
      const auto& s = chart_.series[i];
      if (s.points.empty()) throw std::logic_error("chart: a series without points");
      std::string d;
      for (const auto& p : s.points) d += point(d.empty() ? 'M' : 'L', p.x, p.y);
      if (s.line) out += fmt::format("<path d=\"{}\" {} stroke-linejoin=\"round\"/>\n", d, stroke(i));
      if (s.markers || !s.line)
        for (const auto& p : s.points) out += marker(i, x_scale_.at(p.x), clamped(p.y));
    }
    return out;
  }

  double clamped(double y) const { return y_scale_.at(std::clamp(y, y_scale_.low, y_scale_.high)); }
  std::string point(char how, double x, double y) const {
    return fmt::format("{}{} {}", how, coordinate(x_scale_.at(x)), coordinate(clamped(y)));
  }

  const Chart& chart_;
  double y_ = 0, end_ = 0;
  std::string body_;
  Scale x_scale_, y_scale_;
  Range y_range_;
};

std::string document(double height, const std::string& title, const std::string& body) {
  return fmt::format(
      R"x(<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {} {}" width="{}" height="{}" role="img" aria-label="{}" font-family="Helvetica, Arial, sans-serif" font-size="{}" fill="#000">)x"
      "\n<rect width=\"100%\" height=\"100%\" fill=\"#ffffff\"/>\n{}</svg>\n",
      coordinate(width), coordinate(height), coordinate(width), coordinate(height), escaped(title), font, body);
}

} // namespace

std::string to_svg(const Chart& chart) {
  const Panel panel(chart);
  return document(panel.end(), chart.title, panel.svg());
}

std::string to_svg(const BarChart& chart) {
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
  std::string body = heading(chart.title, y);
  body += text(edge, y + row, chart.axis);
  y += row + 14;
  const double top = y - 4;
  for (const auto& bar : chart.bars) {
    const double length = longest > 0 ? room * bar.length / longest : 0;
    body += text(x0 - 10, y + 14, bar.label, R"x( text-anchor="end")x");
    body += fmt::format("<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"17\" fill=\"#0072b2\" fill-opacity=\"0.45\" "
                        "stroke=\"#000\" stroke-width=\"1\"/>\n",
                        coordinate(x0), coordinate(y), coordinate(std::max(length, 0.5)));
    body += text(x0 + length + 8, y + 14, bar.value);
    y += pitch;
  }
  body += line(x0, top, x0, y - 4, R"x(stroke="#000" stroke-width="1.2")x");
  return document(y + 6, chart.title, body);
}

} // namespace chamber::papers
