#pragma once
// What stands in the tool post, the lathe and the chuck: plain data, shared by the planner and the proof.
#include <string>
#include <string_view>
#include <vector>

namespace chamber::turning {

/// turning: faces and outside; grooving: a blade that plunges along the radius, face_grooving: along the axis;
/// threading: internal, single point.
enum class ToolKind { drill, boring, turning, grooving, face_grooving, threading, tap };
std::string_view name(ToolKind kind);

/// Which cuts a boring or turning tool is kept for; centring: a drill that only marks the centre for the next one.
enum class Purpose { any, roughing, finishing, centring };

/// One tool. Lengths mm. The silhouette of a boring tool in the meridian plane: a nose, from it the end edge towards
/// the axis and the side edge towards the tailstock, each falling away from face and wall by its angle; the head goes
/// on along the end edge, and the bar's full width begins half a shank behind the tip, on the axis side of it.
/// A turning tool is its mirror image: nose, end edge away from the axis (falling away from a shoulder by its angle),
/// side edge along the turned wall; the holder goes on behind the end edge.
/// A blade is a rectangle of its width with corners rounded by nose_radius_mm, as long as max_depth_mm.
struct Tool {
  int number = 0;
  ToolKind kind = ToolKind::boring;
  std::string name;
  Purpose purpose = Purpose::any;

  double nose_radius_mm = 0;
  /// 1-9 as the rs274 interpreter numbers them. Control point less nose centre: X - nose: 1, 2, 6; X + nose: 3, 4, 8;
  /// Z - nose: 2, 3, 7; Z + nose: 1, 4, 5; 9: the centre itself. A boring bar cutting towards X+ and Z- is 3.
  int orientation = 3;
  double end_edge_angle_deg = 5;  ///< end edge to the face; what a slope falling towards the axis may not exceed
  double side_edge_angle_deg = 5; ///< side edge to the wall
  double edge_length_mm = 0;      ///< of the end edge that cuts; 0: twice the depth per pass

  double diameter_mm = 0;       ///< drills and taps (the tap's major diameter)
  double point_angle_deg = 118; ///< drills
  double pitch_mm = 0;          ///< taps; threading: the coarsest it may cut, 0 = any
  double chamfer_mm = 0;        ///< taps: length of the cutting chamfer, which has to run out below the thread
  double width_mm = 0;          ///< blades
  double face_min_mm = 0, face_max_mm = 0; ///< face_grooving: diameters its first plunge may have; 0 = any

  double shank_mm = 0; ///< diameter of the bar
  bool carbide_shank = false;
  double min_bore_mm = 0;    ///< tip to the far side of the bar; 0: as the shank
  double neck_mm = 0;        ///< the same over the slimmer neck behind the tip; 0: no neck
  double neck_length_mm = 0; ///< of the neck, from the tip
  double reach_mm = 0;       ///< stick-out: tip to holder

  /// boring, turning: depth per pass, on the radius; drills: per peck, 0 = one diameter; blades: deepest groove;
  /// threading: deepest single pass, on the radius.
  double max_depth_mm = 0;
  double cutting_speed_m_per_min = 0;
  double feed_mm_per_rev = 0;
};

/// Length of a boring tool's cutting end edge.
double cutting_edge_mm(const Tool& tool);

enum class Toolpost { rear, front };

/// The lathe and how its control wants to be spoken to. Lengths mm.
struct Machine {
  std::string name = "lathe";
  std::string dialect = "rs274"; ///< one of dialect_names()
  Toolpost toolpost = Toolpost::rear;
  /// False: G2 and G3 are reckoned in the axes (X away from the spindle), the same for both toolposts; true: as the
  /// operator sees the arc from above, which at a front toolpost is the other way round.
  bool arcs_from_above = false;
  bool diameter_mode = true; ///< X words are diameters
  bool inch = false;         ///< G20
  int decimals = 0;          ///< of coordinates; 0: 3 in mm, 4 in inch
  int max_line_length = 70;
  int program_number = 1001; ///< of the first clamping; the second has the next
  double clamp_rpm = 2500;   ///< spindle speed is never programmed above it
  bool coolant = true;
  double change_x_mm = 120; ///< tool-change position, diameter
  double change_z_mm = 120;
  double rapid_mm_per_min = 5000;
};
/// Decimals of a coordinate word.
int coordinate_decimals(const Machine& machine);

/// A length in the program's unit, for people: "92.25 mm", "3.632 in"; `decimals` of a mm, one more of an inch.
std::string in_words(bool inch, double mm, int decimals = 2);
std::string in_words(const Machine& machine, double mm, int decimals = 2);
/// The same for a limit somebody is to keep: rounded so that the figure itself keeps it, down where it is the most, up
/// where it is the least.
std::string most_in_words(bool inch, double mm, int decimals = 2);
std::string least_in_words(bool inch, double mm, int decimals = 2);

/// The lathe's name and where its toolpost is, said once: "flat-bed lathe, front toolpost".
std::string with_toolpost(const Machine& machine);

/// Whether G2 and G3 stand for each other on this machine: front toolpost, arcs as seen from above.
bool arcs_swapped(const Machine& machine);

/// The blank. Lengths mm.
struct Stock {
  double outside_diameter_mm = 0;
  double thickness_mm = 0; ///< whole length; where only the chamber is turned: sealing face to its back
  double bore_mm = 0;      ///< diameter of a pilot bore already through it; 0: none
};

/// An invented set that does for the chamber of an M14 insert: drill, roughing bar, finishing bar.
std::vector<Tool> example_tools();
/// The same with what the rest of the insert needs: turning tool, blades, threading tool.
std::vector<Tool> example_whole_tools();

} // namespace chamber::turning
