#include "chamber/papers/print/text.hpp"
#include <algorithm>
#include <cmath>
#include <fontconfig/fontconfig.h>
#include <mutex>
#include <pango/pangocairo.h>
#include <pango/pangofc-fontmap.h>
#include <stdexcept>

namespace chamber::papers::print {
namespace {

constexpr const char* files[] = {CHAMBER_SANS, CHAMBER_SANS_BOLD, CHAMBER_MONO};

bool add_files(FcConfig* config) {
  return std::all_of(std::begin(files), std::end(files), [&](const char* file) {
    return FcConfigAppFontAddFile(config, reinterpret_cast<const FcChar8*>(file)) == FcTrue;
  });
}

/// For the life of the program; null where a file is missing.
FcConfig* own_fonts() {
  static FcConfig* const config = [] {
    FcConfig* made = FcConfigCreate();
    if (made && add_files(made)) return made;
    if (made) FcConfigDestroy(made);
    return static_cast<FcConfig*>(nullptr);
  }();
  return config;
}

FcConfig* all_fonts() {
  static FcConfig* const config = [] {
    FcConfig* made = FcInitLoadConfigAndFonts();
    if (made) add_files(made);
    return made ? made : own_fonts();
  }();
  return config;
}

void attach(PangoAttrList* list, PangoAttribute* a, std::size_t from, std::size_t to) {
  a->start_index = static_cast<guint>(from);
  a->end_index = static_cast<guint>(to);
  pango_attr_list_insert(list, a);
}

PangoFontDescription* described(const Type& t) {
  auto* d = pango_font_description_new();
  pango_font_description_set_family_static(d, t.mono ? "DejaVu Sans Mono" : "DejaVu Sans");
  pango_font_description_set_stretch(d, t.mono ? PANGO_STRETCH_NORMAL : PANGO_STRETCH_CONDENSED);
  pango_font_description_set_weight(d, t.bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
  pango_font_description_set_absolute_size(d, std::round(t.size * PANGO_SCALE));
  return d;
}

} // namespace

std::string well_formed(const std::string& text) {
  const std::unique_ptr<char, decltype(&g_free)> valid(g_utf8_make_valid(text.data(), static_cast<gssize>(text.size())),
                                                       g_free);
  return valid.get();
}

Result<void> fonts_ready() {
  if (own_fonts()) return {};
  return fail("the traveller's fonts (DejaVu Sans Condensed, DejaVu Sans Mono) cannot be opened.",
              "install the Debian packages fonts-dejavu-core and fonts-dejavu-extra.");
}

void Press::Release::operator()(void* object) const {
  g_object_unref(object);
}

Press::Press(bool any) : map_(pango_cairo_font_map_new_for_font_type(CAIRO_FONT_TYPE_FT)) {
  FcConfig* const fonts = any ? all_fonts() : own_fonts();
  if (!map_ || !fonts) throw std::logic_error("papers: words before fonts_ready");
  pango_fc_font_map_set_config(PANGO_FC_FONT_MAP(map_.get()), fonts);
  pango_cairo_font_map_set_resolution(PANGO_CAIRO_FONT_MAP(map_.get()), 72);
  context_.reset(pango_font_map_create_context(map_.get()));
  auto* options = cairo_font_options_create();
  cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
  cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
  pango_cairo_context_set_font_options(context_.get(), options);
  cairo_font_options_destroy(options);
  pango_context_set_round_glyph_positions(context_.get(), FALSE);
  pango_context_set_language(context_.get(), pango_language_from_string("en"));
}

Paragraph::Paragraph(const Press& press, const std::vector<Run>& runs)
    : layout_(pango_layout_new(press.context()), g_object_unref) {
  std::string text;
  auto* list = pango_attr_list_new();
  for (const auto& run : runs) {
    const std::size_t from = text.size();
    text += well_formed(run.text);
    auto* d = described(run.type);
    attach(list, pango_attr_font_desc_new(d), from, text.size());
    pango_font_description_free(d);
    const auto grey = static_cast<guint16>(std::lround(65535 * run.type.grey));
    attach(list, pango_attr_foreground_new(grey, grey, grey), from, text.size());
  }
  auto* d = described(runs.empty() ? Type{} : runs.front().type);
  pango_layout_set_font_description(layout_.get(), d);
  pango_font_description_free(d);
  pango_layout_set_text(layout_.get(), text.data(), static_cast<int>(text.size()));
  pango_layout_set_attributes(layout_.get(), list);
  pango_attr_list_unref(list);
  pango_layout_set_wrap(layout_.get(), PANGO_WRAP_WORD_CHAR);
  press.note(pango_layout_get_unknown_glyphs_count(layout_.get()));
}

double Paragraph::width() const {
  PangoRectangle ink, logical;
  pango_layout_get_extents(layout_.get(), &ink, &logical);
  return static_cast<double>(logical.width) / PANGO_SCALE;
}

double Paragraph::height() const {
  PangoRectangle ink, logical;
  pango_layout_get_extents(layout_.get(), &ink, &logical);
  return static_cast<double>(logical.height) / PANGO_SCALE;
}

double Paragraph::baseline() const {
  return static_cast<double>(pango_layout_get_baseline(layout_.get())) / PANGO_SCALE;
}

Paragraph& Paragraph::wrap(double room) {
  // A hair more, so that words measured to just this width stay on one line. What fits is not set once more.
  if (width() > room + 0.01) pango_layout_set_width(layout_.get(), std::max(1, static_cast<int>(room * PANGO_SCALE)));
  return *this;
}

void Paragraph::draw(cairo_t* c, double x, double y) const {
  cairo_move_to(c, x, y);
  pango_cairo_show_layout(c, layout_.get());
}

} // namespace chamber::papers::print
