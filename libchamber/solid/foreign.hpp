#pragma once
// Somebody else's STEP file measured: turning axis, sealing face, chamber, plug hole. This header is free of the CAD
// kernel.
#include "chamber/profile/segment.hpp"
#include "chamber/units/result.hpp"
#include <array>
#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace chamber::solid {

using Vector3 = std::array<double, 3>;

/// A line in the file's own coordinates, mm.
struct Axis {
  Vector3 point{}, direction{};
};

/// What the solid is: the metal of a head insert, or the chamber's own room.
enum class Body { insert, cavity };

/// What the caller knows better than the search, and the limits of the measuring.
struct MeasureOptions {
  std::optional<Body> body{};
  std::optional<Axis> axis{};          ///< turning axis; the length and sense of its direction do not matter
  std::optional<double> sealing_mm{};  ///< the sealing face's place along the axis, as Measured::sealing_mm counts it
  std::optional<double> plug_end_mm{}; ///< height of the plug's end above the sealing face, on the hole's own axis
  std::optional<std::size_t> solid{};  ///< which solid of several, from 1
  double time_limit_s = 60;            ///< above 0
  std::size_t memory_limit_mb = 2048;  ///< address space the kernel may take, above 0
};

/// A round hole from the chamber to the outside, closed for the measuring.
struct PlugHole {
  double radius_mm = 0;
  double end_mm = 0;    ///< height above the sealing face where it was closed, on its own axis
  double top_mm = 0;    ///< height where its cylinder ends on the far side, highest point
  double tilt_deg = 0;  ///< its axis to the turning axis
  double offset_mm = 0; ///< of the closing disc's centre from the turning axis
  bool at_roof = false; ///< closed flush with a flat pocket roof; else where the hole leaves the bowl, or where told
};

/// What a STEP file holds. Heights count from the sealing face, into the insert.
struct Measured {
  Body body = Body::insert;
  std::string unit; ///< of the file, in its own words; everything below is in millimetres
  std::size_t solids = 1, solid = 1;
  Axis axis;                        ///< its direction points from the piston into the insert
  double axis_share = 0;            ///< of the area of all curved faces, that which is turned about the axis
  double sealing_mm = 0;            ///< place of the sealing face: dot(axis.direction, point of the face)
  double sealing_radius_mm = 0;     ///< largest radius of the sealing face about the axis
  double mouth_area_mm2 = 0;        ///< of the chamber's opening in the sealing face
  double mouth_radius_mm = 0;       ///< largest radius of that opening about the axis
  double volume_mm3 = 0;            ///< of the cavity, plug holes closed
  double volume_doubt_mm3 = 0;      ///< by how much two ways to it differ
  double depth_mm = 0;              ///< highest point of the cavity
  double height_mm = 0;             ///< extent of the whole solid along the axis
  double largest_diameter_mm = 0;   ///< of the whole solid about the axis
  std::vector<PlugHole> plug_holes; ///< none in a cavity
  bool turned = false;              ///< the chamber and its plug hole are bodies of revolution about the axis
  std::string not_turned;           ///< why not, one sentence; empty if turned
  /// Exact meridian of the chamber, rim -> axis, z = 0 the sealing face, cavity on the left; empty where not turned or
  /// where a face's meridian is neither line nor arc (no_chain says which).
  profile::Chain chain;
  /// Where the chamber is not turned: the part of a meridian that still is, from the rim inwards to where the first
  /// edge that is no circle about the axis begins: the squish band beside an offset bowl. May be empty.
  profile::Chain turned_rim;
  std::string no_chain;           ///< why there is none, one sentence; empty if there is
  std::vector<std::string> notes; ///< what was taken for what, in plain sentences
};

/// Reads and measures the file in a process of its own, so that a file on which the CAD kernel crashes, hangs or eats
/// the memory costs a message and nothing else. Safe to call from any thread.
///
/// The volume is the flux of P/3 through the chamber's own faces, integrated over their parameters, plus that of the
/// discs that close the plug holes: no face is cut, and the sealing face, which holds the origin, adds nothing. So it
/// is exact for shapes that are not turned, too.
///
/// Fails on what is no STEP file, is truncated, holds no solid or several without a choice, an invalid or open one;
/// where axis, sealing face or chamber are not found or contradict the options; on a chamber that is open beside its
/// plug holes; on a crash and past the limits.
Result<Measured> measure_step(const std::string& path, const MeasureOptions& options = {});

} // namespace chamber::solid
