#pragma once
// What is to be turned, out of what, held how: plain data, shared by the planner and the proof.
// Insert coordinates: r the radius, z = 0 the sealing face, z up into the insert, away from the piston. A clamping has
// its own depth w = 0 at its finished face, growing towards the chuck: w = z with the chamber side out, w = height - z
// with the top out; its program's Z is -w.
#include "chamber/profile/segment.hpp"
#include "chamber/turning/tools.hpp"
#include <string>
#include <string_view>
#include <vector>

namespace chamber::turning {

/// The end of the insert that looks at the tailstock.
enum class Side { chamber, top };
std::string_view name(Side side); ///< "chamber side", "top side"

/// A groove with square walls: in the sealing face (cut along the axis) or round an outside step (cut along the
/// radius). Insert coordinates, mm.
struct Groove {
  std::string name;
  bool in_face = false;
  double r_inner_mm = 0, r_outer_mm = 0, z_low_mm = 0, z_high_mm = 0;
};

/// The plug's internal thread, cut through from the top side. Lengths mm.
struct Thread {
  std::string name; ///< "M14x1.25"; empty: no thread is cut
  double major_mm = 0, pitch_mm = 0;
  double minor_low_mm = 0, minor_high_mm = 0; ///< limits of the tap drill hole, diameters
};

/// How the work is held. First clamping: the blank in hard jaws on its outside. Lengths mm.
struct Chucking {
  Side first = Side::chamber;
  enum class Second { soft_jaws, mandrel };
  /// soft_jaws: on the widest step, finished in the first clamping. mandrel: screwed on the plug thread; needs the top
  /// side first.
  Second second = Second::soft_jaws;
  double grip_mm = 10;       ///< of the blank in the first clamping's jaws
  double second_grip_mm = 0; ///< on the widest step; 0: as much as its length allows
  double face_mm = 1;        ///< taken off the blank's first end; the rest of its surplus goes off the other
  bool bar = false;          ///< a bar, sawn off to the blank's length after the first clamping; else a sawn blank
};

/// What is to be turned. Lengths mm, insert coordinates.
struct Work {
  std::string title, material;
  profile::Chain chamber; ///< rim -> axis, plug fitted, cavity on the left
  std::vector<std::string> names;
  double plug_hole_radius_mm = 0; ///< of the tapped hole before tapping; what the pilot may not exceed
  double height_mm = 0;           ///< sealing face to finished top

  /// rim -> over the sealing face -> up the steps -> over the top -> plug seat -> edge of the plug hole, metal on the
  /// left, grooves left out. Empty: only the chamber is turned, its face at z = 0 is finished.
  profile::Chain outside;
  std::vector<std::string> outside_names;
  std::vector<Groove> grooves;
  Thread thread;
  double inner_corner_mm = 0.4; ///< largest round left in square inner corners of the outside; the drawing says so
};

/// What stands in the chuck in one clamping, in its own coordinates. Lengths mm.
struct Clamping {
  Side side = Side::chamber;
  double front_mm = 0;    ///< raw face in front of Z0: the blank begins at w = -front_mm
  double length_mm = 0;   ///< of the piece, from its raw face to its back
  double diameter_mm = 0; ///< of the blank
  double bore_mm = 0;     ///< diameter of a hole that runs through already; 0: none
  double jaws_mm = 0;     ///< depth w at which the jaws begin; 0: not known, nothing is checked
  double grip_diameter_mm = 0;
  bool soft_jaws = false, mandrel = false;
  double mandrel_mm = 0; ///< diameter of the mandrel, which ends at mandrel_end_mm
  double mandrel_end_mm = 0;
  double grip_mm = 0; ///< length gripped; 0: all that lies behind the jaws
  /// Of a piece that is finished already: its front surface, outermost -> axis, falling in r, grooves left out. Empty:
  /// a blank with a flat face.
  profile::Chain standing{};
  double stick_out_mm() const { return jaws_mm + front_mm; }
  double gripped_mm() const { return grip_mm > 0 ? grip_mm : length_mm - stick_out_mm(); }
};

} // namespace chamber::turning
