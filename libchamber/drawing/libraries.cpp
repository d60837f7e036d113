#include "chamber/drawing/libraries.hpp"
#include "chamber/drawing/font_file.hpp"
#include <cairo.h>
#include <fmt/format.h>
#include <png.h>

namespace chamber::drawing {

Libraries libraries() {
  Libraries out{{"cairo", cairo_version_string()}, {"libpng", png_get_libpng_ver(nullptr)}};
  FT_Library freetype = nullptr;
  if (FT_Init_FreeType(&freetype) == 0) {
    FT_Int major = 0, minor = 0, patch = 0;
    FT_Library_Version(freetype, &major, &minor, &patch);
    out.push_back({"FreeType", fmt::format("{}.{}.{}", major, minor, patch)});
    FT_Done_FreeType(freetype);
  }
  return out;
}

} // namespace chamber::drawing
