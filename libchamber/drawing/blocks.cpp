#include "chamber/drawing/blocks.hpp"
#include "chamber/drawing/font.hpp"
#include "chamber/drawing/views.hpp"
#include "chamber/engine/crank.hpp"
#include "chamber/units/quantity.hpp"
#include "chamber/units/tolerance.hpp"
#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace chamber::drawing::detail {
namespace {

constexpr double row_height = 4.2, small = 1.8;

struct Cell {
  std::string words;
  Align align = Align::left;
};

void write(Picture& p, Point at, std::string_view words, double height = word_height, Align align = Align::left) {
  p.add(Text{at, std::string(words), height, align, 0, Layer::words, black});
}
void rule(Picture& p, Point a, Point b, double width = 0.25) {
  auto k = pen(Layer::frame);
  k.width_mm = width;
  p.add(Line{a, b, k});
}
void box(Picture& p, const Box& b, double width) {
  rule(p, {b.left, b.bottom}, {b.right, b.bottom}, width);
  rule(p, {b.right, b.bottom}, {b.right, b.top}, width);
  rule(p, {b.right, b.top}, {b.left, b.top}, width);
  rule(p, {b.left, b.top}, {b.left, b.bottom}, width);
}

/// A table as wide as its words need, the heading over it; with_head: the first row names the columns.
Picture table(std::string_view heading, const std::vector<std::vector<Cell>>& rows, bool with_head) {
  Picture p;
  std::vector<double> widths(rows[0].size(), 0);
  for (const auto& r : rows)
    for (std::size_t i = 0; i < r.size(); ++i)
      widths[i] = std::max(widths[i], measure(r[i].words, word_height).width + 3);
  double total = 0;
  for (const double w : widths) total += w;
  const double top = row_height * static_cast<double>(rows.size());
  double y = top;
  for (std::size_t k = 0; k < rows.size(); ++k) {
    double x = 0;
    y -= row_height;
    for (std::size_t i = 0; i < rows[k].size(); ++i) {
      const auto& c = rows[k][i];
      write(p,
            {c.align == Align::right    ? x + widths[i] - 1.5
             : c.align == Align::centre ? x + widths[i] / 2
                                        : x + 1.5,
             y + 0.9},
            c.words, word_height, c.align);
      x += widths[i];
    }
    rule(p, {0, y}, {total, y}, (with_head && k == 0) || k + 1 == rows.size() ? 0.5 : 0.18);
  }
  double x = 0;
  for (const double w : widths) rule(p, {x, 0}, {x, top}, x == 0 ? 0.5 : 0.18), x += w;
  rule(p, {total, 0}, {total, top}, 0.5);
  rule(p, {0, top}, {total, top}, 0.5);
  write(p, {0, top + 1.5}, heading, word_height);
  return p;
}

/// Breaks words into lines no wider than `width`.
std::vector<std::string> wrapped(std::string_view words, double width, double height) {
  std::vector<std::string> lines{""};
  for (std::size_t i = 0; i < words.size();) {
    const auto end = std::min(words.find(' ', i), words.size());
    const auto word = words.substr(i, end - i);
    auto longer = lines.back().empty() ? std::string(word) : fmt::format("{} {}", lines.back(), word);
    if (!lines.back().empty() && measure(longer, height).width > width)
      lines.emplace_back(word);
    else
      lines.back() = std::move(longer);
    i = end + 1;
  }
  return lines;
}

/// As much of the words as fits, the rest shown by an ellipsis.
std::string fitting(std::string words, double width, double height) {
  words = printable(words);
  if (measure(words, height).width <= width) return words;
  while (!words.empty() && measure(words + "...", height).width > width) {
    while (!words.empty() && (static_cast<unsigned char>(words.back()) & 0xC0) == 0x80) words.pop_back();
    if (!words.empty()) words.pop_back();
  }
  return words + "...";
}

/// ISO 5456-2: frustum and circles, 12 mm wide.
void projection_symbol(Picture& p, Point at, Projection projection) {
  const bool first = projection == Projection::first_angle;
  const auto k = pen(Layer::symbol);
  auto axis = pen(Layer::centre);
  axis.width_mm = 0.13;
  const Point cone = at + Point{first ? 0.0 : 8.0, 0}, circles = at + Point{first ? 10.5 : 2.5, 0};
  const Point corners[] = {cone + Point{0, 1}, cone + Point{5, 2}, cone + Point{5, -2}, cone + Point{0, -1}};
  for (std::size_t i = 0; i < 4; ++i) p.add(Line{corners[i], corners[(i + 1) % 4], k});
  p.add(Arc{circles, 2, 0, 2 * std::numbers::pi, k});
  p.add(Arc{circles, 1, 0, 2 * std::numbers::pi, k});
  p.add(Line{cone + Point{-1, 0}, cone + Point{6, 0}, axis});
  p.add(Line{circles + Point{-3, 0}, circles + Point{3, 0}, axis});
  p.add(Line{circles + Point{0, -3}, circles + Point{0, 3}, axis});
}

void field(Picture& p, const Box& b, std::string_view caption, const std::string& value, double height = 3.0) {
  write(p, {b.left + 1.2, b.top - 2.8}, caption, 1.8);
  for (const double smaller : {3.5, 3.0, 2.5})
    if (smaller < height && measure(printable(value), height).width > b.width() - 2.4) height = smaller;
  const auto words = fitting(value, b.width() - 2.4, height);
  const double below = measure(words, height).below; // letters that reach down stay clear of the cell's line
  write(p, {b.left + 1.2, b.bottom + std::max(1.4, below + 0.6)}, words, height);
}

/// A length to be measured on the print, and one of the part's.
void rulers(Picture& p, Point at, double scale, const Lengths& l) {
  const double side = l.inch() ? 50.8 : 50;
  const auto ruler = [&](Point from, double length, int parts) {
    rule(p, from, from + Point{length, 0}, 0.5);
    for (int i = 0; i <= parts; ++i) {
      const double x = length * i / parts;
      const double tick = i == 0 || i == parts ? 2.0 : 1.2;
      rule(p, from + Point{x, 0}, from + Point{x, tick}, 0.25);
    }
  };
  ruler(at + Point{0, 13}, side, l.inch() ? 2 : 5);
  write(p, at + Point{0, 16.6},
        l.inch() ? "This line is 2 in: measure it on the print." : "This line is 50 mm: measure it on the print.",
        small);
  // The part's own length that is nearest below the same line, in a round number.
  const double unit = l.inch() ? units::mm_per_inch : 1;
  double part = 1;
  for (const double v : {0.1, 0.2, 0.25, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0})
    if (v * unit * scale <= 50.81) part = v;
  ruler(at + Point{0, 3}, part * unit * scale, 5);
  write(p, at + Point{0, 6.6},
        fmt::format("Scale {}: this line is {:g} {} of the part.", scale_words(scale), part, l.unit()), small);
}

} // namespace

