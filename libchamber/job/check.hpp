#pragma once
// A chamber from elsewhere judged: points, DXF, STEP, a lathe program or a spec; what it holds, and what it gives on an
// engine.
#include "chamber/job/target.hpp"
#include "chamber/profile/proposed.hpp"
#include "chamber/solid/foreign.hpp"
#include "chamber/solve/appraise.hpp"
#include <filesystem>
#include <functional>

namespace chamber::job {

class Words;

enum class CheckKind { points, dxf, step, program, spec };
inline constexpr std::string_view check_kind_names[] = {"points", "dxf", "step", "program", "spec"};
/// "a table of points", "a DXF drawing".
std::string_view kind_words(CheckKind kind);

/// What the caller knows better than the readers, and what the file does not say.
struct CheckOptions {
  std::optional<CheckKind> kind;
  std::optional<engine::Guideline> guideline; ///< for a spec as the file; none: the built-in one
  profile::ProposedOptions drawing;           ///< points, DXF; its unit for STEP too. The bore is put in by check()
  solid::MeasureOptions step;                 ///< the plug's end is taken from `drawing.roof_mm`
  std::string lathe_file;                     ///< programs: machine and tools; empty: the engine spec's
  double hole_diameter_mm = 0; ///< programs: hole that is there besides; 0: the engine's plug hole, or none
  double blank_diameter_mm = 0, blank_length_mm = 0; ///< programs; 0: the engine spec's blank
  std::string thread;                                ///< of the plug, where no engine says it
  double hole_length_mm = 0;                         ///< pocket roof to plug seat, likewise
};

/// What a file of any kind was read into. Lengths mm, heights above the sealing face.
struct Proposal {
  CheckKind kind = CheckKind::points;
  profile::Chain chain; ///< rim -> axis, plug fitted; empty where the shape is not turned
  double volume_cc = 0;
  double depth_mm = 0, rim_radius_mm = 0;
  std::string no_chain;                          ///< why there is no chain, in a sentence
  profile::Chain turned_rim;                     ///< without a chain: the part of the band that is turned; may be empty
  double plug_end_mm = 0;                        ///< where the plug ends; without a plug hole the height on the axis
  double hole_radius_mm = 0, hole_length_mm = 0; ///< plug hole as drawn; 0: none in the file
  std::vector<std::string> taken, cautions;
};

/// Against the spec's own solved profile.
struct Deviation {
  double own_cc = 0;     ///< of the spec's profile
  double largest_mm = 0; ///< between the two profiles
  profile::P at{}, to{}; ///< on the proposed one and on the spec's

  /// Whether that distance is more than nothing as printed: else no place stands out.
  bool stands_out(const Words& words) const;
};

struct CheckReport {
  std::string file;
  Proposal proposal;
  /// The plug hole that "bottom" and "top" are said of; none: it is not known.
  std::optional<engine::PlugHole> hole;
  shapes::Features features; ///< where there is a chain

  std::optional<Spec> engine;
  bool in_inches = false; ///< the file's unit was said to be inches: without an engine it is told in them
  double clearance_cc = 0, trapped_ratio = 0, full_ratio = 0;
  std::optional<solve::Appraisal> appraisal; ///< where there is a chain
  std::vector<solve::GapAt> rim_gaps;        ///< without one: over the turned part of the band
  std::vector<solve::Check> checks;
  std::optional<TargetReport> forecast; ///< of this volume at every site
  bool as_asked = false;                ///< the spec itself asks for no more volume, whatever the guideline says
  profile::Chain own;                   ///< the spec's own profile, if it has a shape
  std::optional<Deviation> deviation;
  std::vector<std::string> cautions, withheld;

  /// Every limit kept, and the guideline at the site the spec is for (unless the spec itself asks for as much).
  bool passed() const;
  /// With a forecast: where the guideline is kept or not.
  std::size_t judged_site() const;
};

/// What the file is, by its first bytes and its name; fails on folders, files that cannot be read, and what is none of
/// these. `why` says what told it.
struct Recognised {
  CheckKind kind;
  std::string why;
};
tl::expected<Recognised, Failure> recognise(const std::string& file);
/// The same from the beginning of the file's text and its name.
Recognised recognise_head(std::string_view head, const std::string& file);

/// In the unit that the engine's bore was typed in; without an engine in the one said to be the file's (--unit).
Words words_of(const CheckReport& report);

/// Neither ratio nor gauge at this site is over the spec's guideline; true without one.
bool guideline_kept(const Spec& spec, const engine::Target& target);
/// Gauge and ratio at a site against the guideline, in the units typed: "window 210 to 255 psi: ok; ceiling 10.00: ok";
/// empty without one. `say` puts the standing into words; `judged`: the chamber is judged by it there.
std::string against_guideline(const CheckReport& report, std::size_t site,
                              const std::function<std::string(Standing, bool judged)>& say);

/// The spec's own profile, solved.
tl::expected<profile::Chain, solve::Shortfall> own_profile(const Spec& spec);

/// Reads and judges. `engine`: what it is to sit on; a spec as the file is its own. Fails with Exit::files where the
/// file cannot be read, Exit::spec where it is damaged or not what it was taken for, Exit::usage where something must
/// be said besides.
tl::expected<CheckReport, Failure> check(const std::string& file, std::optional<Spec> engine,
                                         const CheckOptions& options);

std::string to_text(const CheckReport& report, bool colour);
/// Documented in README.md.
std::string to_json(const CheckReport& report);
/// Both profiles over each other, r to the right, height up, axes in the unit typed. Empty where there is no profile.
std::string to_svg(const CheckReport& report);

} // namespace chamber::job
