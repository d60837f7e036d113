#include "chamber/turning/plan_stock.hpp"
#include "chamber/units/quantity.hpp"
#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace chamber::turning::detail {

using namespace profile;

namespace {

constexpr double column_mm = 0.02;
constexpr double ridge_mm = 0.002;  ///< left between two places of the nose, at most
constexpr double contact_mm = 4e-3; ///< of a bar with metal: a little less than the proof bears
/// A corner may give a tool this much more than its depth per pass: what the proof bears, less what the two reckonings
/// of a small corner differ by (a quarter was seen).
constexpr double more = 1.05, more_mm = 0.08;
constexpr double air = 1e9; ///< where the metal of an empty column begins
constexpr double nowhere = -1e9;

/// Upper outline of a tool over the distance from its nose's centre, towards the axis negative.
class ToolShape {
public:
  explicit ToolShape(const Tool& t) : nose_(t.nose_radius_mm) {
    const double angle = units::radians(t.end_edge_angle_deg);
    const double bar = t.min_bore_mm > 0 ? t.min_bore_mm : t.shank_mm, head = t.neck_mm > 0 ? t.neck_mm : bar;
    tangent_ = {-nose_ * std::sin(angle), nose_ * std::cos(angle)};
    slope_ = std::tan(angle);
    edge_ends_ = std::max(tangent_.r - cutting_edge_mm(t) * std::cos(angle), nose_ - head);
    head_ends_ = nose_ - head;
    bar_ends_ = nose_ - bar;
    half_shank_behind_ = nose_ - t.shank_mm / 2;
    neck_behind_ = nose_ - t.neck_length_mm;
  }
  double cut_from() const { return std::min(edge_ends_, -nose_); }
  double cut_to() const { return nose_; }
  double bar_from() const { return std::min(bar_ends_, head_ends_); }
  double bar_to() const { return 0; }

  /// Of nose and cutting edge.
  double cut(double d) const {
    double top = nowhere;
    if (std::abs(d) <= nose_) top = std::sqrt(nose_ * nose_ - d * d);
    if (d <= tangent_.r && d >= edge_ends_) top = std::max(top, on_edge(d));
    return top;
  }
  /// Of what may touch nothing.
  double bar(double d) const {
    double top = nowhere;
    if (d < edge_ends_ && d >= head_ends_) top = on_edge(d);
    if (d <= 0 && d >= head_ends_) top = std::max(top, half_shank_behind_);
    if (d < head_ends_ && d >= bar_ends_) top = neck_behind_;
    return top;
  }

private:
  double on_edge(double d) const { return tangent_.z - (tangent_.r - d) * slope_; }

  double nose_, slope_, edge_ends_, head_ends_, bar_ends_, half_shank_behind_, neck_behind_;
  P tangent_;
};

/// How far along a segment a point lies; of an arc along its circle, from its middle.
class Along {
public:
  explicit Along(const S& s)
      : s_(s), ahead_(s.is_arc() ? (s.start - s.centre) + (s.end - s.centre) : unit(s.end - s.start)) {}
  double operator()(const P& p) const {
    return s_.is_arc() ? s_.radius * angle_between(ahead_, p - s_.centre) : dot(p - s_.start, ahead_);
  }

private:
  const S& s_;
  P ahead_;
};

std::vector<P> places_on(const S& s, double nose) {
  // Straight along the axis its ends say it all.
  const bool upright = !s.is_arc() && std::abs(s.end.r - s.start.r) < 1e-9;
  const int n = upright ? 1 : 1 + static_cast<int>(arc_length(s) / std::sqrt(8 * nose * ridge_mm));
  std::vector<P> out;
  for (int i = 0; i <= n; ++i) out.push_back(point_at(s, static_cast<double>(i) / n));
  return out;
}

/// Calls f(column, signed radius) for the columns between two radii, those across the axis too.
template <class F>
void over_columns(double from, double to, std::size_t count, F f) {
  const auto first = static_cast<long>(std::ceil(from / column_mm - 0.5));
  const auto last = static_cast<long>(std::floor(to / column_mm - 0.5));
  for (long i = first; i <= last; ++i) {
    const auto column = static_cast<std::size_t>(i >= 0 ? i : -i - 1);
    if (column < count) f(column, (static_cast<double>(i) + 0.5) * column_mm);
  }
}

} // namespace

