#pragma once
// A view in the making: what is drawn so far, and the search for a free place for every word.
#include "chamber/drawing/picture.hpp"
#include "chamber/profile/distance.hpp"
#include <functional>
#include <optional>

namespace chamber::drawing::detail {

inline constexpr double word_height = 2.5;    ///< mm, ISO 3098 / ISO 129-1 on A4
inline constexpr double arrow_length = 2.5;   ///< mm
inline constexpr double word_clearance = 0.6; ///< mm kept free round words

/// A dimension's words: over its line, and (other unit) under it.
struct Label {
  std::string over, under;
};

/// From where an arrow may come: its tip, and the direction away from it (unit).
struct Aim {
  Point tip, direction;
  double cost = 0; ///< mm of leader that another aim may be longer by and still be preferred
};
enum class Ending { arrow, dot, none };

/// ISO 1101: what is toleranced, by how much, and from which datum (empty: none).
struct ToleranceFrame {
  std::string symbol, value, datum;
};

/// Words on a leader, or (bare) words beside a point, or a tolerance frame on a leader with the words over it.
struct Note {
  std::string words;
  std::vector<Aim> aims;
  Ending ending = Ending::arrow;
  bool bare = false;
  std::string under{};    ///< a second line, under the shelf
  bool elsewhere = false; ///< also said in a table: left out when there is no place
  std::optional<ToleranceFrame> frame{};
};

/// One of the two lines that an angle lies between.
struct Leg {
  Point direction; ///< from the vertex outwards, unit
  double there;    ///< mm from the vertex up to which a line is drawn already, negative: behind it
};

/// Base line over a line that the words stand on, clear of letters that reach down.
double lift(const std::string& words);
/// Base line under a line that the words hang from.
double drop(const std::string& words);
Box box_round(Point a, Point b);
/// Corners of a closed chain on the sheet, arcs in steps of some 1.5 mm.
std::vector<Point> flattened(profile::ChainView closed, double scale);
/// Even-odd; on the edge either.
bool inside(const std::vector<Point>& polygon, Point p);

class Board {
public:
  Picture picture;

  /// A model whose origin lies at (0, 0) of the view, `scale` sheet mm for one of its.
  explicit Board(double scale) : scale_(scale) {}
  double scale() const { return scale_; }
  Point at(double r, double z) const { return {r * scale_, z * scale_}; }
  Point at(const profile::P& p) const { return at(p.r, p.z); }

  void line(Point a, Point b, Layer layer);
  /// A connected chain as one polyline; `left`: mirrored about the axis.
  void chain(profile::ChainView chain, Layer layer, bool left = false);
  void arrow(Point tip, Point direction);
  void dot(Point at, double radius = 0.5);
  /// A dot that words must not cover.
  void mark(Point at);
  /// Words that must find their place where they are; false when it is taken (nothing is drawn).
  bool words(const Text& text);
  bool words_free(const Text& text) const;
  bool box_free(const Box& box) const;
  /// Keeps words off a box that is filled later.
  void keep_free(const Box& box) { words_.push_back(box); }

  // Dimensions draw their extension lines at once; lines and words follow in finish_dimensions(), when it is known what
  // they must keep clear of.

  /// An extension line to an arrow's point and a little beyond. It is broken off where it would lie on another line
  /// that is not one of its own kind (ISO 129-1, from memory: extension lines may be interrupted).
  void extension(Point feature, Point end);

  /// Dimension line between two features along a line x = const (upright) or y = const.
  void upright(double x, Point feature_a, Point feature_b, const Label& label);
  void level(double y, Point feature_a, Point feature_b, const Label& label);
  /// A diameter of which only the right end is seen: the line runs over the axis x = 0, one arrow.
  void half_diameter(double y, Point feature, const Label& label);
  /// Dimensions end to end along x; `features` from one end to the other, one label for each span.
  void upright_chain(double x, std::vector<Point> features, std::vector<Label> labels);
  /// Words that are too long for their line become notes. After the last dimension.
  void finish_dimensions();
  /// An angle below 180 degrees, its arc no farther than this from the vertex. False where there is no free place or
  /// the legs are too close together to be told apart: then nothing is drawn. After finish_dimensions().
  bool angle(Point vertex, Leg p, Leg q, double farthest, const std::string& words);

