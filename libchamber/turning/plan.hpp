#pragma once
// Plans the chamber side: pilot, roughing in explicit passes, one finishing pass from the rim to the axis.
#include "chamber/profile/segment.hpp"
#include "chamber/turning/tools.hpp"
#include "chamber/units/result.hpp"
#include <string>
#include <vector>

namespace chamber::turning {

/// What is to be turned, and with what. Lengths mm.
struct Job {
  std::string title;
  std::string material;
  profile::Chain chamber;         ///< rim -> axis, z = 0 the sealing face, z up into the insert, cavity on the left
  std::vector<std::string> names; ///< of its segments, for messages; may be shorter
  double plug_hole_radius_mm = 0; ///< what the pilot may not exceed
  double insert_height_mm = 0;    ///< sealing face to finished top
  double allowance_mm = 0.25;     ///< left for the finishing pass, normal to the profile
  double semi_finish_mm = 0.2;    ///< left on top of it by the stepped passes
  double roughness_um = 6.3;      ///< height R of the turned surface; the finishing feed follows from it
  /// Rounds smaller than the finishing nose: true leaves the metal standing and reports it, false refuses.
  bool leave_tight_rounds = false;
  std::vector<Tool> tools;
  Machine machine;
  Stock stock;
};

/// A move of the control point, program axes: x_mm the RADIUS, z_mm negative in the chamber.
struct Move {
  enum class Kind { rapid, line, arc_cw, arc_ccw }; ///< cw and ccw as G2 and G3 mean them, Z to the right and X up
  Kind kind = Kind::rapid;
  double x_mm = 0, z_mm = 0;
  double centre_x_mm = 0, centre_z_mm = 0; ///< arcs
  double feed_mm_per_rev = 0;              ///< 0 on rapids
};

enum class Cut { drill, rough, finish };

/// All one tool does between its call and its retreat.
struct Operation {
  Cut cut = Cut::rough;
  std::string title;
  Tool tool;
  bool constant_speed = false; ///< G96, with the machine's clamp; else G97
  double speed = 0;            ///< m/min under constant_speed, else rpm
  int passes = 0;
  std::vector<Move> moves;        ///< from and to a point clear of the work
  std::vector<std::string> notes; ///< for comments
};

struct Plan {
  std::string title, material;
  Stock stock;
  double insert_height_mm = 0;
  std::vector<Operation> operations;
  profile::Chain finished;        ///< the chamber as it will be cut: the profile, less rounds left standing
  double tight_left_cc = 0;       ///< what those cost
  std::vector<std::string> notes; ///< for the summary
};

/// Plans the job. Refuses, naming tool and place, what the tools cannot cut or do not fit into.
Result<Plan> plan(const Job& job);

/// Feed (mm per revolution) that leaves a surface of height R: R = f^2/(8 rho) (common geometry of a round nose).
double feed_for_roughness(double roughness_um, double nose_radius_mm);
/// The height R (micrometres) a feed leaves.
double roughness_of_feed(double feed_mm_per_rev, double nose_radius_mm);

} // namespace chamber::turning
