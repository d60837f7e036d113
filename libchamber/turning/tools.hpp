#pragma once
// What stands in the tool post, the lathe and the chuck: plain data, shared by the planner and the proof.
#include <string>
#include <string_view>
#include <vector>

namespace chamber::turning {

enum class ToolKind { drill, boring, turning, facing, grooving, threading, tap };
std::string_view name(ToolKind kind);

/// Which cuts a boring tool is kept for.
enum class Purpose { any, roughing, finishing };

/// One tool. Lengths mm. The silhouette of a boring tool in the meridian plane: a nose, from it the end edge towards
/// the axis and the side edge towards the tailstock, each falling away from face and wall by its angle; the head goes
/// on along the end edge, and the bar's full width begins half a shank behind the tip, on the axis side of it.
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

  double diameter_mm = 0;       ///< drills and taps
  double point_angle_deg = 118; ///< drills

  double shank_mm = 0; ///< diameter of the bar
  bool carbide_shank = false;
  double min_bore_mm = 0;    ///< tip to the far side of the bar; 0: as the shank
  double neck_mm = 0;        ///< the same over the slimmer neck behind the tip; 0: no neck
  double neck_length_mm = 0; ///< of the neck, from the tip
  double reach_mm = 0;       ///< stick-out: tip to holder

  double max_depth_mm = 0; ///< boring: depth per pass, on the radius; drills: per peck, 0 = one diameter
  double cutting_speed_m_per_min = 0;
  double feed_mm_per_rev = 0;
};

/// Length of a boring tool's cutting end edge.
double cutting_edge_mm(const Tool& tool);

enum class Toolpost { rear, front };

/// The lathe and how its control wants to be spoken to. Lengths mm.
struct Machine {
  std::string name = "lathe";
  std::string dialect = "rs274"; ///< the only one of this first form
  /// Only said in the header: rs274 reckons arcs in coordinates (X away from the spindle), the same for both.
  Toolpost toolpost = Toolpost::rear;
  bool diameter_mode = true; ///< X words are diameters
  bool inch = false;         ///< G20
  int decimals = 0;          ///< of coordinates; 0: 3 in mm, 4 in inch
  int max_line_length = 70;
  int program_number = 1001;
  double clamp_rpm = 2500; ///< spindle speed is never programmed above it
  bool coolant = true;
  double change_x_mm = 120; ///< tool-change position, diameter
  double change_z_mm = 80;
  double rapid_mm_per_min = 5000;
};
/// Decimals of a coordinate word.
int coordinate_decimals(const Machine& machine);

/// The blank, chucked on its outside, sealing face outwards and finished at Z0. Lengths mm.
struct Stock {
  double outside_diameter_mm = 0;
  double thickness_mm = 0; ///< sealing face to the back of the blank
  double bore_mm = 0;      ///< diameter of a pilot bore already through it; 0: none
};

/// An invented set that does for an M14 plug: drill, roughing bar, finishing bar.
std::vector<Tool> example_tools();

} // namespace chamber::turning
