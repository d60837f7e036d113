#pragma once
// The proof's own view of the programs: strokes of each tool's reference point, each with the tool's silhouette.
#include "chamber/turning/prove.hpp"
#include "chamber/turning/sweep.hpp"
#include <memory>

namespace chamber::turning::detail {

/// How a tool takes metal.
enum class Cutter { nose, drill, centre_drill, radial_blade, axial_blade, thread_point, tap };

/// A tool as the sweep sees it. A turning tool is a boring tool on the far side of the axis.
struct Silhouette {
  const Tool* tool = nullptr;
  Cutter cutter = Cutter::nose;
  double nose = 0;                       ///< radius, of blades that of the corners; 0 for drills and taps
  double side = 1;                       ///< -1: strokes lie across the axis
  std::vector<sweep::Edge> cutting, bar; ///< upper edges that may touch metal, and that may not
};

/// One motion of a tool. Clamping coordinates (r, w) unless it says otherwise.
struct Stroke {
  const Motion* motion = nullptr;
  std::size_t silhouette = 0;
  sweep::Path path; ///< of the reference point; across the axis where the silhouette's side is -1
  sweep::Box cut;   ///< box of what nose and cutting edges cover; of a blade: what it covers, tip to holder
  /// Insert coordinates: discs of the nose's radius that run along these bound what the tool cuts. None for drills,
  /// taps and threads. Of a blade the sides of `core`, what it covers less the nose's radius all round.
  std::vector<sweep::Path> rims;
  sweep::Box core{0, 0, 0, 0};

  bool rapid() const { return motion->kind == MotionKind::rapid; }
};

/// A run with its strokes.
struct Sweep {
  const Run* run = nullptr;
  int index = 0;
  std::vector<Silhouette> silhouettes;
  std::vector<Stroke> strokes;

  const Silhouette& of(const Stroke& k) const { return silhouettes[k.silhouette]; }
  bool top_side() const { return run->clamping.side == Side::top; }
};

/// Turns motions into strokes; complains about unknown tools and starts.
Sweep strokes_of(const Run& run, int index, double height_mm, std::span<const Tool> tools,
                 std::vector<Failure>& failures);

/// Highest w that nose and cutting edges of the stroke cover in the column; a blade's by its tip.
double cut_top(const Silhouette& s, const Stroke& k, double r);
/// By how much a blade's rounded corners draw its flanks in, this far behind its tip.
double corner_draw(double corner, double behind);

/// Metal in a column, from one height to another.
struct Span {
  double low, high;
};
using Spans = std::vector<Span>;
inline constexpr double nothing = 1e9; ///< where the metal of an empty column begins
double front_of(const Spans& column);
/// Takes [low, high] out of the column; returns how much metal that was.
double take(Spans& column, double low, double high);
/// Deepest that [low, high] reaches into metal.
double overlap(const Spans& column, double low, double high);

/// The finished insert in insert coordinates.
struct Outline {
  profile::Chain closed;         ///< metal on the right: chamber, plug hole, outside with its grooves
  profile::Chain cut;            ///< what has to be cut to the drawing, inner corners of the outside rounded
  bool whole = false;            ///< the outside is turned too
  std::size_t chamber_count = 0; ///< so many segments of `cut` are the chamber's
  double hole_radius_mm = 0;
};
/// `blank_*`: of the first clamping, for the faces that are not turned.
Outline outline_of(const Work& work, double blank_radius_mm, double blank_height_mm, std::vector<Failure>& failures);
bool inside_metal(const Outline& outline, const sweep::P& p);
/// Metal of the finished insert in a column.
Spans finished_spans(const Outline& outline, double r);

sweep::Path path_of(const profile::S& s);
double box_gap(const sweep::Box& a, const sweep::Box& b);

/// The piece in the chuck on a grid of columns of r.
struct Piece {
  double grid_mm = 0;
  std::vector<Spans> columns;

  double column(std::size_t i) const { return (static_cast<double>(i) + 0.5) * grid_mm; }
};
/// Depth of a finished piece's front at this radius; 0 where its surface does not reach.
double standing_at(const Clamping& clamping, double r);
Piece blank_of(const Clamping& clamping, double grid_mm);
Piece turned_round(Piece piece, double height_mm);

/// The runs swept in order over one piece, which is turned round between them.
struct Carried {
  std::vector<Sweep> sweeps;
  std::vector<std::vector<int>> owners; ///< of each sweep, as carry_stock returns them
  Piece piece;                          ///< what is left, insert coordinates
};
class Watcher;
Carried carry(std::span<const Run> runs, const Work& work, const Outline& outline, std::span<const Tool> tools,
              Proof& proof, Watcher* watcher);
Outline outline_of(std::span<const Run> runs, const Work& work, std::vector<Failure>& failures);

/// Called before the first and after every stroke with the piece as it then is.
class Watcher {
public:
  virtual ~Watcher() = default;
  virtual void before(const Sweep& sweep, const Piece& piece) = 0;
  virtual void after(const Sweep& sweep, std::size_t stroke, const Piece& piece) = 0;
};

/// Draws what stands after each tool call; holds on to all three.
std::unique_ptr<Watcher> draughtsman(const Work& work, const Outline& outline, std::vector<StepPicture>& into);

/// Jaws and mandrel against all that the tools cover.
void check_chuck(const Sweep& sweep, double height_mm, Proof& proof);

/// Carries the piece through the program in time order: rapids and bars through metal, metal left beneath a cut,
/// edges beyond the finished part, depth of cut. Returns for every column the stroke that cut it last (or -1).
std::vector<int> carry_stock(const Sweep& sweep, const Outline& outline, double height_mm, Piece& piece, Proof& proof,
                             Watcher* watcher = nullptr);

/// Sets volume_left_cc and volume_error_cc. `owners`: what carry_stock returned for the sweep, to know whose corners
/// matter; `through_radius_mm`: of the hole that is there besides.
void measure_cavity(const Sweep& sweep, const Work& work, const std::vector<int>& owners, double through_radius_mm,
                    Proof& proof);

/// Checks tapping and single-point passes against the thread that is wanted.
void check_thread(std::span<const Sweep> sweeps, const Work& work, const Outline& outline, Proof& proof);

/// Speeds and feeds against lathe and tools, and where tools are changed.
void check_rates(std::span<const Run> runs, std::span<const Tool> tools, const Machine& machine, Proof& proof);

void add_failure(Proof& proof, Failure failure);

} // namespace chamber::turning::detail
