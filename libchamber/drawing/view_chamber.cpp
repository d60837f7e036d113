#include "chamber/drawing/font.hpp"
#include "chamber/drawing/views.hpp"
#include "chamber/profile/distance.hpp"
#include "chamber/units/quantity.hpp"
#include "chamber/units/tolerance.hpp"
#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace chamber::drawing::detail {
namespace {

constexpr double point = tolerance::point_mm;
constexpr double margin = 7; ///< mm on the sheet: metal shown round the chamber, and piston under its edge

double crown_at(const SheetInput& in, double r) {
  return -in.budget.edge_below_face_mm() + engine::crown_height_at_mm(in.budget.crown, in.budget.bore_mm, r);
}

/// Part of the view in which the insert's metal is shown.
Box window(const SheetInput& in, double scale) {
  const double rim = in.chamber.chain[0].start.r, top = std::max(in.chamber.roof_z, in.chamber.bowl_top_z);
  double widest = 0;
  for (const auto& s : in.body.steps) widest = std::max(widest, s.diameter_mm / 2);
  return {0, 0, std::min((rim * scale) + margin, widest * scale + 0.5),
          std::min(top * scale + margin, in.insert.height_mm * scale + 0.5)};
}

/// The line's part inside the box, if any.
bool clipped(Point& a, Point& b, const Box& k) {
  double low = 0, high = 1;
  const Point d = b - a;
  const auto cut = [&](double from, double step, double least, double most) {
    if (std::abs(step) < 1e-12) return from >= least - 1e-9 && from <= most + 1e-9;
    double u = (least - from) / step, v = (most - from) / step;
    if (u > v) std::swap(u, v);
    low = std::max(low, u);
    high = std::min(high, v);
    return low < high;
  };
  if (!cut(a.x, d.x, k.left, k.right) || !cut(a.y, d.y, k.bottom, k.top)) return false;
  const Point p = a;
  a = p + d * low;
  b = p + d * high;
  return true;
}

/// A narrow line with a zigzag, where a view is broken off.
void broken(Board& b, Point from, Point to) {
  const double l = std::hypot(to.x - from.x, to.y - from.y);
  const Point d = (to - from) * (1 / l), n{-d.y, d.x}, m = (from + to) * 0.5;
  if (l < 6) return b.line(from, to, Layer::boundary);
  b.line(from, m - d * 1.2, Layer::boundary);
  b.line(m - d * 1.2, m - d * 0.4 + n * 1.5, Layer::boundary);
  b.line(m - d * 0.4 + n * 1.5, m + d * 0.4 - n * 1.5, Layer::boundary);
  b.line(m + d * 0.4 - n * 1.5, m + d * 1.2, Layer::boundary);
  b.line(m + d * 1.2, to, Layer::boundary);
}

/// Breaks the metal off along the box's upper and right sides, wherever metal is.
void break_off(Board& b, profile::ChainView closed, const Box& box) {
  const auto metal = flattened(closed, b.scale());
  const auto side = [&](Point from, Point to) {
    constexpr int pieces = 400;
    bool in_metal = false;
    Point start{};
    for (int i = 0; i <= pieces; ++i) {
      const Point p = from + (to - from) * (static_cast<double>(i) / pieces);
      const bool now = i < pieces && inside(metal, p);
      if (now && !in_metal) start = p;
      if (!now && in_metal && std::hypot(p.x - start.x, p.y - start.y) > 0.3) broken(b, start, p);
      in_metal = now;
    }
  };
  side({box.left, box.top}, {box.right, box.top});
  side({box.right, box.bottom}, {box.right, box.top});
}

void metal(Board& b, const SheetInput& in, const Box& box) {
  for (const auto& n : body_of(in.insert, in.chamber)) {
    Point p = b.at(n.segment.start), q = b.at(n.segment.end);
    if (clipped(p, q, box) && std::hypot(q.x - p.x, q.y - p.y) > 1e-6) b.line(p, q, Layer::outline);
  }
  b.chain(shapes::chain_of(in.chamber), Layer::outline);
  if (in.plug.major_mm > 0)
    b.line(b.at(in.plug.major_mm / 2, in.insert.roof_z_mm),
           {in.plug.major_mm / 2 * b.scale(), std::min(box.top, in.insert.seat_z_mm * b.scale())}, Layer::thread);
  break_off(b, shapes::chain_of(in.insert.outline), box);
}

/// The piston at top dead centre, the bore, and a gasket: neighbouring parts, so in their line (ISO 128-2, 05.1).
/// Returns how deep it goes on the sheet.
double piston(Board& b, const SheetInput& in, const Box& box) {
  const auto& g = in.budget;
  const double r = g.bore_mm / 2, edge = -g.edge_below_face_mm(), R = g.crown.sphere_radius_mm;
  const double apex = crown_at(in, 0), bottom = std::min(edge, apex) * b.scale() - margin;
  profile::S crown = profile::line(profile::P{r, edge}, profile::P{0, apex});
  if (g.crown.form == engine::Crown::Form::domed && R > 0)
    crown = profile::arc(profile::Kind::ccw, profile::P{r, edge}, profile::P{0, apex}, profile::P{0, apex - R}, R);
  if (g.crown.form == engine::Crown::Form::dished && R > 0)
    crown = profile::arc(profile::Kind::cw, profile::P{r, edge}, profile::P{0, apex}, profile::P{0, apex + R}, R);
  b.chain(std::array{crown}, Layer::adjacent);
  b.line(b.at(r, edge), {r * b.scale(), bottom}, Layer::adjacent);
  const double t = g.gasket_thickness_mm;
  if (edge < -t - point) { // the cylinder's bore over the piston, and its top
    b.line(b.at(r, -t), b.at(r, edge), Layer::adjacent);
  }
  if (t > 0 && g.gasket_bore_mm / 2 * b.scale() < box.right) {
    b.line(b.at(g.gasket_bore_mm / 2, 0), b.at(g.gasket_bore_mm / 2, -t), Layer::adjacent);
    b.line(b.at(std::min(r, g.gasket_bore_mm / 2), -t), {box.right, -t * b.scale()}, Layer::adjacent);
  }
  return bottom;
}

void diameters(Board& b, const SheetInput& in, const Lengths& l, double y) {
  struct Row {
    double r, z;
    const shapes::Limits* limits;
  };
  const auto limits = [&](shapes::Size size) { return shapes::find(in.limits, size); };
  std::vector<Row> rows{
      {in.frame.pocket_radius, in.chamber.roof_z - in.frame.pocket_corner, limits(shapes::Size::pocket)},
      {in.chamber.mouth.r, in.chamber.mouth.z, limits(shapes::Size::mouth)},
      {in.budget.bore_mm / 2, -in.budget.edge_below_face_mm() - 1, nullptr}};
  if (in.chamber.chain[0].start.r > in.budget.bore_mm / 2 + 0.005)
    rows.push_back({in.chamber.chain[0].start.r, 0, limits(shapes::Size::rim)});
  std::sort(rows.begin(), rows.end(), [](const Row& p, const Row& q) { return p.r < q.r; });
  for (const auto& row : rows) {
    const bool mouth = row.r == in.chamber.mouth.r, bore = row.r == in.budget.bore_mm / 2;
    auto label = row.limits ? l.label("⌀", 2 * row.r, row.limits)
                            : l.label("⌀", 2 * row.r, mouth ? Fineness::usual : Fineness::tabled);
    if (mouth) label.over += " mouth, sharp";
    if (bore) label.over += " bore";
    b.half_diameter(y, b.at(row.r, row.z), label);
    y -= row_pitch;
  }
}

/// Heights over the sealing face and depths, in columns left of the axis.
void heights(Board& b, const SheetInput& in, const Lengths& l) {
  const auto& c = in.chamber;
  const auto fine = [&](std::size_t dimension) { return in.closing == dimension ? Fineness::fine : Fineness::usual; };
  struct Column {
    Point low, high;
    Label label;
  };
  const auto on = [&](double r, double z) { return b.at(r, z); };
  std::vector<Column> columns;
  const double rp = in.frame.pocket_radius, bowl_end = c.roof_z - in.dimensions.pocket_depth;
  columns.push_back({on(rp, bowl_end), on(0, c.roof_z), l.label("", in.dimensions.pocket_depth, fine(4))});
  if (c.mouth.z * b.scale() > 0.5) columns.push_back({on(0, 0), on(c.mouth.r, c.mouth.z), l.label("", c.mouth.z)});
  if (shapes::has_dimension(in.frame.family, 1)) {
    double r_top = 0;
    for (const auto& s : c.chain)
      for (const auto& p : {s.start, s.end})
        if (std::abs(p.z - c.bowl_top_z) < 0.5) r_top = std::max(r_top, p.r);
    for (const auto& s : c.chain) // the trough's highest point
      if (s.kind == profile::Kind::ccw && std::abs(s.centre.z + s.radius - c.bowl_top_z) < point) r_top = s.centre.r;
    columns.push_back(
        {on(c.mouth.r, c.mouth.z), on(r_top, c.bowl_top_z), l.label("", in.dimensions.bowl_depth, fine(1))});
  }
  const double apex = crown_at(in, 0);
  columns.push_back({on(0, apex), on(0, c.roof_z), l.label("(", c.roof_z - apex, Fineness::usual, ")")});
  const auto* roof = shapes::find(in.limits, shapes::Size::roof);
  columns.push_back(
      {on(0, 0), on(0, c.roof_z), roof ? l.label("", c.roof_z, roof) : l.label("", c.roof_z, Fineness::tabled)});
  const double under_mouth = crown_at(in, c.mouth.r);
  columns.push_back({on(c.mouth.r, under_mouth), on(c.mouth.r, c.mouth.z), l.label("gap ", c.mouth.z - under_mouth)});
  std::stable_sort(columns.begin(), columns.end(),
                   [](const Column& p, const Column& q) { return p.high.y - p.low.y < q.high.y - q.low.y; });
  double x = -first_row;
  for (const auto& k : columns) {
    b.upright(x, k.low, k.high, k.label);
    x -= column_pitch(l);
  }
  // What the columns start from.
  b.extension(b.at(c.chain[0].start), {0, 0});
}

/// Right of the metal: the band's height at the bore, and the squish gap there.
void at_the_bore(Board& b, const SheetInput& in, const Lengths& l, double x) {
  const double r = in.frame.bore_radius, edge = -in.budget.edge_below_face_mm(), h = in.frame.edge_height;
  if (h > 0.005) {
    b.upright(x, {x - first_row - 8, 0}, b.at(r, h), l.label("", h));
    x += column_pitch(l);
  }
  b.upright(x, b.at(in.budget.bore_mm / 2, edge), b.at(r, h), l.label("gap ", h - edge));
}

std::vector<Aim> aims_at(const Board& b, const profile::S& s) {
  std::vector<Aim> out;
  for (const double u : {0.5, 0.35, 0.65, 0.2, 0.8, 0.1, 0.9}) {
    const Point tip = b.at(profile::point_at(s, u));
    if (!s.is_arc()) {
      for (const auto& a : aims_round(tip)) out.push_back(a);
      continue;
    }
    // A radius points at its centre, or away from it.
    const auto c = b.at(s.centre);
    const double d = std::hypot(c.x - tip.x, c.y - tip.y);
    const Point in = (c - tip) * (1 / d);
    for (const double off : {0.0, 0.3, -0.3, 0.6, -0.6, 0.9, -0.9}) { // and askew where that way is barred
      const Point askew{in.x * std::cos(off) - in.y * std::sin(off), in.x * std::sin(off) + in.y * std::cos(off)};
      out.push_back({tip, askew, std::abs(off) * 30});
      out.push_back({tip, askew * -1, std::abs(off) * 30});
    }
  }
  return out;
}

/// A straight band's angle, by the edge at the mouth: there the line that its height starts from is parallel to the
/// face, and band and line part over the empty bowl.
bool band_angle(Board& b, const SheetInput& in, const profile::S& band) {
  const Point mouth = b.at(in.chamber.mouth), end = b.at(band.end);
  const auto d = profile::direction_at(band, 1);
  const double there = b.extended(mouth, {-1, 0});
  return b.angle(mouth, {{d.r, d.z}, -std::hypot(mouth.x - end.x, mouth.y - end.y)}, {{-1, 0}, there},
                 std::min(mouth.x - 2, there - 1.5), degrees_words(std::abs(in.dimensions.squish_angle_deg)));
}

/// A drafted wall's angle, by the same edge: there the line that the mouth's diameter starts from is parallel to the
/// axis. It ends at `row`.
bool draft_angle(Board& b, const SheetInput& in, const profile::S& wall, double row) {
  const Point mouth = b.at(in.chamber.mouth), start = b.at(wall.start);
  const auto d = profile::direction_at(wall, 0) * -1.0;
  return b.angle(mouth, {{d.r, d.z}, -std::hypot(mouth.x - start.x, mouth.y - start.y)}, {{0, -1}, mouth.y - row},
                 mouth.y - row - 3, degrees_words(in.frame.draft_deg));
}

void radii_and_angles(Board& b, const SheetInput& in, const Lengths& l, double mouth_row) {
  const auto& c = in.chamber.chain;
  std::vector<std::pair<double, Note>> notes;
  for (std::size_t i = 0; i < c.size(); ++i) {
    const auto role = in.chamber.roles[i];
    if (c[i].is_arc()) {
      const bool closes =
          in.closing == 0 &&
          (role == shapes::Role::bowl || role == shapes::Role::trough || role == shapes::Role::bowl_corner ||
           (role == shapes::Role::bowl_roof && in.frame.family == shapes::Family::two_radius));
      notes.push_back({profile::arc_length(c[i]),
                       {l.words("R", c[i].radius, closes ? Fineness::fine : Fineness::tabled),
                        aims_at(b, c[i]),
                        Ending::arrow,
                        false,
                        {},
                        true}});
    } else if (role == shapes::Role::band && std::abs(in.dimensions.squish_angle_deg) > 0.005) {
      if (band_angle(b, in, c[i])) continue;
      notes.push_back({profile::arc_length(c[i]),
                       {degrees_words(in.dimensions.squish_angle_deg) + " to A",
                        aims_at(b, c[i]),
                        Ending::arrow,
                        false,
                        {},
                        true}});
    } else if (role == shapes::Role::bowl_wall && in.frame.draft_deg > 0.005) {
      if (draft_angle(b, in, c[i], mouth_row)) continue;
      notes.push_back(
          {profile::arc_length(c[i]),
           {degrees_words(in.frame.draft_deg) + " to axis", aims_at(b, c[i]), Ending::arrow, false, {}, true}});
    }
  }
  // Short ones first: they can be reached from few places.
  std::stable_sort(notes.begin(), notes.end(), [](const auto& p, const auto& q) { return p.first < q.first; });
  for (const auto& n : notes) b.note(n.second);
}

/// The whole profile's tolerance as one surface (UF: united feature, ISO 1660, from memory), between the numbered
/// points.
void profile_tolerance(Board& b, const SheetInput& in, const Lengths& l) {
  if (in.profile_tolerance_mm <= 0) return;
  std::vector<Aim> aims;
  const auto& c = in.chamber.chain;
  for (std::size_t i = 0; i + 1 < c.size(); ++i) // not at the roof: part of it is the plug's end
    if (profile::arc_length(c[i]) * b.scale() > 10)
      for (const auto& a : aims_at(b, c[i])) aims.push_back(a);
  Note note{fmt::format("UF 1 ↔ {}", c.size() + 1), aims};
  note.frame = {"⌓", l.words("", in.profile_tolerance_mm), "A"};
  b.note(std::move(note));
}

void corner_numbers(Board& b, const SheetInput& in) {
  const auto& c = in.chamber.chain;
  for (std::size_t i = 0; i <= c.size(); ++i) {
    const Point p = b.at(i < c.size() ? c[i].start : c[i - 1].end);
    b.mark(p);
  }
  std::vector<std::size_t> order;
  for (std::size_t i = 0; i <= c.size(); ++i) order.push_back(i);
  // Crowded points first: those with a near neighbour have the fewest places.
  const auto room = [&](std::size_t i) {
    double least = 1e9;
    if (i > 0) least = std::min(least, profile::arc_length(c[i - 1]));
    if (i < c.size()) least = std::min(least, profile::arc_length(c[i]));
    return least;
  };
  std::stable_sort(order.begin(), order.end(), [&](auto p, auto q) { return room(p) < room(q); });
  for (const auto i : order) {
    std::vector<Aim> aims;
    const Point p = b.at(i < c.size() ? c[i].start : c[i - 1].end);
    for (int k = 0; k < 48; ++k) {
      const double angle = (k + 0.5) * std::numbers::pi / 24;
      aims.push_back({p, {std::cos(angle), std::sin(angle)}});
    }
    b.note({fmt::format("{}", i + 1), aims, Ending::none, true});
  }
}

/// Where the band's height is measured: G1, G2 of the table.
void gauge_points(Board& b, const SheetInput& in) {
  for (const auto& g : in.limits) {
    if (g.size != shapes::Size::band) continue;
    const Point p = b.at(g.gauge_diameter_mm / 2, g.nominal_mm);
    b.mark(p);
    b.note({fmt::format("G{}", g.index + 1), aims_round(p), Ending::none, true, {}, true});
  }
}

} // namespace

