#include "chamber/drawing/font.hpp"
#include "chamber/drawing/font_file.hpp"
#include <algorithm>
#include <fmt/format.h>
#include <stdexcept>

namespace chamber::drawing {
namespace detail {
namespace {

FontFile* open_font() {
  auto font = std::make_unique<FontFile>();
  if (FT_Init_FreeType(&font->library) != 0) return nullptr;
  if (FT_New_Face(font->library, CHAMBER_FONT_FILE, 0, &font->painted) != 0 ||
      FT_New_Face(font->library, CHAMBER_FONT_FILE, 0, &font->face) != 0 ||
      FT_Load_Char(font->face, 'H', FT_LOAD_NO_SCALE) != 0 || font->face->glyph->metrics.height <= 0) {
    FT_Done_FreeType(font->library);
    return nullptr;
  }
  font->em_per_height =
      static_cast<double>(font->face->units_per_EM) / static_cast<double>(font->face->glyph->metrics.height);
  return font.release(); // for the life of the program
}

} // namespace

FontFile* font_file() {
  static FontFile* const font = open_font();
  return font;
}

std::mutex& font_lock() {
  static std::mutex lock;
  return lock;
}

/// In the font's units; all nothing for what cannot be loaded.
const GlyphMetrics& metrics_of(FontFile& font, char32_t c) {
  const auto [found, is_new] = font.metrics.try_emplace(c);
  if (!is_new) return found->second;
  auto glyph = FT_Get_Char_Index(font.face, c);
  if (glyph == 0) glyph = FT_Get_Char_Index(font.face, '?');
  if (FT_Load_Glyph(font.face, glyph, FT_LOAD_NO_SCALE) == 0) {
    const auto& g = font.face->glyph->metrics;
    found->second = {static_cast<double>(g.horiAdvance), static_cast<double>(g.horiBearingY),
                     static_cast<double>(g.height - g.horiBearingY)};
  }
  return found->second;
}

} // namespace detail

Result<void> font_ready() {
  if (detail::font_file()) return {};
  return fail(fmt::format("the drawing's font {} cannot be opened.", CHAMBER_FONT_FILE),
              "install the Debian package fonts-osifont.");
}

std::u32string code_points(std::string_view s) {
  std::u32string out;
  for (std::size_t i = 0; i < s.size();) {
    const auto lead = static_cast<unsigned char>(s[i]);
    const std::size_t length = lead < 0x80                   ? 1
                               : lead >= 0xC2 && lead < 0xE0 ? 2
                               : lead >= 0xE0 && lead < 0xF0 ? 3
                               : lead >= 0xF0 && lead < 0xF5 ? 4
                                                             : 0;
    char32_t c = length == 1 ? lead : length == 0 ? 0xFFFD : lead & (0xFFu >> (length + 1));
    std::size_t used = 1;
    for (; used < length; ++used) {
      if (i + used >= s.size() || (static_cast<unsigned char>(s[i + used]) & 0xC0) != 0x80) break;
      c = (c << 6) | (static_cast<unsigned char>(s[i + used]) & 0x3Fu);
    }
    if (used < length) c = 0xFFFD;
    out += c;
    i += used;
  }
  return out;
}

Measure measure(std::string_view utf8, double height_mm) {
  auto* font = detail::font_file();
  if (!font) throw std::logic_error("drawing: measure before font_ready");
  const std::lock_guard lock(detail::font_lock());
  const double k = height_mm * font->em_per_height / static_cast<double>(font->face->units_per_EM);
  Measure m;
  for (const char32_t c : code_points(utf8)) {
    const auto& g = detail::metrics_of(*font, c);
    m.width += g.width * k;
    m.above = std::max(m.above, g.above * k);
    m.below = std::max(m.below, g.below * k);
  }
  return m;
}

std::string printable(std::string_view utf8) {
  auto* font = detail::font_file();
  if (!font) throw std::logic_error("drawing: words before font_ready");
  const std::lock_guard lock(detail::font_lock());
  std::string out;
  for (char32_t c : code_points(utf8)) {
    if (c < 0x20 || FT_Get_Char_Index(font->face, c) == 0) c = c < 0x20 ? U' ' : U'?';
    if (c < 0x80)
      out += static_cast<char>(c);
    else if (c < 0x800)
      out += {static_cast<char>(0xC0 | (c >> 6)), static_cast<char>(0x80 | (c & 0x3F))};
    else if (c < 0x10000)
      out += {static_cast<char>(0xE0 | (c >> 12)), static_cast<char>(0x80 | ((c >> 6) & 0x3F)),
              static_cast<char>(0x80 | (c & 0x3F))};
    else
      out += {static_cast<char>(0xF0 | (c >> 18)), static_cast<char>(0x80 | ((c >> 12) & 0x3F)),
              static_cast<char>(0x80 | ((c >> 6) & 0x3F)), static_cast<char>(0x80 | (c & 0x3F))};
  }
  return out;
}

} // namespace chamber::drawing
