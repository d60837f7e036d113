#include "chamber/papers/print/document.hpp"
#include "chamber/papers/print/content.hpp"
#include "chamber/papers/print/pages.hpp"
#include "chamber/units/calendar.hpp"
#include <cairo-pdf.h>
#include <cmath>
#include <fmt/format.h>

namespace chamber::papers::print {
namespace {

constexpr double side = 12 * mm, below = 15.5 * mm;             ///< margins; heads and feet stand in them
constexpr double above_first = 11 * mm, above_others = 15 * mm; ///< the first page has no head
constexpr double head_line = 8 * mm, foot_line = 11.5 * mm;     ///< from the edge, to the top of the words

struct Size {
  double width, height;
};

Size size_of(Paper paper) {
  return paper == Paper::a4 ? Size{210 * mm, 297 * mm} : Size{215.9 * mm, 279.4 * mm};
}

cairo_status_t append(void* to, const unsigned char* data, unsigned length) {
  static_cast<std::string*>(to)->append(reinterpret_cast<const char*>(data), length);
  return CAIRO_STATUS_SUCCESS;
}

/// Of SOURCE_DATE_EPOCH, or of the epoch's start where it is not set: never the clock.
Result<std::string> document_date() {
  const auto date = source_date();
  if (!date) return tl::unexpected(date.error());
  return iso_8601(date->value_or(0)) + "Z";
}

struct Release {
  void operator()(cairo_t* c) const { cairo_destroy(c); }
  void operator()(cairo_surface_t* s) const { cairo_surface_destroy(s); }
};

class Document {
public:
  Document(const Press& press, const Traveller& t, Size size)
      : press_(press), t_(t), size_(size),
        name_(well_formed(t.job + (t.revision.empty() ? "" : ", revision " + t.revision))),
        surface_(cairo_pdf_surface_create_for_stream(append, &bytes_, size.width, size.height)) {
    cairo_pdf_surface_restrict_to_version(surface_.get(), CAIRO_PDF_VERSION_1_5);
    cairo_pdf_surface_set_metadata(surface_.get(), CAIRO_PDF_METADATA_TITLE, (name_ + ": traveller").c_str());
    cairo_pdf_surface_set_metadata(surface_.get(), CAIRO_PDF_METADATA_CREATOR, well_formed(t.made_by).c_str());
  }

  Result<std::string> of(const std::vector<Sheet>& sheets) {
    const auto date = document_date();
    if (!date) return tl::unexpected(date.error());
    cairo_pdf_surface_set_metadata(surface_.get(), CAIRO_PDF_METADATA_CREATE_DATE, date->c_str());
    const double width = size_.width - 2 * side;
    const auto blocks = content(press_, t_, width);
    const auto pages = paginated(blocks, size_.height - above_first - below, size_.height - above_others - below);
    of_ = pages.size() + sheets.size();
    for (const auto& page : pages) text_page(page);
    for (const auto& sheet : sheets) drawn_page(sheet);
    cairo_surface_finish(surface_.get());
    if (const auto status = cairo_surface_status(surface_.get()); status != CAIRO_STATUS_SUCCESS)
      return fail(fmt::format("the traveller's PDF could not be made: {}.", cairo_status_to_string(status)),
                  "check free memory and disk space; if there is enough, report this with the spec.");
    return std::move(bytes_);
  }

private:
  Paragraph small(const std::string& text) const {
    return Paragraph(press_, {{text, {small_size, false, false, soft}}});
  }
  std::string number() const { return fmt::format("page {} of {}", page_, of_); }

  std::unique_ptr<cairo_t, Release> open(double width, double height) {
    cairo_pdf_surface_set_size(surface_.get(), width, height);
    ++page_;
    return std::unique_ptr<cairo_t, Release>(cairo_create(surface_.get()));
  }

  void contents(const std::string& mark, double x, double y, int under) {
    const auto at = fmt::format("page={} pos=[{:.1f} {:.1f}]", page_, x, y);
    cairo_pdf_surface_add_outline(surface_.get(), under, well_formed(mark).c_str(), at.c_str(),
                                  CAIRO_PDF_OUTLINE_FLAG_OPEN);
  }

  void text_page(const Page& page) {
    const auto c = open(size_.width, size_.height);
    const double right = size_.width - side;
    if (page_ > 1) { // the first has the name in its title
      small(name_).draw(c.get(), side, head_line);
      small("traveller").draw_right(c.get(), right, head_line);
      rule(c.get(), side, head_line + 4 * mm, right, head_line + 4 * mm, 0.4, 0.6);
    }
    const double above = page_ == 1 ? above_first : above_others;
    for (const auto& p : page) {
      if (!p.block->mark.empty()) contents(p.block->mark, side, above + p.y, CAIRO_PDF_OUTLINE_ROOT);
      cairo_save(c.get());
      cairo_translate(c.get(), side, above + p.y);
      cairo_scale(c.get(), p.scale, p.scale);
      p.block->draw(c.get(), 0, 0);
      cairo_restore(c.get());
    }
    const double foot = size_.height - foot_line;
    rule(c.get(), side, foot - 1 * mm, right, foot - 1 * mm, 0.4, 0.6);
    small(name_ + (t_.spec_hash.empty() ? "" : "  ·  sheet " + t_.spec_hash)).draw(c.get(), side, foot);
    small(number()).draw_right(c.get(), right, foot);
    cairo_show_page(c.get());
  }

  void drawn_page(const Sheet& s) {
    const auto c = open(s.width_mm * mm, s.height_mm * mm);
    contents(s.title, 0, 0, CAIRO_PDF_OUTLINE_ROOT);
    cairo_save(c.get());
    s.paint(c.get());
    cairo_restore(c.get());
    const auto said = small(s.title + ", to scale when printed at 100 %");
    const double y = (s.height_mm - s.margin_mm / 2) * mm - said.height() / 2;
    said.draw(c.get(), 20 * mm, y);
    small(number()).draw_right(c.get(), (s.width_mm - s.margin_mm) * mm, y);
    cairo_show_page(c.get());
  }

  const Press& press_;
  const Traveller& t_;
  Size size_;
  std::string bytes_, name_;
  std::unique_ptr<cairo_surface_t, Release> surface_;
  std::size_t page_ = 0, of_ = 0;
};

} // namespace

Result<std::string> to_pdf(const Traveller& traveller, Paper paper, const std::vector<Sheet>& sheets) {
  if (auto ok = fonts_ready(); !ok) return tl::unexpected(ok.error());
  const auto made_with = [&](bool any_font) {
    const Press press(any_font);
    auto out = Document(press, traveller, size_of(paper)).of(sheets);
    return std::pair{std::move(out), press.lacking()};
  };
  const auto [out, lacking] = made_with(false);
  if (!out || !lacking) return out;
  return made_with(true).first; // a name in a script of its own
}

} // namespace chamber::papers::print
