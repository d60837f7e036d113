#pragma once
// The open font file, for the rooms' own drawing to cairo.
#include <ft2build.h>
#include FT_FREETYPE_H
#include <mutex>
#include <unordered_map>

namespace chamber::drawing::detail {

struct GlyphMetrics {
  double width = 0, above = 0, below = 0;
};

struct FontFile {
  FT_Library library = nullptr;
  FT_Face face = nullptr;                             ///< to measure with, behind the lock
  FT_Face painted = nullptr;                          ///< cairo's, which has locks of its own
  double em_per_height = 1;                           ///< font size over the height of a capital letter
  std::unordered_map<char32_t, GlyphMetrics> metrics; ///< of the letters asked for so far
};
/// Null when it could not be opened.
FontFile* font_file();
std::mutex& font_lock();

} // namespace chamber::drawing::detail