Board chamber_view(const SheetInput& in, double scale) {
  Board b(scale);
  const Lengths l(in.style.units);
  const auto box = window(in, scale);
  metal(b, in, box);
  const double bottom = piston(b, in, box);
  b.line({0, bottom - 2}, {0, box.top + 3}, Layer::centre);
  const double rows = bottom - 6;
  diameters(b, in, l, rows);
  heights(b, in, l);
  at_the_bore(b, in, l, box.right + first_row + 8);
  const double left = b.extent().left;
  b.line({0, 0}, {left - 8, 0}, Layer::extension);
  datum_sign(b, {left - 4, left - 14});
  b.finish_dimensions();
  std::vector<Aim> on_piston;
  for (const double u : {0.3, 0.2, 0.45, 0.6})
    for (const auto& a :
         aims_round(b.at(u * in.frame.bore_radius, crown_at(in, u * in.frame.bore_radius)) - Point{0, 2.5}))
      on_piston.push_back(a);
  b.note({"piston", on_piston, Ending::dot});
  corner_numbers(b, in);
  gauge_points(b, in);
  radii_and_angles(b, in, l, rows - row_pitch); // the mouth's row is under the pocket's
  profile_tolerance(b, in, l);
  b.hatch(shapes::chain_of(in.insert.outline), box);
  return b;
}

} // namespace chamber::drawing::detail
