#pragma once
// What stands beside the views: tables, notes, title block. Each a picture with its lower left corner at (0, 0).
#include "chamber/drawing/lengths.hpp"

namespace chamber::drawing::detail {

inline constexpr double title_width = 180, title_height = 40; ///< mm, ISO 7200

Picture corner_table(const SheetInput& in);
Picture volume_table(const SheetInput& in);
Picture notes_block(const SheetInput& in, int page);
Picture title_block(const SheetInput& in, int page, int pages, double scale, std::string_view what);

} // namespace chamber::drawing::detail
