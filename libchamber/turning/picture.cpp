// What stands after each tool call, drawn: Z to the right, X up, as the operator of a rear toolpost sees it.
#include "chamber/turning/prove_detail.hpp"
#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace chamber::turning {

using namespace detail;
using profile::P;
using sweep::Box;
using sweep::Path;

namespace {

constexpr double flat_mm = 0.03; ///< points that lie this near to a line are left out

/// Picture coordinates: mm, x to the right, y down.
struct Dot {
  double x, y;
};

/// Without the points that lie on a line (Ramer, Douglas, Peucker).
void thin(const std::vector<Dot>& in, std::size_t a, std::size_t b, std::vector<Dot>& out) {
  double worst = flat_mm;
  std::size_t at = 0;
  const double dx = in[b].x - in[a].x, dy = in[b].y - in[a].y, length = std::hypot(dx, dy);
  for (std::size_t i = a + 1; i < b; ++i) {
    const double px = in[i].x - in[a].x, py = in[i].y - in[a].y;
    const double off = length > 1e-9 ? std::abs(px * dy - py * dx) / length : std::hypot(px, py);
    if (off > worst) {
      worst = off;
      at = i;
    }
  }
  if (at > 0) {
    thin(in, a, at, out);
    thin(in, at, b, out);
  } else {
    out.push_back(in[b]);
  }
}

std::vector<Dot> thinned(const std::vector<Dot>& in) {
  if (in.size() < 3) return in;
  std::vector<Dot> out{in.front()};
  thin(in, 0, in.size() - 1, out);
  return out;
}

std::string points(const std::vector<Dot>& dots) {
  std::string out;
  for (const auto& d : dots) out += fmt::format("{}{:.2f} {:.2f}", out.empty() ? "M" : "L", d.x, d.y);
  return out;
}

std::string xml(std::string_view text) {
  std::string out;
  for (const char c : text) {
    if (c == '<')
      out += "&lt;";
    else if (c == '&')
      out += "&amp;";
    else if (c == '>')
      out += "&gt;";
    else
      out += static_cast<unsigned char>(c) < 32 ? ' ' : c;
  }
  return out;
}

/// What of `spans` is not in `others`.
Spans less(const Spans& spans, const Spans& others, double thinnest) {
  Spans out;
  for (const auto& s : spans) {
    double from = s.low;
    for (const auto& t : others) {
      if (t.high <= s.low || t.low >= s.high) continue;
      if (t.low - from > thinnest) out.push_back({from, t.low});
      from = t.high;
    }
    if (s.high - from > thinnest) out.push_back({from, s.high});
  }
  return out;
}

/// What is in `before` and no longer in `after`.
std::vector<Spans> taken(const std::vector<Spans>& before, const std::vector<Spans>& after) {
  constexpr double thinnest = 0.005;
  std::vector<Spans> out;
  for (std::size_t i = 0; i < before.size(); ++i) out.push_back(less(before[i], after[i], thinnest));
  return out;
}

/// Spans of neighbouring columns joined into areas: path data of their inside and of their outline.
class Areas {
public:
  Areas(const std::vector<Spans>& columns, double grid) {
    const Spans none;
    for (std::size_t i = 0; i <= columns.size(); ++i) {
      const Spans& spans = i < columns.size() ? columns[i] : none;
      const double r = static_cast<double>(i) * grid;
      goes_on_.assign(open_.size(), false);
      std::vector<Area> next;
      for (const auto& s : spans) next.push_back(with(s, spans, r, grid, i > 0 ? columns[i - 1] : none));
      for (std::size_t j = 0; j < open_.size(); ++j)
        if (!goes_on_[j]) close(open_[j], r, spans);
      open_ = std::move(next);
    }
  }

  std::string inside, edge;

private:
  struct Area {
    std::vector<Dot> low, high;
    Span last{0, 0};
  };

  static bool touch(const Span& a, const Span& b) { return a.low < b.high && a.high > b.low; }

  /// The area that goes on in this span alone, or a new one.
  Area with(const Span& s, const Spans& all, double r, double grid, const Spans& before) {
    Area a;
    const auto touched = [&](const Spans& spans, const Span& one) {
      return std::count_if(spans.begin(), spans.end(), [&](const Span& t) { return touch(one, t); });
    };
    for (std::size_t j = 0; j < open_.size(); ++j)
      if (touch(open_[j].last, s) && touched(before, s) == 1 && touched(all, open_[j].last) == 1) {
        goes_on_[j] = true;
        a = std::move(open_[j]);
        break;
      }
    if (a.low.empty()) wall(r, less({s}, before, flat_mm));
    a.last = s;
    for (const double at : {r, r + grid}) {
      a.low.push_back({-s.low, -at});
      a.high.push_back({-s.high, -at});
    }
    return a;
  }

