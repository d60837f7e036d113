#pragma once
// Small pieces of SVG text.
#include <string>
#include <string_view>

namespace chamber::papers {

/// The text with &, <, >, " and ' as entities: safe between tags and in quoted attributes.
std::string escaped(std::string_view text);

/// A coordinate: at most two decimals, no needless zeros, '.' under every locale. Throws std::logic_error unless
/// finite.
std::string coordinate(double value);

/// Room the text takes in a common sans-serif font of this size, from above, in the size's unit.
double text_width(std::string_view text, double font_size);

/// An SVG document as it may stand inside HTML beside others: without prolog and comments, its ids and the references
/// to them prefixed, so that no two pictures share one. The pictures are the program's own: throws std::logic_error
/// where there is no <svg> element, and where there is a script or an event handler.
std::string inline_svg(std::string_view svg, std::string_view prefix);

/// The same document in the colours of paper: each var(--name, colour) of the page's style becomes its colour.
std::string on_white(std::string_view svg);

/// Width over height of an SVG document, from its viewBox. Throws std::logic_error if there is none.
double aspect(std::string_view svg);

} // namespace chamber::papers
