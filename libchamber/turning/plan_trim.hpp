#pragma once
// One small cut on an insert that is finished: its sealing face, or part of its chamber.
#include "chamber/turning/plan.hpp"

namespace chamber::turning {

/// What is to be cut. Insert coordinates, mm; z = 0 is the sealing face as it stands before the cut.
struct Trim {
  Job job;                        ///< the insert as it stands, its lathe and how it is held
  double face_mm = 0;             ///< off the sealing face; 0: the chamber is cut to `chamber`
  profile::Chain chamber;         ///< rim -> axis, nowhere inside the chamber that stands; not looked at where faced
  std::vector<std::string> names; ///< of its segments
  std::string about;              ///< what the cut is for, in the program's header
};

/// The plan, and what stands afterwards for the proof: both in the coordinates of the face as it was.
struct TrimPlan {
  Plan plan;
  Work work;
  double before_cc = 0;  ///< of the chamber as it stands
  double removed_mm = 0; ///< most metal taken anywhere, square to the new surface
};

/// What is left of a chamber when this much is faced off: it begins at z = face_mm, with a line in that plane where the
/// cut reaches further in than the rim. Empty when nothing is left.
profile::Chain faced(profile::ChainView chamber, double face_mm);

/// Plans the cut: one clamping, chamber side out, one tool. Facing takes a turning tool; the chamber the boring bar of
/// the largest nose that fits, along the part of the profile that changes, in as many passes as its depth asks for.
/// Refuses, naming tool and place, what no tool can cut and what no jaws hold.
Result<TrimPlan> plan_trim(const Trim& trim);

} // namespace chamber::turning
