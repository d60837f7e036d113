#include "chamber/drawing/files.hpp"
#include "chamber/drawing/font.hpp"
#include "chamber/drawing/font_file.hpp"
#include "chamber/units/calendar.hpp"
#include <algorithm>
#include <cairo-ft.h>
#include <cairo-pdf.h>
#include <cmath>
#include <cstdint>
#include <cstring>
#include <fmt/format.h>
#include <memory>
#include <png.h>

namespace chamber::drawing {
namespace {

constexpr double points_per_mm = 72 / 25.4;

struct Release {
  void operator()(cairo_t* c) const { cairo_destroy(c); }
  void operator()(cairo_surface_t* s) const { cairo_surface_destroy(s); }
};
using Context = std::unique_ptr<cairo_t, Release>;
using Surface = std::unique_ptr<cairo_surface_t, Release>;

cairo_status_t append(void* to, const unsigned char* data, unsigned length) {
  static_cast<std::string*>(to)->append(reinterpret_cast<const char*>(data), length);
  return CAIRO_STATUS_SUCCESS;
}

/// What a surface takes up: colours, or only how black it gets, in its one channel.
enum class Ink { coloured, black };

/// Draws sheet mm, y up, on a context whose y runs down. It scales by itself: under a scaled matrix, cairo would write
/// that matrix into a PDF before each line.
class Painter {
public:
  Painter(cairo_t* c, const Picture& picture, double units_per_mm, Ink ink = Ink::coloured)
      : c_(c), height_(picture.height_mm), k_(units_per_mm), ink_(ink) {
    if (ink_ == Ink::black) cairo_set_operator(c_, CAIRO_OPERATOR_SOURCE); // white covers black
    static cairo_font_face_t* const face = cairo_ft_font_face_create_for_ft_face(
        detail::font_file()->painted, FT_LOAD_NO_HINTING | FT_LOAD_NO_BITMAP); // for the life of the program
    cairo_set_font_face(c_, face);
    auto* options = cairo_font_options_create();
    cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
    cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
    cairo_font_options_set_antialias(options, CAIRO_ANTIALIAS_GRAY);
    cairo_set_font_options(c_, options);
    cairo_font_options_destroy(options);
  }

  void operator()(const Line& l) {
    move(l.a);
    to(l.b);
    stroke(l.pen);
  }
  void operator()(const Arc& a) {
    cairo_new_sub_path(c_);
    const auto m = at(a.centre);
    cairo_arc_negative(c_, m.x, m.y, a.radius * k_, -a.from_rad, -(a.from_rad + a.sweep_rad));
    stroke(a.pen);
  }
  void operator()(const Polyline& p) {
    if (p.vertices.empty()) return;
    move(p.vertices[0].at);
    for (std::size_t i = 0; i < p.vertices.size(); ++i) {
      if (i + 1 == p.vertices.size() && !p.closed) break;
      const auto& next = p.vertices[(i + 1) % p.vertices.size()].at;
      if (p.vertices[i].bulge == 0) {
        to(next);
        continue;
      }
      const auto a = arc_of(p.vertices[i].at, next, p.vertices[i].bulge);
      const auto m = at(a.centre);
      const double end = a.from_rad + a.sweep_rad;
      if (p.vertices[i].bulge > 0)
        cairo_arc_negative(c_, m.x, m.y, a.radius * k_, -a.from_rad, -end);
      else
        cairo_arc(c_, m.x, m.y, a.radius * k_, -end, -a.from_rad);
    }
    if (p.closed) cairo_close_path(c_);
    stroke(p.pen);
  }
  void operator()(const Area& a) {
    if (a.corners.empty()) return;
    move(a.corners[0]);
    for (const auto& p : a.corners) to(p);
    cairo_close_path(c_);
    colour(a.fill);
    cairo_fill(c_);
  }
  void operator()(const Text& t) {
    colour(t.colour);
    cairo_set_font_size(c_, t.height_mm * detail::font_file()->em_per_height * k_);
    const auto words = printable(t.words);
    const auto start = at(start_of(t));
    cairo_save(c_);
    cairo_translate(c_, start.x, start.y);
    cairo_rotate(c_, -t.angle_rad);
    cairo_move_to(c_, 0, 0);
    cairo_show_text(c_, words.c_str());
    cairo_restore(c_);
  }

private:
  Point at(Point p) const { return {p.x * k_, (height_ - p.y) * k_}; }
  void move(Point p) {
    const auto a = at(p);
    cairo_move_to(c_, a.x, a.y);
  }
  void to(Point p) {
    const auto a = at(p);
    cairo_line_to(c_, a.x, a.y);
  }
  void colour(const Colour& k) {
    if (ink_ == Ink::coloured)
      cairo_set_source_rgb(c_, k.red, k.green, k.blue);
    else
      cairo_set_source_rgba(c_, 0, 0, 0, 1 - k.green);
  }
  void stroke(const Pen& p) {
    colour(p.colour);
    cairo_set_line_width(c_, p.width_mm * k_);
    cairo_set_line_join(c_, CAIRO_LINE_JOIN_ROUND);
    cairo_set_line_cap(c_, p.dash == Dash::continuous ? CAIRO_LINE_CAP_ROUND : CAIRO_LINE_CAP_BUTT);
    auto pattern = dashes(p);
    for (auto& d : pattern) d *= k_;
    cairo_set_dash(c_, pattern.data(), static_cast<int>(pattern.size()), 0);
    cairo_stroke(c_);
  }