void Bite::add(const Bite& other) {
  depth_mm = std::max(depth_mm, other.depth_mm);
  if (other.bar_mm <= bar_mm) return;
  bar_mm = other.bar_mm;
  bar_at = other.bar_at;
  nose_at = other.nose_at;
}

std::optional<Problem> unbearable(const Bore& bore, const Tool& t, const Bite& bite) {
  if (bite.bar_mm > contact_mm)
    return Problem{
        {},
        fmt::format("{}: its bar would come {} into what still stands near the {} when the nose is at r {}, z {}.",
                    label(t), in_words(bore.inch, bite.bar_mm), place(bore, bite.bar_at),
                    in_words(bore.inch, bite.nose_at.r), in_words(bore.inch, bite.nose_at.z)),
        "take a slimmer bar, or one with a longer edge."};
  if (bite.depth_mm > more * t.max_depth_mm + more_mm)
    return Problem{{},
                   fmt::format("{}: the {} would give it {} at once, its limit is {}.", label(t), bore.what,
                               in_words(bore.inch, bite.depth_mm), in_words(bore.inch, t.max_depth_mm)),
                   "take a tool with a larger angle between end edge and face, or one with a shorter edge."};
  return std::nullopt;
}

Standing::Standing(double pilot_radius, double outside_radius, double front_mm)
    : begins_(static_cast<std::size_t>(outside_radius / column_mm), -front_mm) {
  over_columns(0, pilot_radius, begins_.size(), [&](std::size_t i, double) { begins_[i] = air; });
}

void Standing::face(double inner_radius) {
  over_columns(inner_radius, static_cast<double>(begins_.size()) * column_mm, begins_.size(),
               [&](std::size_t i, double) { begins_[i] = std::max(begins_[i], 0.0); });
}

Bite Standing::cut(const Tool& tool, const Chain& path) {
  const ToolShape shape(tool);
  Bite worst;
  std::vector<double> tops(begins_.size(), nowhere);
  for (const auto& s : path) {
    if (arc_length(s) < 1e-9) continue;
    const Along along(s);
    const auto places = places_on(s, tool.nose_radius_mm);
    std::size_t low = begins_.size(), high = 0;
    for (const auto& c : places)
      over_columns(c.r + shape.cut_from(), c.r + shape.cut_to(), begins_.size(), [&](std::size_t i, double r) {
        tops[i] = std::max(tops[i], c.z + shape.cut(r - c.r));
        low = std::min(low, i);
        high = std::max(high, i + 1);
      });
    double section = 0, first = air, last = -air;
    for (std::size_t i = low; i < high; ++i) {
      if (tops[i] > begins_[i]) {
        const double r = (static_cast<double>(i) + 0.5) * column_mm;
        for (const double w : {begins_[i], tops[i]}) {
          first = std::min(first, along({r, w}));
          last = std::max(last, along({r, w}));
        }
        section += (tops[i] - begins_[i]) * column_mm;
        begins_[i] = tops[i];
      }
      tops[i] = nowhere;
    }
    if (section > 0) worst.add({section / std::max(last - first, 2 * tool.nose_radius_mm), 0, {}, {}});
    for (const auto& c : places)
      over_columns(c.r + shape.bar_from(), c.r + shape.bar_to(), begins_.size(), [&](std::size_t i, double r) {
        if (const double into = c.z + shape.bar(r - c.r) - begins_[i]; into > worst.bar_mm)
          worst.add({0, into, {std::abs(r), begins_[i]}, c});
      });
  }
  return worst;
}

} // namespace chamber::turning::detail
