#pragma once
// The spec: one TOML file a builder writes by hand, read into plain numbers.
#include "chamber/engine/budget.hpp"
#include "chamber/engine/crank.hpp"
#include "chamber/shapes/body.hpp"
#include "chamber/shapes/oring.hpp"
#include "chamber/solve/fit.hpp"
#include "chamber/turning/tools.hpp"
#include "chamber/units/quantity.hpp"
#include <optional>

namespace chamber::job {

/// What the builder asks the insert to hold; exactly one is given.
enum class Wanted { head_volume, clearance_volume, trapped_ratio };
inline constexpr std::string_view wanted_names[] = {"head_volume", "clearance_volume", "trapped_ratio"};

/// Everything in the spec, internal units (mm, cc, deg, kPa).
struct Spec {
  std::string file;
  std::string name, revision, customer, note;

  double bore_mm = 0;
  engine::Crank crank;
  bool rod_assumed = false;
  double exhaust_duration_deg = 0;
  double peak_rpm = 0;
  engine::Budget budget; ///< bore, deck, gasket, crown
  bool crown_from_volume = false;
  const units::Unit* length_unit = nullptr; ///< as the bore was typed: the summary shows it beside mm

  Wanted wanted = Wanted::head_volume;
  double wanted_value = 0; ///< cc, or the ratio

  double squish_clearance_mm = 0; ///< band to crown at the bore, head on
  solve::Task task;               ///< frame, preferences, limits, body, plug; head_cc already worked out
  std::vector<shapes::GrooveFill> o_rings;

  std::string material;
  double blank_diameter_mm = 0, blank_length_mm = 0, pilot_bore_mm = 0;
  turning::Machine machine;
  std::vector<turning::Tool> tools;
  double finish_allowance_mm = 0.25;
  double roughness_um = 0;
  bool leave_tight_rounds = false;

  double swept_cc() const { return engine::swept_cc(bore_mm, crank); }
  double trapped_swept_cc() const { return engine::trapped_swept_cc(bore_mm, crank, exhaust_duration_deg); }
};

/// Reads and checks a spec. All problems are reported at once, in the order of the file, each with its place and cure.
Results<Spec> read_spec(std::string_view text, const std::string& file);

/// Reads the file (at most 1 MiB; "-" is standard input), then as read_spec.
Results<Spec> load_spec(const std::string& path);

} // namespace chamber::job