  cairo_t* c_;
  double height_, k_;
  Ink ink_;
};

Result<void> healthy(cairo_status_t status, std::string_view what) {
  if (status == CAIRO_STATUS_SUCCESS) return {};
  return fail(fmt::format("the {} could not be made: {}.", what, cairo_status_to_string(status)),
              "check free memory and disk space; if there is enough, report this with the spec.");
}

/// Of SOURCE_DATE_EPOCH, or of the epoch's start where it is not set: never the clock.
Result<std::string> document_date() {
  const auto date = source_date();
  if (!date) return tl::unexpected(date.error());
  return iso_8601(date->value_or(0)) + "Z";
}

bool is_grey(const Colour& c) {
  return c.red == c.green && c.green == c.blue;
}

struct IsGrey {
  bool operator()(const Line& l) const { return is_grey(l.pen.colour); }
  bool operator()(const Arc& a) const { return is_grey(a.pen.colour); }
  bool operator()(const Polyline& p) const { return is_grey(p.pen.colour); }
  bool operator()(const Area& a) const { return is_grey(a.fill); }
  bool operator()(const Text& t) const { return is_grey(t.colour); }
};

bool is_grey(const Picture& picture) {
  return std::all_of(picture.items.begin(), picture.items.end(),
                     [](const Item& item) { return std::visit(IsGrey{}, item); });
}

/// The pixels as a PNG. Cairo's own writer takes ten times as long: line drawings gain nothing by its filters.
Result<std::string> compressed(cairo_surface_t& surface, Ink ink) {
  const int width = cairo_image_surface_get_width(&surface), height = cairo_image_surface_get_height(&surface);
  const std::ptrdiff_t stride = cairo_image_surface_get_stride(&surface);
  auto* const data = cairo_image_surface_get_data(&surface);
  png_image image{};
  image.version = PNG_IMAGE_VERSION;
  image.width = static_cast<png_uint_32>(width);
  image.height = static_cast<png_uint_32>(height);
  image.format = ink == Ink::black ? PNG_FORMAT_GRAY : PNG_FORMAT_RGB;
  image.flags = PNG_IMAGE_FLAG_FAST;
  if (ink == Ink::black)
    for (auto* p = data; p < data + stride * height; ++p)
      *p = static_cast<unsigned char>(~*p); // of black into of white
  else
    for (int y = 0; y < height; ++y)
      for (int x = 0; x < width; ++x) {
        std::uint32_t pixel = 0; // 0x00rrggbb
        std::memcpy(&pixel, data + y * stride + x * 4, 4);
        auto* const to = data + y * stride + x * 3;
        to[0] = static_cast<unsigned char>(pixel >> 16);
        to[1] = static_cast<unsigned char>(pixel >> 8);
        to[2] = static_cast<unsigned char>(pixel);
      }
  png_alloc_size_t size = PNG_IMAGE_PNG_SIZE_MAX(image);
  // Not filled first: hardly any of it is used, and memory that is not touched costs nothing.
  const auto out = std::make_unique_for_overwrite<char[]>(size);
  if (png_image_write_to_memory(&image, out.get(), &size, 0, data, static_cast<png_int_32>(stride), nullptr) == 0)
    return fail(fmt::format("the PNG could not be made: {}.", image.message),
                "check free memory; if there is enough, report this with the spec.");
  return std::string(out.get(), size);
}

} // namespace

void paint(cairo_t* c, const Picture& picture, double units_per_mm) {
  if (!detail::font_file()) throw std::logic_error("drawing: paint before font_ready");
  Painter painter(c, picture, units_per_mm);
  for (const auto& item : picture.items) std::visit(painter, item);
}

Result<std::string> to_pdf(std::span<const Picture> pages) {
  if (auto ok = font_ready(); !ok) return tl::unexpected(ok.error());
  if (pages.empty()) throw std::logic_error("drawing: a PDF without pages");
  const auto date = document_date();
  if (!date) return tl::unexpected(date.error());
  std::string out;
  const Surface surface(cairo_pdf_surface_create_for_stream(append, &out, pages[0].width_mm * points_per_mm,
                                                            pages[0].height_mm * points_per_mm));
  cairo_pdf_surface_restrict_to_version(surface.get(), CAIRO_PDF_VERSION_1_5);
  cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_TITLE, pages[0].title.c_str());
  cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_CREATE_DATE, date->c_str());
  for (const auto& page : pages) {
    cairo_pdf_surface_set_size(surface.get(), page.width_mm * points_per_mm, page.height_mm * points_per_mm);
    const Context c(cairo_create(surface.get()));
    paint(c.get(), page, points_per_mm);
    cairo_show_page(c.get());
    if (auto ok = healthy(cairo_status(c.get()), "PDF"); !ok) return tl::unexpected(ok.error());
  }
  cairo_surface_finish(surface.get());
  if (auto ok = healthy(cairo_surface_status(surface.get()), "PDF"); !ok) return tl::unexpected(ok.error());
  return out;
}

Result<std::string> to_png(const Picture& picture, double dots_per_inch) {
  if (auto ok = font_ready(); !ok) return tl::unexpected(ok.error());
  const double k = dots_per_inch / 25.4;
  const auto ink = is_grey(picture) ? Ink::black : Ink::coloured;
  const Surface surface(cairo_image_surface_create(ink == Ink::black ? CAIRO_FORMAT_A8 : CAIRO_FORMAT_RGB24,
                                                   static_cast<int>(std::lround(picture.width_mm * k)),
                                                   static_cast<int>(std::lround(picture.height_mm * k))));
  {
    const Context c(cairo_create(surface.get()));
    if (ink == Ink::coloured) {
      cairo_set_source_rgb(c.get(), 1, 1, 1);
      cairo_paint(c.get());
    }
    Painter painter(c.get(), picture, k, ink);
    for (const auto& item : picture.items) std::visit(painter, item);
    if (auto ok = healthy(cairo_status(c.get()), "PNG"); !ok) return tl::unexpected(ok.error());
  }
  cairo_surface_flush(surface.get());
  return compressed(*surface, ink);
}

} // namespace chamber::drawing
