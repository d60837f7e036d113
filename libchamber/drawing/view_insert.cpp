#include "chamber/drawing/font.hpp"
#include "chamber/drawing/views.hpp"
#include "chamber/units/tolerance.hpp"
#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <map>
#include <set>
#include <stdexcept>

namespace chamber::drawing::detail {
namespace {

constexpr double point = tolerance::point_mm;

/// Edges seen as level lines from the axis to a radius. Of two that would run together only the first is drawn: an edge
/// break too small to show is left out, the sharp edge's line is enough (ISO 128-3).
class SeenEdges {
public:
  SeenEdges(Board& board, double side) : board_(board), side_(side) {}
  void draw(double r, double z) {
    for (const double other : drawn_)
      if (std::abs(z - other) * board_.scale() < nearest) return;
    drawn_.push_back(z);
    board_.line(board_.at(0, z), board_.at(side_ * r, z), Layer::outline);
  }
  /// A line of the outline's is there already.
  void there(double z) { drawn_.push_back(z); }

private:
  /// mm between the middles of two wide lines: 0.7 mm clear (ISO 128-2, from memory), and their width.
  static constexpr double nearest = 0.7 + 0.5;
  Board& board_;
  double side_;
  std::vector<double> drawn_;
};

/// Edges of the outside seen from outside, left of the axis: its outline, and a line at every corner's height.
void outside_half(Board& b, std::span<const shapes::NamedSegment> body, double height) {
  profile::Chain silhouette;
  std::map<long long, double> edges; // height (um) -> largest radius there
  std::set<long long> flats;         // heights of faces
  for (const auto& n : body) {
    const auto& s = n.segment;
    if (n.face.starts_with("plug") || n.face == "thread chamfer") break; // from here on it is inside
    if (n.face.starts_with("face groove")) continue;
    const bool flat = std::abs(s.start.z - s.end.z) < point;
    for (const auto& p : {s.start, s.end}) {
      auto& r = edges[std::llround(p.z * 1e3)];
      r = std::max(r, p.r);
      if (flat) flats.insert(std::llround(p.z * 1e3));
    }
    const bool flat_end = flat && (s.end.z < point || s.end.z > height - point);
    if (!flat_end) silhouette.push_back(s);
  }
  b.chain(silhouette, Layer::outline, true);
  SeenEdges seen(b, -1);
  for (const bool flat : {true, false}) // where they end in the outline's own lines first
    for (const auto& [um, r] : edges)
      if (flats.contains(um) == flat) seen.draw(r, static_cast<double>(um) * 1e-3);
}

void section_half(Board& b, const SheetInput& in, std::span<const shapes::NamedSegment> body) {
  const auto shell = shapes::chain_of(body);
  b.chain(shell, Layer::outline);
  b.chain(shapes::chain_of(in.chamber), Layer::profile);
  // Edges behind the cut: sharp corners of the cavity, the seat, the top.
  const auto& c = in.chamber.chain;
  SeenEdges seen(b, 1);
  seen.there(in.insert.roof_z_mm);
  seen.draw(c[0].start.r, 0);
  const double height = in.insert.height_mm, seat = in.insert.seat_z_mm;
  const double hole = in.insert.hole_radius_mm + in.plug.thread_chamfer_mm;
  const double mouth = seat < height - point ? in.plug.seat_diameter_mm / 2 : hole;
  seen.draw(mouth, height);
  if (seat < height - point) seen.draw(hole, seat);
  if (in.plug.thread_chamfer_mm > 0) seen.draw(in.insert.hole_radius_mm, seat - in.plug.thread_chamfer_mm);
  for (std::size_t i = 0; i + 2 < c.size(); ++i) {
    const auto d = profile::direction_at(c[i], 1), e = profile::direction_at(c[i + 1], 0);
    if (std::abs(profile::cross(d, e)) > 0.02) seen.draw(c[i].end.r, c[i].end.z);
  }
  if (in.plug.major_mm > 0)
    b.line(b.at(in.plug.major_mm / 2, in.insert.roof_z_mm),
           b.at(in.plug.major_mm / 2, seat - std::max(0.0, hole - in.plug.major_mm / 2)), Layer::thread);
}

struct DiameterRow {
  double r, z;
  bool half;
  const shapes::Limits* limits = nullptr;
};

/// Diameters in rows under and over the view: each where its edge is seen without crossing a wider step.
void diameters(Board& b, const SheetInput& in, const Lengths& l) {
  std::vector<DiameterRow> under, over;
  const auto limits = [&](shapes::Size size, std::size_t i = 0) { return shapes::find(in.limits, size, i); };
  under.push_back({in.chamber.chain[0].start.r, 0, true, limits(shapes::Size::rim)});
  for (std::size_t i = 0; i < in.body.face_grooves.size(); ++i)
    under.push_back(
        {in.body.face_grooves[i].inner_diameter_mm / 2, 0, true, limits(shapes::Size::face_groove_inner, i)});
  const auto& steps = in.body.steps;
  double z = 0;
  for (std::size_t i = 0; i < steps.size(); ++i) {
    const auto narrower = [&](const shapes::Step& s) { return s.diameter_mm < steps[i].diameter_mm; };
    const bool from_top = std::all_of(steps.begin() + static_cast<long>(i) + 1, steps.end(), narrower);
    const bool from_below = std::all_of(steps.begin(), steps.begin() + static_cast<long>(i), narrower);
    const bool first = i == 0 || steps[i].diameter_mm > steps[i - 1].diameter_mm;
    const double middle = z + steps[i].length_mm / 2;
    if (from_below && (first || !from_top))
      under.push_back({steps[i].diameter_mm / 2, std::min(middle, z + in.body.edge_break_mm), false,
                       limits(shapes::Size::step_diameter, i)});
    else
      over.push_back({steps[i].diameter_mm / 2, std::max(middle, z + steps[i].length_mm - in.body.edge_break_mm), false,
                      limits(shapes::Size::step_diameter, i)});
    z += steps[i].length_mm;
  }
  if (in.insert.seat_z_mm < in.insert.height_mm - point)
    over.push_back({in.plug.seat_diameter_mm / 2, in.insert.height_mm, true});
  const auto by_size = [](const DiameterRow& a, const DiameterRow& c) { return a.r < c.r; };
  std::sort(under.begin(), under.end(), by_size);
  std::sort(over.begin(), over.end(), by_size);
  const auto row = [&](const DiameterRow& d, double y) {
    const auto label = l.label("⌀", 2 * d.r, d.limits);
    if (d.half)
      b.half_diameter(y, b.at(d.r, d.z), label);
    else
      b.level(y, b.at(-d.r, d.z), b.at(d.r, d.z), label);
  };
  double y = -first_row;
  for (const auto& d : under) row(d, y), y -= row_pitch;
  y = in.insert.height_mm * b.scale() + first_row;
  for (const auto& d : over) row(d, y), y += row_pitch;
}

/// Heights: grooves from the face, the steps end to end, the whole; on the section's side the depth of the plug seat.
void heights(Board& b, const SheetInput& in, const Lengths& l) {
  double widest = 0;
  for (const auto& s : in.body.steps) widest = std::max(widest, s.diameter_mm / 2);
  double x = -widest * b.scale() - first_row - 2;
  const auto column = [&] {
    const double now = x;
    x -= column_pitch(l);
    return now;
  };
  const double face_r = in.body.steps[0].diameter_mm / 2 - in.body.edge_break_mm;
  const Point face = b.at(-face_r, 0);
  const auto radius_at = [&](double at) {
    double z = 0;
    for (const auto& s : in.body.steps) {
      if (at < z + s.length_mm) return s.diameter_mm / 2;
      z += s.length_mm;
    }
    return in.body.steps.back().diameter_mm / 2;
  };
  const auto limits = [&](shapes::Size size, std::size_t i = 0) { return shapes::find(in.limits, size, i); };
  for (std::size_t i = 0; i < in.body.radial_grooves.size(); ++i) {
    const double z = in.body.radial_grooves[i].from_face_mm;
    b.upright(column(), face, b.at(-radius_at(z), z), l.label("", z, limits(shapes::Size::radial_groove_from_face, i)));
  }
  const auto& steps = in.body.steps;
  if (steps.size() > 1) {
    std::vector<Point> features{face};
    std::vector<Label> labels;
    double z = 0;
    for (std::size_t i = 0; i < steps.size(); ++i) {
      z += steps[i].length_mm;
      const double r = i + 1 < steps.size() ? std::max(steps[i].diameter_mm, steps[i + 1].diameter_mm) / 2
                                            : steps[i].diameter_mm / 2;
      features.push_back(b.at(-(r - in.body.edge_break_mm), z));
      auto label = l.label("", steps[i].length_mm, limits(shapes::Size::step_length, i));
      // The chain is closed by the whole height: its last member is only for reference (ISO 129-1).
      if (i + 1 == steps.size()) label.over = "(" + label.over + ")";
      labels.push_back(label);
    }
    b.upright_chain(column(), features, labels);
  }
  b.upright(column(), face, b.at(-(steps.back().diameter_mm / 2 - in.body.edge_break_mm), in.insert.height_mm),
            l.label("", in.insert.height_mm, limits(shapes::Size::height)));
  if (in.insert.seat_z_mm < in.insert.height_mm - point)
    b.upright(steps.back().diameter_mm / 2 * b.scale() + first_row + (l.both() ? 3 : 0),
              b.at(in.plug.seat_diameter_mm / 2, in.insert.seat_z_mm),
              b.at(steps.back().diameter_mm / 2 - in.body.edge_break_mm, in.insert.height_mm),
              l.label("", in.insert.height_mm - in.insert.seat_z_mm, limits(shapes::Size::seat_below_top)));
}

std::string ring_of(const std::vector<std::string>& rings, std::size_t i) {
  return i < rings.size() ? rings[i] : std::string();
}

/// With a ring there are limits to be said: the second size goes under the line.
void groove_note(Board& b, const std::string& width, const std::string& depth, const std::string& ring,
                 std::vector<Aim> aims) {
  if (ring.empty())
    b.note({fmt::format("{}, {}", width, depth), std::move(aims), Ending::arrow, false});
  else
    b.note({width, std::move(aims), Ending::arrow, false, fmt::format("{}, {}", depth, ring)});
}

void notes(Board& b, const SheetInput& in, const Lengths& l, std::span<const shapes::NamedSegment> body) {
  const double h = in.insert.hole_radius_mm;
  std::vector<Aim> thread;
  for (const double u : {0.75, 0.6, 0.45, 0.3})
    for (const auto& a : aims_round(b.at(in.plug.major_mm > 0 ? in.plug.major_mm / 2 : h,
                                         in.insert.roof_z_mm + u * (in.insert.seat_z_mm - in.insert.roof_z_mm))))
      if (a.direction.x > 0.2) thread.push_back(a);
  b.note({thread_words(in.plug.thread) + " – 6H", thread});
  for (std::size_t i = 0; i < in.body.radial_grooves.size(); ++i) {
    const auto& g = in.body.radial_grooves[i];
    double z = 0, r = 0;
    for (const auto& s : in.body.steps) {
      if (g.from_face_mm >= z) r = s.diameter_mm / 2;
      z += s.length_mm;
    }
    std::vector<Aim> aims;
    for (const auto& a : aims_round(b.at(r - g.depth_mm, g.from_face_mm + g.width_mm / 2)))
      if (a.direction.x > 0.1) aims.push_back(a);
    groove_note(b, l.words("", g.width_mm, shapes::find(in.limits, shapes::Size::radial_groove_width, i)) + " wide",
                l.words("⌀", 2 * (r - g.depth_mm), shapes::find(in.limits, shapes::Size::radial_groove_floor, i)),
                ring_of(in.radial_rings, i), std::move(aims));
  }
  for (std::size_t i = 0; i < in.body.face_grooves.size(); ++i) {
    const auto& g = in.body.face_grooves[i];
    std::vector<Aim> aims;
    for (const auto& a : aims_round(b.at(g.inner_diameter_mm / 2 + g.width_mm / 2, g.depth_mm)))
      if (a.direction.x > 0.1) aims.push_back(a);
    groove_note(b, l.words("", g.width_mm, shapes::find(in.limits, shapes::Size::face_groove_width, i)) + " wide",
                l.words("", g.depth_mm, shapes::find(in.limits, shapes::Size::face_groove_depth, i)) + " deep",
                ring_of(in.face_rings, i), std::move(aims));
  }
  if (in.body.edge_break_mm > 0) {
    std::vector<Aim> aims;
    for (const auto& n : body)
      if (n.face == "edge break")
        for (const auto& a : aims_round(b.at(profile::point_at(n.segment, 0.5))))
          if (a.direction.x > 0.2) aims.push_back(a);
    if (!aims.empty()) b.note({l.words("", in.body.edge_break_mm) + " × 45°", aims});
  }
}

} // namespace

std::vector<shapes::NamedSegment> body_of(const shapes::Insert& insert, const shapes::Chamber<double>&) {
  std::vector<shapes::NamedSegment> out;
  for (const auto& n : insert.outline) {
    out.push_back(n);
    if (n.face == "plug hole") break;
  }
  return out;
}

void surface_sign(Picture& p, Point at, std::string_view words) { // 60 degree legs, heights 3.5 and 7.5 mm
  const auto k = pen(Layer::symbol);
  const double slope = std::tan(std::numbers::pi / 6);
  const Point left = at + Point{-3.5 * slope, 3.5}, right = at + Point{7.5 * slope, 7.5};
  p.add(Line{at, left, k});
  p.add(Line{at, right, k});
  p.add(Line{left, at + Point{3.5 * slope, 3.5}, k});
  p.add(Line{right, right + Point{measure(words, word_height).width + 2, 0}, k});
  p.add(Text{right + Point{1, -1.0 - word_height}, std::string(words), word_height, Align::left, 0, Layer::symbol,
             black});
}

void datum_sign(Board& b, std::initializer_list<double> places) {
  for (const double x : places) {
    const Point at{x, 0}, box = at + Point{-2.5, -9.5};
    if (!b.box_free({box.x, box.y, box.x + 5, -0.8})) continue;
    b.picture.add(Area{{at, at + Point{-1.5, -2.6}, at + Point{1.5, -2.6}}, black, Layer::symbol});
    b.line(at + Point{0, -2.6}, at + Point{0, -4.5}, Layer::symbol);
    for (const auto& [p, q] : {std::pair{Point{0, 0}, Point{5, 0}},
                               {Point{5, 0}, Point{5, 5}},
                               {Point{5, 5}, Point{0, 5}},
                               {Point{0, 5}, Point{0, 0}}})
      b.line(box + p, box + q, Layer::symbol);
    b.words({box + Point{2.5, 1.25}, "A", word_height, Align::centre, 0, Layer::symbol, black});
    return;
  }
  throw std::logic_error("drawing: no place for the datum");
}

Board insert_view(const SheetInput& in, double scale) {
  Board b(scale);
  const Lengths l(in.style.units);
  const auto body = body_of(in.insert, in.chamber);
  outside_half(b, body, in.insert.height_mm);
  section_half(b, in, body);
  b.line({0, -4}, {0, in.insert.height_mm * scale + 4}, Layer::centre);
  diameters(b, in, l);
  heights(b, in, l);
  double widest = 0;
  for (const auto& s : in.body.steps) widest = std::max(widest, s.diameter_mm / 2);
  const double face_r = in.body.steps[0].diameter_mm / 2 - in.body.edge_break_mm;
  const double side = widest * scale + 7;
  b.line(b.at(face_r, 0) + Point{1, 0}, {side + 4, 0}, Layer::extension);
  datum_sign(b, {side, -side});
  b.finish_dimensions();
  b.set_metal(shapes::chain_of(in.insert.outline));
  notes(b, in, l, body);
  if (in.plug.thread_chamfer_mm > 0) {
    std::vector<Aim> aims;
    for (const auto& n : body)
      if (n.face == "thread chamfer")
        for (const auto& a : aims_round(b.at(profile::point_at(n.segment, 0.5))))
          if (a.direction.x < 0.9) aims.push_back(a);
    b.note({l.words("", in.plug.thread_chamfer_mm) + " × 45°", aims});
  }
  b.hatch(shapes::chain_of(in.insert.outline), {0, -1, widest * scale + 1, in.insert.height_mm * scale + 1});
  return b;
}

} // namespace chamber::drawing::detail
