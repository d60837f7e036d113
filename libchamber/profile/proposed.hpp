#pragma once
// A chamber somebody else drew, as points or DXF, read into the meridian the rest of the program works with.
#include "chamber/profile/segment.hpp"
#include "chamber/units/result.hpp"
#include <iosfwd>
#include <optional>
#include <string>

namespace chamber::profile {

enum class LengthUnit { automatic, millimetre, inch };
/// What the number across the axis is.
enum class Across { automatic, radius, diameter };
/// Whether the number along the axis grows into the insert (up) or out of it (down).
enum class Depth { automatic, up, down };
/// Where the sealing face lies: at the profile's rim, or at the file's zero.
enum class Face { automatic, rim, zero };
/// How the turning axis lies in a drawing.
enum class TurningAxis { automatic, vertical, horizontal };

/// What a reader need not guess. Whatever is left automatic is recognised, and said in Proposed::taken.
struct ProposedOptions {
  LengthUnit unit = LengthUnit::automatic;
  Across across = Across::automatic;
  Depth depth = Depth::automatic;
  Face face = Face::automatic;
  int across_column = 0, depth_column = 0; ///< points: counted from 1, 0 = recognised; both or neither
  std::string layer;                       ///< DXF: empty = the layer that holds a profile
  TurningAxis axis = TurningAxis::automatic;
  std::optional<double> axis_at_mm;     ///< DXF: where the axis lies across its own direction
  std::optional<double> roof_mm;        ///< height above the sealing face at which a plug hole is capped
  std::optional<double> bore_radius_mm; ///< of the engine: tells radius from diameter and mm from inch
};

/// A proposed chamber.
struct Proposed {
  Chain chain;                       ///< rim -> axis, z = 0 sealing face, z up into the insert, cavity on the left; mm
  std::vector<std::string> taken;    ///< what was recognised or assumed, in sentences
  std::vector<std::string> cautions; ///< what may be wrong with it
};

/// At most so many points are kept; a finer table is thinned, and it is said how far the dropped ones lay from the
/// line.
inline constexpr std::size_t most_kept_points = 20000;

/// Points along the profile, two columns among at most eight: comma, semicolon, tab or blanks between them, with or
/// without header and comments, decimal comma except between commas. Reads as it goes: memory does not grow with the
/// file. One problem, with its line where there is one.
Results<Proposed> read_points(std::istream& in, const std::string& file, const ProposedOptions& options);

/// ASCII DXF, R12 to 2018: LINE, ARC, POLYLINE and LWPOLYLINE with bulges, blocks inserted without distortion. Closes
/// gaps of up to 0.01 mm. One problem, with its line where there is one.
Results<Proposed> read_dxf(std::istream& in, const std::string& file, const ProposedOptions& options);

/// How write_points writes.
struct PointsStyle {
  char separator = ','; ///< ';' and tab bring a decimal comma with them if `decimal_comma`
  bool header = true, diameter = false, depth_down = false, inch = false, decimal_comma = false, from_axis = false;
  int decimals = 6;
  double chord_error_mm = 1e-4; ///< arcs are sampled so that no chord is further than this from its arc
};
std::string write_points(ChainView chain, const PointsStyle& style);

/// DXF R12 with $INSUNITS and $MEASUREMENT: x the radius, y the height; one POLYLINE with bulges, or LINE and ARC.
struct DxfStyle {
  bool bulges = true, inch = false;
  std::string layer = "CHAMBER";
};
std::string write_dxf(ChainView chain, const DxfStyle& style);

} // namespace chamber::profile