  void close(const Area& a, double r, const Spans& after) {
    wall(r, less({a.last}, after, flat_mm));
    const auto low = thinned(a.low), high = thinned({a.high.rbegin(), a.high.rend()});
    auto all = low;
    all.insert(all.end(), high.begin(), high.end());
    inside += points(all) + "Z";
    edge += points(low) + points(high);
  }

  void wall(double r, const Spans& spans) {
    for (const auto& s : spans) edge += points({{-s.low, -r}, {-s.high, -r}});
  }

  std::vector<Area> open_;
  std::vector<bool> goes_on_;
};

void dots_along(const profile::S& s, std::vector<Dot>& out) {
  const int n =
      s.is_arc() ? std::clamp(static_cast<int>(std::abs(profile::sweep(s)) * std::sqrt(s.radius) * 4), 4, 80) : 1;
  for (int i = 0; i <= n; ++i) {
    const P p = profile::point_at(s, static_cast<double>(i) / n);
    out.push_back({-p.z, -p.r});
  }
}

class Draughtsman : public Watcher {
public:
  Draughtsman(const Work& work, const Outline& outline, std::vector<StepPicture>& into)
      : work_(work), outline_(outline), pictures_(into) {}

  void before(const Sweep&, const Piece& piece) override {
    now_ = piece;
    call_ = 0;
  }

  void after(const Sweep& sweep, std::size_t stroke, const Piece& piece) override {
    const Stroke& k = sweep.strokes[stroke];
    if (call_ != k.motion->call) begin(k);
    follow(sweep, k);
    if (stroke + 1 < sweep.strokes.size() && sweep.strokes[stroke + 1].motion->call == call_) return;
    now_ = piece;
    draw(sweep, *sweep.of(k).tool);
  }

private:
  void begin(const Stroke& k) {
    call_ = k.motion->call;
    before_ = now_;
    feeds_.clear();
    rapids_.clear();
    trail_.clear();
  }

  void flush() {
    if (trail_.size() > 1) (rapid_ ? rapids_ : feeds_) += points(thinned(trail_));
    trail_.clear();
  }

  /// The control point's way (nose tools: the nose centre's), no farther out than the picture shows.
  void follow(const Sweep& sweep, const Stroke& k) {
    const Path p = sweep.of(k).side < 0 ? sweep::across(k.path) : k.path;
    if (trail_.empty() || rapid_ != k.rapid()) {
      flush();
      rapid_ = k.rapid();
    }
    std::vector<Dot> dots;
    dots_along({p.kind, p.from, p.to, p.centre, p.radius}, dots);
    trail_.insert(trail_.end(), dots.begin(), dots.end());
  }

  static std::string text(double x, double y, std::string_view what, std::string_view anchor = "start") {
    return fmt::format("<text x=\"{:.2f}\" y=\"{:.2f}\" text-anchor=\"{}\">{}</text>\n", x, y, anchor, xml(what));
  }

  /// How metal and chips are shown.
  struct Shown {
    const Areas *metal, *gone;
    const char *defined, *fill, *gone_fill;
  };
  static constexpr const char* hatch = "<pattern id=\"h\" width=\"2\" height=\"2\" patternUnits=\"userSpaceOnUse\" "
                                       "patternTransform=\"rotate(45)\"><path d=\"M0 0V2\" stroke=\"#999\" "
                                       "stroke-width=\"0.3\"/></pattern>\n";

  void draw(const Sweep& sweep, const Tool& tool) {
    flush();
    const Clamping& c = sweep.run->clamping;
    const double height = work_.height_mm, out = c.diameter_mm / 2;
    double left = -(c.length_mm - c.front_mm), right = c.front_mm;
    left = std::min(left, -height) - 4;
    right += 12;
    const double top = out + 14;
    const double width = right - left, tall = top + 22;
    const std::string what = title(sweep, tool);
    const Areas metal(now_.columns, now_.grid_mm), gone(taken(before_.columns, now_.columns), now_.grid_mm);
    std::string svg = opened(left - 12, -top - 10, width + 14, tall + 2, what);
    // A long title is set smaller, so that it stays inside the picture.
    svg += fmt::format("<text x=\"{:.2f}\" y=\"{:.2f}\" font-size=\"{:.2f}\">{}</text>\n", left - 10, -top - 5,
                       std::min(3.0, (width + 8) / (0.62 * static_cast<double>(what.size()))), xml(what));
    svg += piece(sweep, {&metal, &gone, hatch, "url(#h)", "#bbb"}, left, width, top) + centre_line(left, right) +
           axes(left, right, top) + "</svg>\n";
    std::string sketch = opened(left, -top, width, top + 2, what) +
                         piece(sweep, {&metal, &gone, "", "#e2e2e2", "#8c8c8c"}, left, width, top) +
                         centre_line(left, right) + "</svg>\n";
    pictures_.push_back({sweep.index, call_, std::move(svg), std::move(sketch)});
  }

