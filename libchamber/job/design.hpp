#pragma once
// The main job: spec -> solved profile -> verified solid, STEP, STL and a proven lathe program -> files.
#include "chamber/job/exit.hpp"
#include "chamber/job/files.hpp"
#include "chamber/job/limits.hpp"
#include "chamber/job/outputs.hpp"
#include "chamber/job/spec.hpp"
#include "chamber/job/turn.hpp"
#include "chamber/solid/solid.hpp"
#include <filesystem>
#include <optional>

namespace chamber::job {

/// Of an insert of a set, for its traveller.
struct SetPart {
  std::string purpose; ///< "Insert B of 2: for high desert, mountain forest."
  struct Reads {
    std::string site, here, others; ///< what this insert reads and gives there, and what the others do
  };
  std::vector<Reads> reads;
  std::vector<std::string> notes;
};

struct DesignOptions {
  std::filesystem::path folder;
  solid::LengthUnit step_unit = solid::LengthUnit::millimetre;
  solid::Schema schema = solid::Schema::ap214;
  TurnOptions turning;
  std::optional<SetPart> part;
  Outputs outputs = Outputs::all(); ///< what is written; everything is made and checked all the same
};

/// Every way the head volume is known, cc.
struct Volumes {
  double target = 0, profile = 0, quadrature = 0, solid = 0, mesh = 0, step = 0, program = 0;
  double mesh_bound = 0;
  double insert = 0; ///< metal of the insert
};

struct OutputFile {
  std::string path, kind;
};

/// Where the time went, ms.
struct Stage {
  std::string name;
  double ms = 0;
};

struct Design {
  Spec spec;
  solve::Fit fit;
  shapes::Insert insert;
  InsertLimits limits; ///< of what is inspected
  Turned turned;
  solid::PartResult insert_solid, cavity_solid;
  Volumes volumes;
  std::vector<solve::Check> checks;
  std::vector<std::string> notes; ///< what was assumed, and cautions of this job
  std::vector<OutputFile> files;
  std::vector<Stage> stages;

  double clearance_cc() const { return spec.budget.clearance_from_head_cc(volumes.profile); }
  double trapped_ratio() const { return engine::compression_ratio(spec.trapped_swept_cc(), clearance_cc()); }
  double full_ratio() const { return engine::compression_ratio(spec.swept_cc(), clearance_cc()); }
};

/// Why the volume cannot be met, and what a higher body would ask of the blank.
Failure out_of_reach(const Spec& spec, solve::Shortfall shortfall);

/// Runs the job and writes its files into the folder. On failure nothing is written there, unless unproven programs
/// are wanted anyway.
tl::expected<Design, Failure> design(Spec spec, const DesignOptions& options);
/// The same, but only stages the files: nothing is seen before the caller commits.
tl::expected<Design, Failure> design_into(Spec spec, const DesignOptions& options, const Staging& staging);

/// For a person at a terminal; colour only when asked for.
std::string to_text(const Design& design, bool colour);
/// Documented in README.md; `schema_version` names the layout.
/// `timings`: with the stages' times, which no two runs share.
std::string to_json(const Design& design, bool timings);

/// The cautions every result shows.
std::span<const std::string_view> cautions();

} // namespace chamber::job
