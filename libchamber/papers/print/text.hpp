#pragma once
// Words, set by Pango. Lengths are points, y runs down.
#include "chamber/units/result.hpp"
#include <cairo.h>
#include <memory>
#include <pango/pango.h>

namespace chamber::papers::print {

inline constexpr double mm = 72 / 25.4;
inline constexpr double body_size = 8, small_size = 7.5; ///< no word is set smaller
inline constexpr double soft = 0.33;                     ///< grey of what is said beside

struct Type {
  double size = body_size;
  bool bold = false, mono = false;
  double grey = 0; ///< 0: black
};

/// Words in one type.
struct Run {
  std::string text;
  Type type{};
};

/// UTF-8; a broken byte becomes U+FFFD.
std::string well_formed(const std::string& text);

/// Opens the fonts, once. Fails naming the package.
Result<void> fonts_ready();

/// The fonts of one document. Words are set in the program's own files, so that lines break in the same places
/// everywhere; a press of `any` fonts takes what those lack from the system's. The fonts must be ready
/// (std::logic_error otherwise).
class Press {
public:
  explicit Press(bool any);
  PangoContext* context() const { return context_.get(); }
  /// Whether a character was met that none of the fonts has.
  bool lacking() const { return lacking_; }
  void note(int unknown_glyphs) const { lacking_ = lacking_ || unknown_glyphs > 0; }

private:
  struct Release {
    void operator()(void* object) const;
  };
  std::unique_ptr<PangoFontMap, Release> map_;
  std::unique_ptr<PangoContext, Release> context_;
  mutable bool lacking_ = false;
};

/// One paragraph. Copies share the words, and so their width.
class Paragraph {
public:
  Paragraph(const Press& press, const std::vector<Run>& runs);
  /// Of its lines as they are broken now; before wrap() only where the text says so.
  double width() const;
  double height() const;
  /// Of its first line, from its top.
  double baseline() const;
  Paragraph& wrap(double room);
  void draw(cairo_t* c, double x, double y) const;
  void draw_right(cairo_t* c, double right, double y) const { draw(c, right - width(), y); }

private:
  std::shared_ptr<PangoLayout> layout_;
};

} // namespace chamber::papers::print