  /// Asks for a place; finish() finds it.
  void note(Note note) { notes_.push_back(std::move(note)); }

  /// The cut metal: words rather stand beside it.
  void set_metal(profile::ChainView closed);

  /// Lines at 45 degrees inside the closed chain and the box (sheet mm), spared where words are; drawn by finish().
  void hatch(profile::Chain closed, const Box& within) { hatched_ = std::move(closed), hatched_within_ = within; }

  /// Places the notes and hatches. What was asked for is all there then, or ok() is false. What came before only grows.
  void finish();

  /// How far an extension line goes from a feature without a break, mm.
  double extended(Point feature, Point direction) const;

  /// Box over all lines and words placed so far.
  const Box& extent() const { return extent_; }
  bool ok() const { return ok_; }
  Point thrift{1, 1}; ///< what it costs that notes make the view wider and higher, against all else
  std::string failed; ///< the first words that found no place

private:
  struct Stroke {
    Point a, b;
    Layer layer;
    Box box;
  };
  /// A note's place.
  struct Placed {
    double cost = 1e9;
    Text text, under;
    Box frame{};               ///< of a tolerance frame
    std::vector<Point> leader; ///< tip, elbow, end of shelf
    bool found() const { return cost < 1e6; }
  };
  struct Size {
    double width, lift, drop; ///< of the words over the shelf, and under it
    Box ink, under;           ///< of the words over the shelf, and of those under it, begun at (0, 0)
  };
  double leader_cost(Point a, Point b, Point tip, double most) const;
  double metal_along(Point a, Point b) const;
  void try_note(const Note& note, const Size& size, const Aim& aim, double reach, int side, Placed& best) const;
  Placed place(const Note& note) const;
  void occupy(const Placed& placed);
  void draw(const Note& note, const Placed& placed);
  std::vector<Placed> place_all();
  void draw_hatching();
  void stroke(Point a, Point b, Layer layer) { strokes_.push_back({a, b, layer, box_round(a, b)}); }
  bool give_up(const std::string& words);
  void axis_dimension(Point a, Point b, const Label& label);
  void half_line(Point end, const Label& label);
  void chain_words(double x, const std::vector<Point>& features, const std::vector<Label>& labels);
  double angle_line_cost(Point a, Point b, Point vertex, const Leg& p, const Leg& q, bool is_arc) const;
  double growth(const Box& box) const;

  double scale_;
  std::vector<Stroke> strokes_;
  std::vector<Box> words_;
  std::vector<std::function<void()>> later_;
  std::vector<Note> notes_;
  Box extent_{};
  std::vector<Point> metal_;
  Box metal_box_{};
  profile::Chain hatched_;
  Box hatched_within_{};
  bool ok_ = true;
};

/// Sixteen directions round a point.
std::vector<Aim> aims_round(Point tip);
/// Vertices of a connected chain on the sheet.
Polyline polyline_of(profile::ChainView chain, double scale, bool left, Layer layer);
bool crosses(Point a, Point b, Point c, Point d);
bool meets(Point a, Point b, const Box& box);
/// From where to where, mm from a, the line from a to b runs beside the one from p to q: nearer than `within`, and
/// their directions less than 20 degrees apart. Nothing if it does not.
std::optional<std::pair<double, double>> beside(Point a, Point b, Point p, Point q, double within);

/// How large a tolerance frame is, and the frame with its lower left corner at a place.
double width_of(const ToleranceFrame& frame);
inline constexpr double frame_height = 2 * word_height; ///< ISO 7083, from memory
void draw_frame(Picture& picture, Point at, const ToleranceFrame& frame);

} // namespace chamber::drawing::detail
