#pragma once
// The traveller as a PDF file, to print without a browser. Made by a module loaded at run time: Pango takes
// longer to load than most commands take to run.
#include "chamber/papers/traveller.hpp"
#include "chamber/units/result.hpp"
#include <functional>

struct _cairo; // cairo_t

namespace chamber::papers {

enum class Paper { a4, letter };

/// A page of somebody else's making, painted at true scale behind the traveller's own: a sheet of the drawing. The
/// context's unit is a point, y runs down. Around it `margin_mm` stay free, for the page's number.
struct Sheet {
  std::string title;
  double width_mm = 0, height_mm = 0, margin_mm = 0;
  std::function<void(_cairo*)> paint;
};

/// Two to four pages for the bench, in the order of the HTML's, then the sheets. Fonts are embedded; the creation date
/// is that of SOURCE_DATE_EPOCH or none, so that the same traveller gives the same bytes. `Traveller::drawings` and
/// `glb` are for the screen and left out. Fails where the module or a font is missing.
Result<std::string> to_pdf(const Traveller& traveller, Paper paper, const std::vector<Sheet>& sheets);

/// Loads the module, as the first to_pdf() does otherwise; that reports a failure. While it loads, no thread can be
/// started.
void load_pdf();

} // namespace chamber::papers