  static std::string opened(double x, double y, double width, double height, const std::string& title) {
    return fmt::format(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"{0:.2f} {1:.2f} {2:.2f} {3:.2f}\" width=\"{4:.0f}\" "
        "font-family=\"sans-serif\" font-size=\"3\">\n<title>{5}</title>\n"
        "<rect x=\"{0:.2f}\" y=\"{1:.2f}\" width=\"{2:.2f}\" height=\"{3:.2f}\" fill=\"#fff\"/>\n",
        x, y, width, height, 8 * width, xml(title));
  }

  /// What stands and what went, what holds it, and the tool's ways.
  std::string piece(const Sweep& sweep, const Shown& shown, double left, double width, double top) const {
    std::string svg = fmt::format("<defs>{}<clipPath id=\"c\"><rect x=\"{:.2f}\" y=\"{:.2f}\" width=\"{:.2f}\" "
                                  "height=\"{:.2f}\"/></clipPath></defs>\n<g clip-path=\"url(#c)\">\n",
                                  shown.defined, left, -top, width, top + 2);
    svg += fmt::format("<path d=\"{}\" fill=\"{}\"/>\n<path d=\"{}\" fill=\"{}\"/>\n", shown.metal->inside, shown.fill,
                       shown.gone->inside, shown.gone_fill);
    svg += fmt::format("<path d=\"{}\" fill=\"none\" stroke=\"#555\" stroke-width=\"0.15\"/>\n", shown.metal->edge);
    svg += chuck(sweep.run->clamping, left);
    svg += fmt::format("<path d=\"{}\" fill=\"none\" stroke=\"#000\" stroke-width=\"0.25\"/>\n", drawn(sweep));
    svg += fmt::format("<path d=\"{}\" fill=\"none\" stroke=\"#000\" stroke-width=\"0.1\"/>\n", feeds_);
    svg += fmt::format(
        "<path d=\"{}\" fill=\"none\" stroke=\"#000\" stroke-width=\"0.1\" stroke-dasharray=\"0.8 0.8\"/>\n</g>\n",
        rapids_);
    return svg;
  }

  std::string title(const Sweep& sweep, const Tool& tool) const {
    return fmt::format("{}, step {}: T{} {}", name(sweep.run->clamping.side), call_, tool.number,
                       tool.name.empty() ? std::string(name(tool.kind)) : tool.name);
  }

  std::string drawn(const Sweep& sweep) const {
    std::vector<Dot> dots;
    for (auto s : outline_.closed) {
      if (sweep.top_side()) {
        const Path p = sweep::turned_round(path_of(s), work_.height_mm);
        s = {p.kind, p.from, p.to, p.centre, p.radius};
      }
      dots_along(s, dots);
    }
    return points(thinned(dots)) + "Z";
  }

  static std::string chuck(const Clamping& c, double left) {
    const auto block = [](double x0, double x1, double r0, double r1) {
      return fmt::format(
          "<rect x=\"{:.2f}\" y=\"{:.2f}\" width=\"{:.2f}\" height=\"{:.2f}\" fill=\"#666\" stroke=\"#000\" "
          "stroke-width=\"0.2\"/>\n",
          x0, -r1, x1 - x0, r1 - r0);
    };
    std::string out;
    if (c.jaws_mm > 0) out += block(left, -c.jaws_mm, c.grip_diameter_mm / 2, c.grip_diameter_mm / 2 + 40);
    if (c.mandrel) out += block(left, -c.mandrel_end_mm, 0, c.mandrel_mm / 2);
    return out;
  }

  static std::string centre_line(double left, double right) {
    return fmt::format("<path d=\"M{:.2f} 0H{:.2f}\" stroke=\"#000\" stroke-width=\"0.15\" "
                       "stroke-dasharray=\"4 1 1 1\"/>\n",
                       left, right);
  }

  std::string axes(double left, double right, double top) const {
    std::string out = "<path d=\"", labels;
    constexpr int step = 10;
    for (int z = static_cast<int>(std::ceil(left / step)) * step; z <= right; z += step) {
      out += fmt::format("M{} 2V3.2", z);
      labels += text(z, 6.5, fmt::format("{}", z), "middle");
    }
    for (int r = 0; r <= top; r += step) {
      out += fmt::format("M{:.2f} {}h-1.2", left, -r);
      labels += text(left - 2, -r + 1.0, fmt::format("{}", 2 * r), "end");
    }
    out += "\" stroke=\"#000\" stroke-width=\"0.2\"/>\n" + labels;
    out += text(right, 10.8, "Z mm", "end");
    return out + text(left - 10, -top + -0.5, "X diameter mm");
  }

  const Work& work_;
  const Outline& outline_;
  Piece before_, now_;
  int call_ = 0;
  bool rapid_ = false;
  std::vector<Dot> trail_;
  std::string feeds_, rapids_;
  std::vector<StepPicture>& pictures_;
};

} // namespace

std::unique_ptr<Watcher> detail::draughtsman(const Work& work, const Outline& outline, std::vector<StepPicture>& into) {
  return std::make_unique<Draughtsman>(work, outline, into);
}

} // namespace chamber::turning