Picture corner_table(const SheetInput& in) {
  const Lengths l(in.style.units);
  const auto& c = in.chamber.chain;
  std::vector<std::vector<Cell>> rows{{{"No.", Align::centre},
                                       {fmt::format("⌀ {}", l.unit()), Align::right},
                                       {fmt::format("z {}", l.unit()), Align::right},
                                       {"to the next", Align::left}}};
  if (l.both()) rows[0].insert(rows[0].end() - 1, {{"⌀ in", Align::right}, {"z in", Align::right}});
  for (std::size_t i = 0; i <= c.size(); ++i) {
    const auto& p = i < c.size() ? c[i].start : c[i - 1].end;
    const auto near = [](double v) { return std::abs(v) < 5e-5 ? 0.0 : v; };
    std::vector<Cell> row{{fmt::format("{}", i + 1), Align::centre},
                          {l.column(near(2 * p.r)), Align::right},
                          {l.column(near(p.z)), Align::right}};
    if (l.both()) {
      row.push_back({units::fixed(2 * p.r / units::mm_per_inch, 4), Align::right});
      row.push_back({units::fixed(near(p.z) / units::mm_per_inch, 4), Align::right});
    }
    std::string next = i == c.size() ? "–" : "line";
    if (i < c.size() && c[i].is_arc())
      next = fmt::format("R {} {}", l.column(c[i].radius), c[i].kind == profile::Kind::ccw ? "hollow" : "round");
    const auto role = i < c.size() ? in.chamber.roles[i] : shapes::Role::pocket_roof;
    if (next == "line" && role == shapes::Role::band && std::abs(in.dimensions.squish_angle_deg) > 0.005)
      next += " " + degrees_words(in.dimensions.squish_angle_deg) + " to A";
    if (next == "line" && role == shapes::Role::bowl_wall && in.frame.draft_deg > 0.005)
      next += " " + degrees_words(in.frame.draft_deg) + " to axis";
    row.push_back({next, Align::left});
    rows.push_back(std::move(row));
  }
  for (const auto& g : in.limits)
    if (g.size == shapes::Size::band) {
      std::vector<Cell> row{{fmt::format("G{}", g.index + 1), Align::centre},
                            {l.column(g.gauge_diameter_mm), Align::right},
                            {l.column(g.nominal_mm), Align::right}};
      if (l.both()) {
        row.push_back({units::fixed(g.gauge_diameter_mm / units::mm_per_inch, 4), Align::right});
        row.push_back({units::fixed(g.nominal_mm / units::mm_per_inch, 4), Align::right});
      }
      row.push_back({g.grounds == shapes::Grounds::profile ? "band" : "band " + l.deviations(g), Align::left});
      rows.push_back(std::move(row));
    }
  return table("Chamber profile: corner points", rows, true);
}

