#pragma once
// An insert that came off the lathe with the wrong volume: leave it, mend it and how, or scrap it.
#include "chamber/job/exit.hpp"
#include "chamber/job/filling.hpp"
#include "chamber/job/spec.hpp"
#include "chamber/job/trim_log.hpp"
#include "chamber/job/turn.hpp"
#include "chamber/shapes/body.hpp"
#include <filesystem>

namespace chamber::job {

struct TrimOptions {
  std::vector<double> read_cc; ///< as filled; several fillings of the same insert
  engine::Fill filled = engine::Fill::plug_fitted;
  std::filesystem::path folder;
  std::filesystem::path log; ///< empty: beside the outputs, and every log there counts
  std::string insert;        ///< its mark, so that a second measurement is not taken for another insert
};

/// The ways metal can be taken off. face makes the chamber smaller, the others larger.
enum class Mend { face, deepen_bowl, widen_mouth, deepen_pocket };
std::string_view name(Mend mend); ///< "face the sealing face"
std::string_view key(Mend mend);  ///< "face", as in the JSON

/// What an insert does in the motor. Lengths mm.
struct MendFigures {
  double head_cc = 0, clearance_cc = 0, trapped_ratio = 0, full_ratio = 0;
  std::optional<double> squish_gap_mm; ///< smallest
  std::optional<double> mouth_gap_mm, gap_velocity_m_s, wall_mm;
  double plug_to_crown_mm = 0;
};

/// One way, worked out so that the insert holds what was wanted.
struct MendWay {
  Mend mend = Mend::face;
  std::string impossible;     ///< why the shape cannot be cut; else empty
  double amount_mm = 0;       ///< off the face; deeper at the bowl's top; wider on the mouth's radius; deeper
  double cc_per_tenth_mm = 0; ///< volume for 0.1 mm of amount_mm
  std::string dimension;      ///< of the spec's shape that is re-solved; empty for facing
  double from = 0, to = 0;    ///< its value, mm
  profile::Chain chamber; ///< rim -> axis in coordinates of the face as it was; of facing, beginning in the new plane
  std::vector<std::string> roles;
  MendFigures after;
  std::vector<solve::Check> checks;
  std::vector<std::string> against; ///< which limits forbid it
  std::vector<std::string> notes;   ///< its side effects, in sentences
  double plug_cc = 0;               ///< what the plug's bared thread takes of the deeper pocket

  bool possible() const { return impossible.empty(); }
  bool allowed() const { return possible() && against.empty(); }
};

/// Another gasket instead of a cut.
struct OtherGasket {
  double from_mm = 0, to_mm = 0; ///< compressed
  MendFigures after;
  std::vector<std::string> against;
};

enum class Verdict { leave, mend, gasket, no_way };
std::string_view key(Verdict verdict);

/// The lathe's common error as an offset of the finishing bar.
struct Offset {
  Systematic error;
  int tool = 0; ///< 0: none is known
  std::string tool_name;
  double cc_per_tenth_z = 0, cc_per_tenth_x = 0; ///< deeper; larger on the radius
  double z_mm = 0, x_radius_mm = 0; ///< either alone takes the mean away; Z away from the chuck, X outwards
};

struct TrimReport {
  Spec spec;
  solve::Fit fit;
  TrimOptions asked;
  double wanted_cc = 0, profile_cc = 0;
  double measured_cc = 0, scatter_cc = 0;  ///< plug fitted, mean; scatter of the fillings, standard
  double error_cc = 0, uncertainty_cc = 0; ///< standard
  FillRule rule;
  std::string decided_by; ///< what the uncertainty mostly is
  MendFigures now;
  Verdict verdict = Verdict::leave;
  std::vector<MendWay> ways;
  std::optional<std::size_t> recommended;
  std::string why;
  double most_facing_mm = 0; ///< what the limits allow, where too much is held
  std::optional<OtherGasket> gasket;
  std::optional<Turned> program;
  double program_cc = 0; ///< of this insert after the program, by the proof
  std::optional<Offset> offset;
  int inserts = 0;    ///< of this lathe in the log, this one with them
  int unreadable = 0; ///< lines of the log
  std::string log;
  std::vector<std::string> notes;
  std::vector<std::string> files;
  LogEntry entry;
};

/// Judges the insert, plans and proves the cut, writes program and JSON (both or neither) and appends to the log.
tl::expected<TrimReport, Failure> trim(Spec spec, const TrimOptions& options);

/// Every way for this error, without its program. `error_cc` over 0: the insert holds too much.
std::vector<MendWay> ways_to_mend(const Spec& spec, const solve::Fit& fit, double error_cc);
/// Facing by this much an insert that holds `error_cc` over its profile.
MendWay facing(const Spec& spec, const solve::Fit& fit, double face_mm, double error_cc);

std::string verdict_text(const TrimReport& report);
/// "0.353 mm deeper at its top", in the unit that was typed.
std::string amount_text(const Spec& spec, const MendWay& way);

/// For a person at a terminal.
std::string to_text(const TrimReport& report, bool colour);
/// Documented in README.md; schema "chamber.trim".
std::string to_json(const TrimReport& report);

} // namespace chamber::job
