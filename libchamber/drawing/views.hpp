#pragma once
// The two views, each on a board of its own with its model's origin at (0, 0), and what they share.
#include "chamber/drawing/lengths.hpp"

namespace chamber::drawing::detail {

/// The insert: right of the axis in section, left of it from outside.
Board insert_view(const SheetInput& in, double scale);
/// The chamber's right half enlarged, with the piston at top dead centre.
Board chamber_view(const SheetInput& in, double scale);

/// The outline without the chamber: rim -> sealing face -> outside -> plug seat -> plug hole.
std::vector<shapes::NamedSegment> body_of(const shapes::Insert& insert, const shapes::Chamber<double>& chamber);

/// Rows or columns of dimensions from the inside outwards.
inline constexpr double first_row = 9, row_pitch = 7;
inline double column_pitch(const Lengths& l) {
  return l.both() ? 9.2 : 7;
}

/// ISO 21920-1 sign for a machined surface of this Ra, its point at the surface, standing upright.
void surface_sign(Picture& picture, Point at, std::string_view words);
/// ISO 5459 datum "A" hanging from the face or its extension line, at the first of these x where it is free.
void datum_sign(Board& board, std::initializer_list<double> places);

} // namespace chamber::drawing::detail
