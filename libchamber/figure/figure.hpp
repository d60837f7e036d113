#pragma once
// Illustrations: charts, the section of a chamber, what stands after each tool. A figure is a short list of shapes and
// words, written as SVG for the screen and painted on paper from the same list. (Workshop drawings, true to scale and
// in lettering of their own, are the room drawing's.)
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

namespace chamber::figure {

/// In the figure's own unit, x to the right and y down, as everything here.
struct Point {
  double x = 0, y = 0;
};

struct Box {
  double x = 0, y = 0, width = 0, height = 0;
};

/// One step of a pen.
struct Step {
  enum class Kind { move, line, arc, close };
  Kind kind = Kind::move;
  Point to{};
  double radius = 0;                     ///< of an arc
  bool large = false, clockwise = false; ///< over half a turn; as seen
};

class Path {
public:
  Path& move(double x, double y) { return add({Step::Kind::move, {x, y}}); }
  Path& line(double x, double y) { return add({Step::Kind::line, {x, y}}); }
  Path& arc(double radius, bool large, bool clockwise, double x, double y) {
    return add({Step::Kind::arc, {x, y}, radius, large, clockwise});
  }
  Path& close() { return add({Step::Kind::close}); }
  Path& append(const Path& other);
  Path& rectangle(const Box& b);
  Path& circle(Point centre, double radius);

  bool empty() const { return steps_.empty(); }
  const std::vector<Step>& steps() const { return steps_; }

private:
  Path& add(const Step& s);
  std::vector<Step> steps_;
};

/// A colour, "#rrggbb", and what the screen takes instead of it, where the page's colours change ("currentColor",
/// "var(--metal, #d5d9df)"). Both live as long as the program.
struct Ink {
  std::string_view colour = "#000000", on_screen{};
};

/// Lines at 45 degrees, rising.
struct Hatching {
  double pitch = 2, width = 0.2;
};

struct Fill {
  Ink ink{};
  double opacity = 1;
  std::optional<Hatching> hatching{}; ///< instead of the whole area
};

struct Stroke {
  double width = 1;
  Ink ink{};
  std::vector<double> dashes{}; ///< marks and gaps in turn
  bool round = false;           ///< where lines join
};

struct Shape {
  Path path;
  std::optional<Fill> fill;
  std::optional<Stroke> stroke;
  bool clipped = false; ///< to the figure's clip
};

enum class Anchor { start, middle, end };

struct Words {
  Point at; ///< on the base line
  std::string text;
  double size = 12;
  Anchor anchor = Anchor::start;
  bool bold = false;
  bool upwards = false; ///< to be read from the right
  Ink ink{};
};

using Item = std::variant<Shape, Words>;

struct Figure {
  Box view;                  ///< what is seen of it
  std::string says;          ///< for those who cannot see it
  double width_px = 0;       ///< on a screen; 0: as wide as there is room
  bool on_white = true;      ///< it brings its own paper
  Box clip{};                ///< for the shapes that ask for it
  std::vector<Item> items{}; ///< later ones lie over earlier ones

  void shape(Path path, std::optional<Fill> fill, std::optional<Stroke> stroke = {}, bool clipped = false);
  void line(Point from, Point to, Stroke stroke);
  void words(Words w) { items.emplace_back(std::move(w)); }
};

/// Width over height.
double aspect(const Figure& figure);

/// Room the text takes in a common sans-serif font of this size, from above, in the size's unit.
double text_width(std::string_view text, double size);

/// A whole <svg> element. Its ids begin with `ids`, so that several stand in one page. Throws std::logic_error where a
/// number is not finite.
std::string to_svg(const Figure& figure, std::string_view ids = "");

} // namespace chamber::figure
