#pragma once
// SVG documents of the drawing, for the page.
#include <string>
#include <string_view>

namespace chamber::papers {

/// An SVG document as it may stand inside HTML beside others: without prolog and comments, its ids and the references
/// to them prefixed, so that no two pictures share one. The pictures are the program's own: throws std::logic_error
/// where there is no <svg> element, and where there is a script or an event handler.
std::string inline_svg(std::string_view svg, std::string_view prefix);

/// Width over height of an SVG document, from its viewBox. Throws std::logic_error if there is none.
double aspect(std::string_view svg);

} // namespace chamber::papers
