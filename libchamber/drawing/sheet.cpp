#include "chamber/drawing/sheet.hpp"
#include "chamber/drawing/blocks.hpp"
#include "chamber/drawing/font.hpp"
#include "chamber/drawing/views.hpp"
#include "chamber/units/quantity.hpp"
#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <optional>

namespace chamber::drawing {
namespace {

using detail::Board;
constexpr double scales[] = {5, 4, 3, 2, 1, 0.5, 0.2}; // ISO 5455, and two between to use the paper
constexpr double gap = 7;                              ///< mm between blocks on the sheet

struct PaperSize {
  double width, height;
  Box frame() const { return {20, frame_margin_mm, width - frame_margin_mm, height - frame_margin_mm}; }
};

PaperSize format_of(Paper paper, bool upright) {
  const auto [a, b] = paper == Paper::a4 ? std::pair{210.0, 297.0} : std::pair{215.9, 279.4};
  return upright ? PaperSize{a, b} : PaperSize{b, a};
}

struct Placed {
  Picture picture;
  Point by;
};

/// View and blocks inside the room over the title block; empty if they do not fit. The last block goes left of the
/// title block where there is room.
std::optional<std::vector<Placed>> arrange(const Picture& view, std::vector<Picture> blocks, const PaperSize& f,
                                           bool beside) {
  const Box frame = f.frame(), v = box_of(view);
  std::optional<Placed> corner;
  if (const Box b = box_of(blocks.back());
      b.width() + gap < frame.width() - detail::title_width && b.height() < detail::title_height + 2) {
    corner = Placed{blocks.back(), {frame.left + 4 - b.left, frame.bottom + detail::title_height - b.top}};
    blocks.pop_back();
  }
  std::vector<Box> boxes;
  for (const auto& b : blocks) boxes.push_back(box_of(b));
  // Room: over the title block, the frame's whole width.
  const Box room{frame.left + 3, frame.bottom + detail::title_height + 3, frame.right - 3, frame.top - 3};
  std::vector<Placed> out;
  double block_width = 0, block_height = 0;
  if (corner) out.push_back(*corner);
  if (blocks.empty()) {
    if (v.width() > room.width() || v.height() > room.height()) return std::nullopt;
    out.push_back({view,
                   {(room.left + room.right) / 2 - (v.left + v.right) / 2,
                    (room.bottom + room.top) / 2 - (v.bottom + v.top) / 2}});
    std::swap(out.front(), out.back());
    return out;
  }
  if (beside) { // blocks in a column at the right
    for (const auto& b : boxes) block_width = std::max(block_width, b.width()), block_height += b.height() + gap;
    block_height -= gap;
    if (v.width() + gap + block_width > room.width() || std::max(v.height(), block_height) > room.height())
      return std::nullopt;
    const double spare = room.width() - v.width() - gap - block_width;
    out.push_back({view, {room.left + spare / 2 - v.left, room.top - (room.height() - v.height()) / 2 - v.top}});
    double y = room.top;
    for (std::size_t i = 0; i < blocks.size(); ++i) {
      out.push_back({blocks[i], {room.right - block_width - boxes[i].left, y - boxes[i].top}});
      y -= boxes[i].height() + gap;
    }
    if (corner) std::swap(out[0], out[1]);
    return out;
  }
  // Rows under the view, as many blocks in each as go.
  std::vector<std::vector<std::size_t>> rows;
  for (std::size_t i = 0; i < blocks.size(); ++i) {
    if (boxes[i].width() > room.width()) return std::nullopt;
    if (rows.empty() || block_width + gap + boxes[i].width() > room.width()) rows.emplace_back(), block_width = -gap;
    rows.back().push_back(i);
    block_width += gap + boxes[i].width();
  }
  const auto height_of = [&](const std::vector<std::size_t>& row) {
    double h = 0;
    for (const auto i : row) h = std::max(h, boxes[i].height());
    return h;
  };
  for (const auto& row : rows) block_height += gap + height_of(row);
  if (v.width() > room.width() || v.height() + block_height > room.height()) return std::nullopt;
  const double spare = room.height() - v.height() - block_height;
  out.push_back({view, {room.left + (room.width() - v.width()) / 2 - v.left, room.top - spare / 2 - v.top}});
  double y = room.bottom + block_height;
  for (const auto& row : rows) {
    y -= gap;
    double x = room.left;
    for (const auto i : row) {
      out.push_back({blocks[i], {x - boxes[i].left, y - boxes[i].top}});
      x += boxes[i].width() + gap;
    }
    y -= height_of(row);
  }
  if (corner) std::swap(out[0], out[1]);
  return out;
}

struct Page {
  Picture picture;
  Picture view;
  Point origin; ///< of the view's model on the sheet
  double scale = 1;
};

Picture with_heading(const Board& board, const std::string& words) {
  Picture p = board.picture;
  const Box b = box_of(p);
  p.add(Text{{b.left, b.top + 5}, words, 3.5, Align::left, 0, Layer::words, black});
  return p;
}

bool fits_anywhere(const Picture& view, const std::vector<Picture>& blocks, Paper paper) {
  for (const bool beside : {true, false})
    for (const bool upright : {false, true})
      if (arrange(view, blocks, format_of(paper, upright), beside)) return true;
  return false;
}

template <class MakeView>
Result<Page> page(const SheetInput& in, int number, const std::string& title, const std::string& heading,
                  const std::vector<Picture>& blocks, MakeView make_view, double largest) {
  std::string lost;
  for (const double scale : scales)
    for (const Point thrift : {Point{1, 1}, Point{1, 8}, Point{8, 8}}) { // rather a poor place than all drawn smaller
      if (scale > largest) continue;
      Board board = make_view(in, scale);
      // Notes only make it larger, and take most of the time.
      if (!fits_anywhere(board.picture, blocks, in.style.paper)) break;
      board.thrift = thrift;
      board.finish();
      if (!board.ok()) {
        lost = board.failed;
        continue;
      }
      const auto view = with_heading(board, fmt::format("{}, {}", heading, detail::scale_words(scale)));
      for (const bool beside : {true, false})
        for (const bool upright : {false, true}) {
          const auto f = format_of(in.style.paper, upright);
          const auto placed = arrange(view, blocks, f, beside);
          if (!placed) continue;
          Page out{{fmt::format("{} – {}", in.job, title), f.width, f.height, {}}, view, (*placed)[0].by, scale};
          const Box frame = f.frame();
          auto k = pen(Layer::frame);
          k.width_mm = 0.7;
          out.picture.add(Polyline{{{{frame.left, frame.bottom}, 0},
                                    {{frame.right, frame.bottom}, 0},
                                    {{frame.right, frame.top}, 0},
                                    {{frame.left, frame.top}, 0}},
                                   true,
                                   k});
          for (const auto& p : *placed) out.picture.append(p.picture, p.by);
          out.picture.append(detail::title_block(in, number, 2, scale, title),
                             {frame.right - detail::title_width, frame.bottom});
          return out;
        }
    }
  if (!lost.empty())
    return fail(fmt::format("the drawing has no free place for \"{}\" ({}).", lost, title),
                "leave the drawing out, or draw on the other paper or in one unit.");
  return fail(fmt::format("the drawing does not go on the paper at any scale ({}).", title),
              "leave the drawing out, or draw on the other paper or in one unit.");
}

} // namespace

double ra_of_turned_um(double height_um) {
  return height_um * 4 / (9 * std::sqrt(3.0));
}

PreferredRa preferred_ra(double ra_um) {
  static constexpr PreferredRa series[] = {{0.025, 1}, {0.05, 2},  {0.1, 4},   {0.2, 8},    {0.4, 16},  {0.8, 32},
                                           {1.6, 63},  {3.2, 125}, {6.3, 250}, {12.5, 500}, {25, 1000}, {50, 2000}};
  constexpr double reckoned = 1.05; // ideal cusps are known no better
  for (const auto& step : series)
    if (ra_um <= step.um * reckoned) return step;
  return series[std::size(series) - 1];
}

std::string roughness_words(double height_um, bool inch) {
  const auto ra = preferred_ra(ra_of_turned_um(height_um));
  return inch ? fmt::format("Ra {:g} µin", ra.uin) : fmt::format("Ra {:g} µm", ra.um);
}

Result<Sheet> insert_sheet(const SheetInput& in) {
  if (auto ok = font_ready(); !ok) return tl::unexpected(ok.error());
  if (in.chamber.chain.size() == 0 || in.insert.outline.empty() || in.body.steps.empty())
    throw std::logic_error("drawing: insert_sheet without an insert");
  auto first = page(in, 1, "Head insert", "Insert, half-section", {detail::notes_block(in, 1)}, detail::insert_view, 2);
  if (!first) return tl::unexpected(first.error());
  auto second =
      page(in, 2, "Combustion chamber", "Chamber and piston at top dead centre",
           {detail::corner_table(in), detail::volume_table(in), detail::notes_block(in, 2)}, detail::chamber_view, 5);
  if (!second) return tl::unexpected(second.error());
  Sheet sheet;
  sheet.scales = {first->scale, second->scale};
  sheet.model = {first->origin, first->scale};
  sheet.insert_view = std::move(first->view);
  sheet.chamber_view = std::move(second->view);
  sheet.pages = {std::move(first->picture), std::move(second->picture)};
  for (auto* view : {&sheet.insert_view, &sheet.chamber_view}) {
    const Box b = grown(box_of(*view), 2);
    Picture moved{view->title, b.width(), b.height(), {}};
    moved.append(*view, {-b.left, -b.bottom});
    *view = std::move(moved);
  }
  return sheet;
}

Picture side_by_side(const Sheet& sheet) {
  Picture all = sheet.pages.at(0);
  for (std::size_t i = 1; i < sheet.pages.size(); ++i) {
    all.append(sheet.pages[i], {all.width_mm + 10, 0});
    all.width_mm += 10 + sheet.pages[i].width_mm;
    all.height_mm = std::max(all.height_mm, sheet.pages[i].height_mm);
  }
  return all;
}

Result<std::vector<std::filesystem::path>> draw_insert(const SheetInput& in, std::span<const Target> targets,
                                                       Curves curves) {
  const auto sheet = insert_sheet(in);
  if (!sheet) return tl::unexpected(sheet.error());
  std::vector<std::filesystem::path> out;
  for (const auto& t : targets) {
    if (t.format == Format::pdf || t.format == Format::dxf) {
      const Target one[] = {t};
      auto done = t.format == Format::pdf ? write(std::span(sheet->pages), t.path)
                                          : write(side_by_side(*sheet), sheet->model, one, curves);
      if (!done) return tl::unexpected(done.error());
      out.push_back(t.path);
      continue;
    }
    for (std::size_t i = 0; i < sheet->pages.size(); ++i) {
      auto path = t.path;
      path.replace_filename(fmt::format("{}-{}{}", t.path.stem().string(), i + 1, t.path.extension().string()));
      const Target one[] = {{t.format, path}};
      if (auto done = write(sheet->pages[i], sheet->model, one, curves); !done) return tl::unexpected(done.error());
      out.push_back(path);
    }
  }
  return out;
}

} // namespace chamber::drawing
