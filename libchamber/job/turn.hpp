#pragma once
// The lathe's share of the main job: planned, written, read back from the text, proven.
#include "chamber/job/exit.hpp"
#include "chamber/job/spec.hpp"
#include "chamber/turning/plan_trim.hpp"
#include "chamber/turning/prove.hpp"

namespace chamber::job {

struct TurnOptions {
  bool in_the_air = false;      ///< a second program a clamping, lifted clear of everything, at reduced feed
  bool measure_stops = false;   ///< M0 with the figure to measure before each finishing pass
  bool nose_by_control = false; ///< G41 and G42; also where the spec asks for it
  bool step_pictures = false;   ///< an SVG of what stands after each tool
  bool keep_pictures = false;   ///< the same pictures as a part of the result
  bool write_anyway = false;    ///< a program whose proof failed is written, and says so in its first comment
};

/// A file of the turning job: what follows the job's name ("-first.ngc"), what it is, its text.
struct TurnFile {
  std::string suffix, kind, text;
};

struct Turned {
  turning::Job job;
  turning::Plan plan;
  turning::Proof proof;
  std::vector<turning::Program> programs;     ///< as read back, one a clamping
  std::vector<TurnFile> files;                ///< first the programs, one a clamping in order
  std::vector<turning::StepPicture> pictures; ///< where they were asked for
  std::vector<Problem> unproven;              ///< why the proof failed, where the program is written all the same
  double ms = 0;
};

/// "first", "second": a clamping in file names and messages.
std::string_view ordinal(std::size_t setup);

/// What is to be turned, from the spec and what was solved.
turning::Job turning_job(const Spec& spec, const solve::Fit& fit, const shapes::Insert& insert,
                         const TurnOptions& options);

/// Plans, writes, reads back and proves. A refusal of the planner is a failure always, one of the proof unless it is to
/// be written anyway.
tl::expected<Turned, Failure> turn(turning::Job job, const TurnOptions& options);

/// One cut on a finished insert, planned, written, read back and proven. `change_cc`: by how much the chamber then
/// holds more than before, of the proof.
tl::expected<Turned, Failure> turn_trim(const turning::Trim& trim, double& change_cc);

} // namespace chamber::job