Picture volume_table(const SheetInput& in) {
  const auto& b = in.budget;
  const auto cc = [](double v) { return units::fixed(v, 2) + " cc"; };
  std::vector<std::vector<Cell>> rows;
  const auto row = [&](std::string_view what, const std::string& value) {
    rows.push_back({{std::string(what), Align::left}, {value, Align::right}});
  };
  row("Head volume, plug fitted", cc(in.head_cc));
  if (b.gasket_cc() != 0) row("+ gasket", cc(b.gasket_cc()));
  row(b.deck_cc() < 0 ? "– piston over the deck" : "+ deck", cc(std::abs(b.deck_cc())));
  if (b.crown.volume_cc != 0) row(b.crown.volume_cc > 0 ? "– crown" : "+ dish", cc(std::abs(b.crown.volume_cc)));
  const double clearance = b.clearance_from_head_cc(in.head_cc);
  row("Clearance volume", cc(clearance));
  if (in.trapped_swept_cc > 0)
    row("Trapped ratio", units::fixed(engine::compression_ratio(in.trapped_swept_cc, clearance), 2) + ":1");
  if (in.swept_cc > 0)
    row("Full-stroke ratio", units::fixed(engine::compression_ratio(in.swept_cc, clearance), 2) + ":1");
  const double mouth = in.chamber.mouth.r, bore = b.bore_mm / 2;
  row("Squish area", units::fixed(100 * (1 - mouth * mouth / (bore * bore)), 1) + " %");
  return table("Volumes, piston at top dead centre", rows, false);
}

