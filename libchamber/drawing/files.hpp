#pragma once
// Pictures as files. The same picture gives the same bytes, whatever the day, the locale and the machine.
#include "chamber/drawing/picture.hpp"
#include "chamber/units/result.hpp"
#include <filesystem>
#include <span>

struct _cairo; // cairo_t

namespace chamber::drawing {

/// Onto a page of somebody else's, of the picture's own size; y runs down, a mm is so many of the context's units. The
/// font must be ready (std::logic_error otherwise).
void paint(_cairo* context, const Picture& picture, double units_per_mm);

/// PDF with one page for each picture, at true size; words stay words. No date unless SOURCE_DATE_EPOCH sets it.
/// Fails when the font is missing.
Result<std::string> to_pdf(std::span<const Picture> pages);
/// One SVG document, width and height in mm: true arcs, each item of the layer that its class names, letters as the
/// font's own outlines, with the words beside them for who searches or listens. Fails when the font is missing.
Result<std::string> to_svg(const Picture& picture);
/// PNG on white.
Result<std::string> to_png(const Picture& picture, double dots_per_inch = 150);

/// Where the model lies on the sheet: its origin, and sheet mm for one mm of it.
struct Model {
  Point origin;
  double scale = 1;
};
enum class Curves {
  polylines,      ///< LWPOLYLINE with bulges
  lines_and_arcs, ///< LINE and ARC, for importers that drop bulges
};
/// DXF of AutoCAD 2000 (AC1015), millimetres: the picture in model coordinates (x = radius, y = height over the sealing
/// face, 1:1), one layer for each Layer. The chamber's profile stands alone on layer PROFILE.
std::string to_dxf(const Picture& picture, const Model& model, Curves curves = Curves::polylines);

enum class Format { pdf, svg, png, dxf };
inline constexpr std::string_view format_names[] = {"pdf", "svg", "png", "dxf"};

struct Target {
  Format format = Format::pdf;
  std::filesystem::path path;
};
/// Writes the picture to every path (replacing what is there). Fails at the first that cannot be written, naming it.
Result<void> write(const Picture& picture, const Model& model, std::span<const Target> targets,
                   Curves curves = Curves::polylines);

/// One PDF of several pages.
Result<void> write(std::span<const Picture> pages, const std::filesystem::path& pdf);

} // namespace chamber::drawing
