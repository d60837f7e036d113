// What stands after each tool call, drawn: Z to the right, X up, as the operator of a rear toolpost sees it.
#include "chamber/turning/prove_detail.hpp"
#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace chamber::turning {

using namespace detail;
using figure::Anchor;
using figure::Figure;
using figure::Fill;
using figure::Ink;
using profile::P;
using sweep::Box;
using sweep::Path;

namespace {

constexpr double flat_mm = 0.03; ///< points that lie this near to a line are left out

/// Mm, x to the right, y down.
using Dot = figure::Point;
using Ways = figure::Path;

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

void add(Ways& to, const std::vector<Dot>& dots) {
  for (std::size_t i = 0; i < dots.size(); ++i) i == 0 ? to.move(dots[i].x, dots[i].y) : to.line(dots[i].x, dots[i].y);
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

/// Spans of neighbouring columns joined into areas: their inside and their outline.
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

  Ways inside, edge;

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
    add(inside, all);
    inside.close();
    add(edge, low);
    add(edge, high);
  }

  void wall(double r, const Spans& spans) {
    for (const auto& s : spans) add(edge, {{-s.low, -r}, {-s.high, -r}});
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
    feeds_ = {};
    rapids_ = {};
    trail_.clear();
  }

  void flush() {
    if (trail_.size() > 1) add(rapid_ ? rapids_ : feeds_, thinned(trail_));
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

  /// How metal and chips are shown.
  struct Shown {
    const Areas *metal, *gone;
    Fill fill, gone_fill;
  };

  void draw(const Sweep& sweep, const Tool& tool) {
    flush();
    const Clamping& c = sweep.run->clamping;
    const double height = work_.height_mm;
    double left = -(c.length_mm - c.front_mm), right = c.front_mm;
    left = std::min(left, -height) - 4;
    right += 12;
    const double top = c.diameter_mm / 2 + 14;
    const double width = right - left, tall = top + 22;
    const Areas metal(now_.columns, now_.grid_mm), gone(taken(before_.columns, now_.columns), now_.grid_mm);
    StepPicture out{sweep.index, call_, {}, {}};
    out.figure = opened({left - 12, -top - 6, width + 14, tall - 2}, left, width, top, title(sweep, tool));
    piece(out.figure, sweep, {&metal, &gone, {{"#999999"}, 1, figure::Hatching{2, 0.15}}, {{"#bbbbbb"}}}, left);
    axes(out.figure, sweep.run->program.inch, left, right, top);
    out.sketch = opened({left, -top, width, top + 2}, left, width, top, title(sweep, tool));
    piece(out.sketch, sweep, {&metal, &gone, {{"#e2e2e2"}}, {{"#8c8c8c"}}}, left);
    for (auto* f : {&out.figure, &out.sketch}) f->line({left, 0}, {right, 0}, {0.15, {}, {4, 1, 1, 1}});
    pictures_.push_back(std::move(out));
  }

  static Figure opened(const figure::Box& view, double left, double width, double top, std::string says) {
    Figure f;
    f.view = view;
    f.says = std::move(says);
    f.width_px = 8 * view.width;
    f.clip = {left, -top, width, top + 2};
    return f;
  }

  /// What stands and what went, what holds it, and the tool's ways.
  void piece(Figure& f, const Sweep& sweep, const Shown& shown, double left) const {
    f.shape(shown.metal->inside, shown.fill, {}, true);
    f.shape(shown.gone->inside, shown.gone_fill, {}, true);
    f.shape(shown.metal->edge, {}, figure::Stroke{0.15, {"#555555"}}, true);
    chuck(f, sweep.run->clamping, left);
    f.shape(drawn(sweep), {}, figure::Stroke{0.25}, true);
    f.shape(feeds_, {}, figure::Stroke{0.1}, true);
    f.shape(rapids_, {}, figure::Stroke{0.1, {}, {0.8, 0.8}}, true);
  }

  std::string title(const Sweep& sweep, const Tool& tool) const {
    return fmt::format("{}, step {}: T{} {}", name(sweep.run->clamping.side), call_, tool.number,
                       tool.name.empty() ? std::string(name(tool.kind)) : tool.name);
  }

  Ways drawn(const Sweep& sweep) const {
    std::vector<Dot> dots;
    for (auto s : outline_.closed) {
      if (sweep.top_side()) {
        const Path p = sweep::turned_round(path_of(s), work_.height_mm);
        s = {p.kind, p.from, p.to, p.centre, p.radius};
      }
      dots_along(s, dots);
    }
    Ways out;
    add(out, thinned(dots));
    return out.close();
  }

  static void chuck(Figure& f, const Clamping& c, double left) {
    const auto block = [&](double x0, double x1, double r0, double r1) {
      f.shape(Ways().rectangle({x0, -r1, x1 - x0, r1 - r0}), Fill{{"#666666"}}, figure::Stroke{0.2}, true);
    };
    if (c.jaws_mm > 0) block(left, -c.jaws_mm, c.grip_diameter_mm / 2, c.grip_diameter_mm / 2 + 40);
    if (c.mandrel) block(left, -c.mandrel_end_mm, 0, c.mandrel_mm / 2);
  }

  /// In the unit of the program, every centimetre or half inch.
  static void axes(Figure& f, bool inch, double left, double right, double top) {
    constexpr double size = 3;
    const double step = inch ? 12.7 : 10, unit = inch ? 25.4 : 1;
    const auto number = [&](double mm) { return fmt::format("{:.{}f}", mm / unit + 0.0, inch ? 1 : 0); };
    Ways ticks;
    for (double k = std::ceil(left / step); k * step <= right; ++k) {
      ticks.move(k * step, 2).line(k * step, 3.2);
      f.words({{k * step, 6.5}, number(k * step), size, Anchor::middle});
    }
    for (double k = 0; k * step <= top; ++k) {
      ticks.move(left, -k * step).line(left - 1.2, -k * step);
      f.words({{left - 2, -k * step + 1}, number(2 * k * step), size, Anchor::end});
    }
    f.shape(std::move(ticks), {}, figure::Stroke{0.2});
    f.words({{right, 10.8}, inch ? "Z, in" : "Z, mm", size, Anchor::end});
    f.words({{left - 10, -top - 2.8}, inch ? "X diameter, in" : "X diameter, mm", size});
  }

  const Work& work_;
  const Outline& outline_;
  Piece before_, now_;
  int call_ = 0;
  bool rapid_ = false;
  std::vector<Dot> trail_;
  Ways feeds_, rapids_;
  std::vector<StepPicture>& pictures_;
};

} // namespace

std::unique_ptr<Watcher> detail::draughtsman(const Work& work, const Outline& outline, std::vector<StepPicture>& into) {
  return std::make_unique<Draughtsman>(work, outline, into);
}

} // namespace chamber::turning
