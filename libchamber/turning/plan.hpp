#pragma once
// Plans the turning job: which clamping cuts what, with which tool, along which path.
#include "chamber/turning/work.hpp"
#include "chamber/units/result.hpp"
#include <string>
#include <vector>

namespace chamber::turning {

/// The work and how it is to be done. Lengths mm.
struct Job : Work {
  double allowance_mm = 0.25;  ///< left for the finishing pass, normal to the profile
  double semi_finish_mm = 0.2; ///< left on top of it by the stepped passes
  double roughness_um = 6.3;   ///< height R of the turned surface; the finishing feed follows from it
  /// Rounds smaller than the finishing nose: true leaves the metal standing and reports it, false refuses.
  bool leave_tight_rounds = false;
  bool nose_by_control = false; ///< finishing passes along the profile itself under G41/G42
  bool measure_stops = false;   ///< M0 with the figure to measure before each finishing pass
  std::vector<Tool> tools;
  Machine machine;
  Stock stock;
  Chucking chucking; ///< nothing of it counts where only the chamber is turned
};

/// A move of the control point, program axes: x_mm the RADIUS, z_mm negative in the work.
/// thread: straight, in step with the spindle, feed_mm_per_rev the lead. reverse: the spindle stops and turns the other
/// way (tap run out); no coordinates.
struct Move {
  enum class Kind { rapid, line, arc_cw, arc_ccw, thread, reverse };
  Kind kind = Kind::rapid; ///< cw and ccw as G2 and G3 mean them in the axes, Z to the right and X up
  double x_mm = 0, z_mm = 0;
  double centre_x_mm = 0, centre_z_mm = 0; ///< arcs
  double feed_mm_per_rev = 0;              ///< 0 on rapids
};

/// What a stretch of cutting is for.
enum class Cut { face, turn, drill, rough, finish, groove, thread, tap };
std::string_view name(Cut cut);

/// Who accounts for the nose. left and right of the travel, as G41 and G42 mean them in the axes: then the moves are
/// the profile's own; the first line leads in, the last line before a rapid leads out.
enum class Nose { in_coordinates, left, right };

/// All one tool does between its call and its retreat.
struct Operation {
  Cut cut = Cut::rough;
  std::string title;
  Tool tool;
  std::string reason;          ///< why this tool
  bool constant_speed = false; ///< G96, with the machine's clamp; else G97
  double speed = 0;            ///< m/min under constant_speed, else rpm
  double feed_mm_per_rev = 0;  ///< the main one
  int passes = 0;
  Nose nose = Nose::in_coordinates;
  std::vector<std::string> stop;  ///< measuring stop before it (M0): what should be read where; empty: none
  std::vector<Move> moves;        ///< from and to a point clear of the work
  std::vector<std::string> notes; ///< for comments
};

/// One clamping and its program.
struct Setup {
  Clamping clamping;
  std::vector<Operation> operations;
  std::vector<std::string> notes; ///< jaws, order, what is left for the hand
};

struct Plan {
  std::string title, material;
  Stock stock;
  double height_mm = 0;
  std::vector<Setup> setups;      ///< one where only the chamber is turned, else two, in order
  profile::Chain finished;        ///< the chamber as it will be cut: the profile, less rounds left standing
  double tight_left_cc = 0;       ///< what those cost
  std::string trim;               ///< not empty: a cut on a finished insert, and what it is for; in the header
  std::vector<std::string> notes; ///< for the summary
};

/// Plans the job. Refuses, naming tool and place, what the tools cannot cut or do not fit into, and what no clamping
/// reaches.
Result<Plan> plan(const Job& job);

/// Feed (mm per revolution) that leaves a surface of height R: R = f^2/(8 rho) (common geometry of a round nose).
double feed_for_roughness(double roughness_um, double nose_radius_mm);
/// The height R (micrometres) a feed leaves.
double roughness_of_feed(double feed_mm_per_rev, double nose_radius_mm);

} // namespace chamber::turning
