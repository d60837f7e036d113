#include "chamber/drawing/board.hpp"
#include "chamber/drawing/font.hpp"
#include <algorithm>
#include <cmath>

namespace chamber::drawing::detail {
namespace {

constexpr double pi = std::numbers::pi;
/// mm between the middles of two narrow lines that are read as one: not even their width between them (ISO 128-2 asks
/// for 0.7 mm, from memory; that much would leave little of the lines about a thin gap).
constexpr double merging = 0.5;

double cross(Point a, Point b) {
  return a.x * b.y - a.y * b.x;
}
double length(Point a) {
  return std::hypot(a.x, a.y);
}
} // namespace

double lift(const std::string& words) {
  return std::max(0.8, measure(words, word_height).below + 0.75);
}

double drop(const std::string& words) {
  return words.empty() ? 0 : measure(words, word_height).above + 0.75;
}

bool crosses(Point a, Point b, Point c, Point d) {
  const double s = cross(b - a, c - a), t = cross(b - a, d - a);
  const double u = cross(d - c, a - c), v = cross(d - c, b - c);
  return ((s > 0) != (t > 0)) && ((u > 0) != (v > 0));
}

bool meets(Point a, Point b, const Box& k) {
  double low = 0, high = 1;
  const Point d = b - a;
  const auto cut = [&](double from, double step, double least, double most) {
    if (std::abs(step) < 1e-12) return from > least && from < most;
    double u = (least - from) / step, v = (most - from) / step;
    if (u > v) std::swap(u, v);
    low = std::max(low, u);
    high = std::min(high, v);
    return low < high;
  };
  return cut(a.x, d.x, k.left, k.right) && cut(a.y, d.y, k.bottom, k.top);
}

std::optional<std::pair<double, double>> beside(Point a, Point b, Point p, Point q, double within) {
  const double l = length(b - a);
  if (l < 1e-9) return std::nullopt;
  const Point d = (b - a) * (1 / l);
  const auto forward = [&](Point k) { return d.x * (k.x - a.x) + d.y * (k.y - a.y); };
  const auto aside = [&](Point k) { return cross(d, k - a); };
  double from = forward(p), to = forward(q), u = aside(p), v = aside(q);
  if (from > to) std::swap(from, to), std::swap(u, v);
  if (std::abs(v - u) > std::tan(20 * pi / 180) * (to - from)) return std::nullopt;
  // The part of it that is near enough, then the part of that which lies between a and b.
  const double slope = to - from > 1e-9 ? (v - u) / (to - from) : 0;
  if (std::abs(slope) < 1e-9) {
    if (std::abs(u) > within) return std::nullopt;
  } else {
    const double s = from + (-within - u) / slope, t = from + (within - u) / slope;
    from = std::max(from, std::min(s, t)), to = std::min(to, std::max(s, t));
  }
  from = std::max(from, 0.0), to = std::min(to, l);
  if (from >= to) return std::nullopt;
  return std::pair{from, to};
}

std::vector<Aim> aims_round(Point tip) {
  std::vector<Aim> out;
  for (int i = 0; i < 24; ++i) {
    const double angle = (7.5 + 15 * i) * pi / 180;
    out.push_back({tip, {std::cos(angle), std::sin(angle)}, 0});
  }
  return out;
}

Polyline polyline_of(profile::ChainView chain, double scale, bool left, Layer layer) {
  const double k = left ? -scale : scale;
  Polyline p{{}, false, pen(layer)};
  for (const auto& s : chain) {
    const double bulge = s.is_arc() ? std::tan(profile::sweep(s) / 4) * (left ? -1 : 1) : 0;
    p.vertices.push_back({{s.start.r * k, s.start.z * scale}, bulge});
  }
  if (!chain.empty()) p.vertices.push_back({{chain.back().end.r * k, chain.back().end.z * scale}, 0});
  return p;
}

Box box_round(Point a, Point b) {
  return {std::min(a.x, b.x), std::min(a.y, b.y), std::max(a.x, b.x), std::max(a.y, b.y)};
}

static int pieces(const profile::S& s, double scale) {
  return s.is_arc() ? std::clamp(static_cast<int>(profile::arc_length(s) * scale / 1.5), 2, 40) : 1;
}

std::vector<Point> flattened(profile::ChainView closed, double scale) {
  std::vector<Point> out;
  for (const auto& s : closed)
    for (int i = 0, n = pieces(s, scale); i < n; ++i) {
      const auto p = i == 0 ? s.start : profile::point_at(s, static_cast<double>(i) / n);
      out.push_back({p.r * scale, p.z * scale});
    }
  return out;
}

bool inside(const std::vector<Point>& polygon, Point p) {
  bool in = false;
  for (std::size_t i = 0, k = polygon.size() - 1; i < polygon.size(); k = i++) {
    const Point &a = polygon[i], &b = polygon[k];
    if ((a.y > p.y) != (b.y > p.y) && p.x < a.x + (b.x - a.x) * (p.y - a.y) / (b.y - a.y)) in = !in;
  }
  return in;
}

void Board::set_metal(profile::ChainView closed) {
  metal_ = flattened(closed, scale_);
  metal_box_ = {};
  if (metal_.empty()) return;
  metal_box_ = {metal_[0].x, metal_[0].y, metal_[0].x, metal_[0].y};
  for (const auto& p : metal_) metal_box_ = united(metal_box_, {p.x, p.y, p.x, p.y});
}

void Board::line(Point a, Point b, Layer layer) {
  picture.add(Line{a, b, pen(layer)});
  stroke(a, b, layer);
  extent_ = united(extent_, box_round(a, b));
}

void Board::chain(profile::ChainView c, Layer layer, bool left) {
  if (c.empty()) return;
  picture.add(polyline_of(c, scale_, left, layer));
  const double k = left ? -scale_ : scale_;
  for (const auto& s : c) {
    const int n = pieces(s, scale_);
    profile::P from = s.start;
    for (int i = 1; i <= n; ++i) {
      const auto to = i == n ? s.end : profile::point_at(s, static_cast<double>(i) / n);
      stroke({from.r * k, from.z * scale_}, {to.r * k, to.z * scale_}, layer);
      from = to;
    }
  }
}

void Board::arrow(Point tip, Point direction) { // filled, 15 degrees included each side less than a letter's height
  const Point back = tip + direction * arrow_length, side = Point{-direction.y, direction.x} * (arrow_length * 0.17);
  picture.add(Area{{tip, back + side, back - side}, black, Layer::dimension});
}

void Board::mark(Point p) {
  dot(p, 0.4);
  stroke(p - Point{0.4, 0}, p + Point{0.4, 0}, Layer::outline);
  stroke(p - Point{0, 0.4}, p + Point{0, 0.4}, Layer::outline);
}

void Board::dot(Point p, double radius) {
  Area a{{}, black, Layer::dimension};
  for (int i = 0; i < 12; ++i) a.corners.push_back(p + Point{std::cos(i * pi / 6), std::sin(i * pi / 6)} * radius);
  picture.add(std::move(a));
}

bool Board::box_free(const Box& box) const {
  const Box room = grown(box, word_clearance);
  for (const auto& w : words_)
    if (overlap(room, grown(w, 0.2))) return false;
  for (const auto& s : strokes_)
    if (overlap(s.box, room) && meets(s.a, s.b, room)) return false;
  return true;
}

bool Board::words_free(const Text& text) const {
  return box_free(box_of(text));
}

bool Board::words(const Text& text) {
  if (!words_free(text)) return false;
  picture.add(text);
  words_.push_back(box_of(text));
  return true;
}

bool Board::give_up(const std::string& lost) {
  if (ok_) failed = lost;
  ok_ = false;
  return false;
}

void Board::extension(Point feature, Point end) {
  const double l = length(end - feature);
  if (l < 1.2) return;
  const Point d = (end - feature) * (1 / l);
  const double last = l + 1.5;
  std::vector<std::pair<double, double>> taken;
  for (const auto& s : strokes_) {
    const auto part = beside(feature, feature + d * last, s.a, s.b, merging);
    if (!part) continue;
    const bool same = s.layer == Layer::extension && std::abs(cross(d, s.a - feature)) < 0.05 &&
                      std::abs(cross(d, s.b - feature)) < 0.05;
    if (!same) taken.emplace_back(part->first - 1, part->second + 1);
  }
  std::sort(taken.begin(), taken.end());
  taken.emplace_back(last, last);
  double from = 1;
  for (const auto& [begin, until] : taken) {
    if (begin - from > 1.5) line(feature + d * from, feature + d * begin, Layer::extension);
    from = std::max(from, until);
  }
  // The arrow stands on something whatever else is there.
  if (taken.size() > 1 && from > last - 1.5) line(feature + d * (l - 1.5), feature + d * last, Layer::extension);
}

double Board::extended(Point feature, Point direction) const {
  double out = 0;
  for (const auto& s : strokes_) {
    if (s.layer != Layer::extension || std::abs(cross(direction, s.a - feature)) > 1e-6 ||
        std::abs(cross(direction, s.b - feature)) > 1e-6)
      continue;
    const auto along = [&](Point p) { return direction.x * (p.x - feature.x) + direction.y * (p.y - feature.y); };
    if (std::abs(along(s.a)) < 2) out = std::max(out, along(s.b));
  }
  return out;
}

/// Line, ends and words between a and b (upright or level); extension lines are drawn already.
void Board::axis_dimension(Point a, Point b, const Label& label) {
  const double span = length(b - a);
  const Point d = (b - a) * (1 / span);
  const bool is_upright = std::abs(d.y) > 0.5;
  const double angle = is_upright ? pi / 2 : 0;
  const Point up = is_upright ? Point{-1, 0} : Point{0, 1};
  const double w = std::max(measure(label.over, word_height).width,
                            label.under.empty() ? 0 : measure(label.under, word_height).width);
  const bool arrows_inside = span >= 2 * arrow_length + 1.5;
  const auto put = [&](Point middle) {
    const Text over{
        middle + up * lift(label.over), label.over, word_height, Align::centre, angle, Layer::dimension, black};
    const Text under{
        middle - up * drop(label.under), label.under, word_height, Align::centre, angle, Layer::dimension, black};
    if (!words_free(over) || (!label.under.empty() && !words_free(under))) return false;
    words(over);
    if (!label.under.empty()) words(under);
    return true;
  };
  double before = arrows_inside ? 0 : 5, after = before; // how far the line runs on beyond its ends
  bool placed = span > w + 1 && put((a + b) * 0.5);
  for (const int way : {-1, 1}) {
    if (placed) break;
    const double reach = (arrows_inside ? 1.2 : 4) + w;
    const Point end = way < 0 ? a : b, out = d * way;
    if ((placed = put(end + out * (reach - w / 2)))) (way < 0 ? before : after) = reach + 0.3;
  }
  line(a - d * before, b + d * after, Layer::dimension);
  arrow(a, arrows_inside ? d : d * -1);
  arrow(b, arrows_inside ? d * -1 : d);
  if (!placed)
    notes_.push_back(
        {label.under.empty() ? label.over : label.over + " " + label.under, aims_round((a + b) * 0.5), Ending::dot});
}

void Board::upright(double x, Point fa, Point fb, const Label& label) {
  if (fa.y > fb.y) std::swap(fa, fb);
  const Point a{x, fa.y}, b{x, fb.y};
  extension(fa, a);
  extension(fb, b);
  later_.emplace_back([this, a, b, label] { axis_dimension(a, b, label); });
}

/// Rows are long enough for both units on one line.
static Label on_one_line(const Label& label) {
  return {label.under.empty() ? label.over : label.over + " " + label.under, {}};
}

void Board::level(double y, Point fa, Point fb, const Label& label) {
  if (fa.x > fb.x) std::swap(fa, fb);
  const Point a{fa.x, y}, b{fb.x, y};
  extension(fa, a);
  extension(fb, b);
  later_.emplace_back([this, a, b, label] { axis_dimension(a, b, on_one_line(label)); });
}

void Board::half_diameter(double y, Point feature, const Label& label) {
  const Point b{feature.x, y};
  extension(feature, b);
  later_.emplace_back([this, b, label] { half_line(b, on_one_line(label)); });
}

void Board::half_line(Point b, const Label& label) {
  const double y = b.y;
  const double w = measure(label.over, word_height).width;
  const auto text = [&](double middle) {
    return Text{{middle, y + lift(label.over)}, label.over, word_height, Align::centre, 0, Layer::dimension, black};
  };
  const double room = b.x - arrow_length - 1;
  double from = -4, to = b.x;
  Text over = text(room / 2);
  if (room < w || !words_free(over)) { // beyond the arrow, or further over the axis
    over = text(b.x + 1.5 + w / 2);
    to = b.x + 2 + w;
    if (!words_free(over)) over = text(room - w / 2), from = std::min(from, room - w - 1), to = b.x;
  }
  if (!words(over)) {
    from = -4, to = b.x;
    std::vector<Aim> aims;
    for (const double x : {b.x / 2, b.x / 4, -2.5})
      for (const auto& a : aims_round({x, y})) aims.push_back(a);
    notes_.push_back({label.over, aims, Ending::dot});
  }
  line({from, y}, {to, y}, Layer::dimension);
  arrow(b, {-1, 0});
}

void Board::upright_chain(double x, std::vector<Point> features, std::vector<Label> labels) {
  const auto span = [&](std::size_t i) { return features[i + 1].y - features[i].y; };
  const auto tight = [&](std::size_t i) { return span(i) < 2 * arrow_length + 1.5; };
  for (const auto& f : features) extension(f, {x, f.y});
  line({x, features.front().y}, {x, features.back().y}, Layer::dimension);
  for (std::size_t i = 0; i < features.size(); ++i) {
    const Point p{x, features[i].y};
    const bool below = i > 0, above = i + 1 < features.size();
    if ((below && tight(i - 1)) || (above && tight(i))) {
      dot(p); // ISO 129-1: a dot where there is no room for arrows
      continue;
    }
    if (below) arrow(p, {0, -1});
    if (above) arrow(p, {0, 1});
  }
  later_.emplace_back(
      [this, x, features = std::move(features), labels = std::move(labels)] { chain_words(x, features, labels); });
}

void Board::chain_words(double x, const std::vector<Point>& features, const std::vector<Label>& labels) {
  const auto span = [&](std::size_t i) { return features[i + 1].y - features[i].y; };
  std::vector<std::size_t> lost;
  for (std::size_t i = 0; i < labels.size(); ++i) {
    const Point middle{x, (features[i].y + features[i + 1].y) / 2};
    const Text over{{x - lift(labels[i].over), middle.y},
                    labels[i].over,
                    word_height,
                    Align::centre,
                    pi / 2,
                    Layer::dimension,
                    black};
    const Text under{{x + drop(labels[i].under), middle.y},
                     labels[i].under,
                     word_height,
                     Align::centre,
                     pi / 2,
                     Layer::dimension,
                     black};
    const bool two = !labels[i].under.empty();
    const double w =
        std::max(measure(labels[i].over, word_height).width, two ? measure(labels[i].under, word_height).width : 0);
    if (span(i) > w + 0.6 && words_free(over) && (!two || words_free(under))) {
      words(over);
      if (two) words(under);
    } else
      lost.push_back(i);
  }
  for (const auto i : lost) {
    const Point middle{x, (features[i].y + features[i + 1].y) / 2};
    const auto both = labels[i].under.empty() ? labels[i].over : labels[i].over + " " + labels[i].under;
    notes_.push_back({both, aims_round(middle), Ending::none});
  }
}

void Board::finish_dimensions() {
  for (const auto& task : later_) task();
  later_.clear();
}

} // namespace chamber::drawing::detail