Picture notes_block(const SheetInput& in, int page) {
  const Lengths l(in.style.units);
  std::vector<std::string> notes;
  notes.push_back(l.inch() ? "Dimensions in inches." : l.both() ? "Dimensions in mm, [inches]." : "Dimensions in mm.");
  if (page == 1) {
    notes.push_back("General tolerances ISO 2768-m.");
    if (in.body.edge_break_mm > 0)
      notes.push_back(fmt::format("Outside edges broken {} × 45°; rim of the chamber sharp, burr-free.",
                                  l.words("", in.body.edge_break_mm)));
    else
      notes.push_back("Edges sharp, burr-free.");
    if (in.inner_corner_mm > 0)
      notes.push_back(fmt::format("Inner corners {} max, outside the chamber.", l.words("R", in.inner_corner_mm)));
    notes.push_back("Chamber: see sheet 2.");
    notes.push_back("Plug end flush with the pocket roof.");
  } else {
    notes.push_back("Heights from the sealing face (A), into the insert.");
    if (in.profile_tolerance_mm > 0)
      notes.emplace_back("ISO 2768 does not apply to the chamber's profile: see the tolerance frame (ISO 1101).");
    notes.push_back(
        in.volume_tolerance_cc > 0
            ? fmt::format("The volume decides: fill to A with the plug fitted, {} ± {} cc.",
                          units::fixed(in.head_cc, 2), units::fixed(in.volume_tolerance_cc, 2))
            : fmt::format("The volume decides: fill to A with the plug fitted, {} cc.", units::fixed(in.head_cc, 2)));
    notes.push_back("Piston and bore are neighbouring parts, drawn at top dead centre to scale.");
  }
  if (page == 1) notes.insert(notes.end(), in.notes.begin(), in.notes.end());
  Picture p;
  constexpr double pitch = 4.0, width = 74;
  double y = 0;
  for (const auto& n : notes)
    for (const auto& line : wrapped(printable(n), width, word_height)) write(p, {0, y}, line), y -= pitch;
  Picture moved;
  moved.append(p, {0, -y - pitch + 1});
  return moved;
}

Picture title_block(const SheetInput& in, int page, int pages, double scale, std::string_view what) {
  const Lengths l(in.style.units);
  Picture p;
  constexpr double left = 60, middle = 123, w = title_width, h = title_height;
  box(p, {0, 0, w, h}, 0.5);
  rule(p, {left, 0}, {left, h});
  rule(p, {middle, 0}, {middle, h});
  rulers(p, {3, 9}, scale, l);
  write(p, {3, h - 4.2}, "Print at 100 %.", small);
  projection_symbol(p, {4, 5}, in.style.projection);
  write(p, {20, 4},
        in.style.projection == Projection::first_angle ? "First-angle projection" : "Third-angle projection", small);
  field(p, {left, 26, middle, h}, "Job", in.job, 4.5);
  rule(p, {left, 26}, {middle, 26});
  field(p, {left, 17.4, middle, 26}, "Title", std::string(what));
  rule(p, {left, 17.4}, {middle, 17.4});
  field(p, {left, 8.7, middle, 17.4}, "Customer", in.customer.empty() ? "–" : in.customer);
  rule(p, {left, 8.7}, {middle, 8.7});
  field(p, {left, 0, middle, 8.7}, "Material", in.material.empty() ? "–" : in.material);
  const double a = middle, b = middle + 20, c = middle + 39;
  field(p, {a, 31.3, b, h}, "Revision", in.revision.empty() ? "–" : in.revision);
  field(p, {b, 31.3, c, h}, "Sheet", fmt::format("{} / {}", page, pages));
  field(p, {c, 31.3, w, h}, "Paper", in.style.paper == Paper::a4 ? "A4" : "Letter");
  field(p, {a, 22.6, b, 31.3}, "Scale", scale_words(scale));
  field(p, {b, 22.6, c, 31.3}, "Tolerances", "2768-m");
  field(p, {c, 22.6, w, 31.3}, "Unit", l.both() ? "mm [in]" : std::string(l.unit()));
  if (in.roughness_um > 0) surface_sign(p, {a + 5, 12}, roughness_words(in.roughness_um, l.inch()));
  write(p, {b + 10, 19.2}, "Drawn", 1.8);
  write(p, {b + 10, 13.2}, "Checked", 1.8);
  rule(p, {b + 22, 18.6}, {w - 2, 18.6}, 0.13);
  rule(p, {b + 22, 12.6}, {w - 2, 12.6}, 0.13);
  const double date = w - 22.5;
  field(p, {a, 0, date, 8.7}, "Fingerprint of the spec", in.spec_hash.empty() ? "–" : in.spec_hash, 2.5);
  field(p, {date, 0, w, 8.7}, "Date", in.date, 2.5);
  rule(p, {date, 0}, {date, 8.7});
  for (const double y : {8.7, 22.6, 31.3}) rule(p, {middle, y}, {w, y});
  for (const double x : {b, c}) rule(p, {x, 22.6}, {x, h});
  return p;
}

} // namespace chamber::drawing::detail
