#pragma once
// The spec: one TOML file a builder writes by hand, read into plain numbers.
#include "chamber/drawing/sheet.hpp"
#include "chamber/engine/bench.hpp"
#include "chamber/engine/budget.hpp"
#include "chamber/engine/crank.hpp"
#include "chamber/engine/fill.hpp"
#include "chamber/engine/guideline.hpp"
#include "chamber/job/typed.hpp"
#include "chamber/shapes/body.hpp"
#include "chamber/shapes/oring.hpp"
#include "chamber/solve/fit.hpp"
#include "chamber/turning/work.hpp"
#include "chamber/units/quantity.hpp"
#include <optional>

namespace chamber::job {

/// What the builder asks the insert to hold. The guideline answers where nothing else is asked.
enum class Wanted { head_volume, clearance_volume, trapped_ratio, gauge_pressure, guideline };
inline constexpr std::string_view wanted_names[] = {"head_volume", "clearance_volume", "trapped_ratio",
                                                    "gauge_pressure", "the guideline"};

/// A place the motor will run at.
struct Site {
  std::string name;
  double altitude_m = 0;     ///< geometric
  double ambient_kpa = 0;    ///< station pressure
  double temperature_c = 15; ///< standard for the altitude if not given
  double humidity = 0;
  bool air_given = false;      ///< temperature was measured, not standard
  bool altitude_given = false; ///< else it is what the barometer makes of it
  bool by_altitude = false;    ///< standard pressure for the altitude: the day's weather is not in it
};

/// Standard uncertainties of what was measured, each in its own unit.
struct Doubts {
  double bore_mm = 0.02, stroke_mm = 0.05, rod_mm = 0.5, exhaust_deg = 1, deck_mm = 0.03, crown_cc = 0.15,
         head_cc = 0.15, gauge_kpa = 25, ambient_kpa = 0.3, gauge_extra_cc = 0.2, exponent = 0.02, gasket_mm = 0.03,
         plug_tip_cc = 0.1, plug_hole_mm = 0.2;
  bool rod_given = false; ///< else an assumed rod may lie anywhere in the usual range
  double repeat =
      0.02; ///< of one cranking reading against the next with the same gauge, relative (common practice, no source)
  double weather_kpa = 1.0; ///< of the day's pressure where only the altitude is known (common practice, no source)
};

/// The customer's sheet beyond the motor's dimensions: gauge, today's head, readings, use and sites.
struct Sheet {
  engine::Bench bench; ///< motor, readings, ask, wish, ambient pressures of the sites
  std::vector<Site> sites;
  engine::Fill filled = engine::Fill::plug_fitted;
  engine::PlugHole hole; ///< of today's head
  bool weighed = false;
  bool gauge_said = false;                          ///< it was said where the gauge has its valve
  bool hole_said = false;                           ///< the plug hole's length was; else reach less washer
  std::vector<std::string> notes;                   ///< what was made of barometers and heads, in sentences
  std::string fuel, use, guideline_source, caution; ///< empty fuel: no guideline asked
  bool air_cooled = false;
  Doubts doubts;
};

/// Everything in the spec, internal units (mm, cc, deg, kPa).
struct Spec {
  std::string file;
  std::string sha256;       ///< of the file's text
  std::vector<Typed> typed; ///< every text in it, in order; of a list of tables "site 2"
  std::string name, revision, customer, note;

  double bore_mm = 0;
  engine::Crank crank;
  bool rod_assumed = false;
  double exhaust_duration_deg = 0;
  double peak_rpm = 0;
  engine::Budget budget; ///< bore, deck, gasket, crown
  bool crown_from_volume = false;
  const units::Unit* length_unit = nullptr; ///< as the bore was typed: the summary shows it beside mm
  /// As first typed; papers are labelled in them.
  const units::Unit *altitude_unit = nullptr, *pressure_unit = nullptr, *velocity_unit = nullptr;

  Wanted wanted = Wanted::head_volume;
  double wanted_value = 0;     ///< cc, the ratio, or kPa; nothing with the guideline
  std::size_t wanted_site = 0; ///< of the sheet's sites, where pressure or guideline decide
  Sheet sheet;

  double squish_clearance_mm = 0; ///< band to crown at the bore, head on; 0 on a bare sheet: not asked
  solve::Task task;               ///< frame, preferences, limits, body, plug; head_cc already worked out
  std::vector<shapes::GrooveFill> o_rings;

  std::string material;
  double blank_diameter_mm = 0, blank_length_mm = 0, pilot_bore_mm = 0;
  std::string lathe_file; ///< where machine and tools came from; empty: all in the spec
  turning::Machine machine;
  std::vector<turning::Tool> tools;
  std::vector<int> tools_left_out; ///< numbers of those without cutting data for the material
  turning::Chucking chucking;
  double inner_corner_mm = 0.4; ///< largest round left in square inner corners of the outside
  bool nose_by_control = false;
  double finish_allowance_mm = 0.25;
  double roughness_um = 0;
  bool leave_tight_rounds = false;
  drawing::SheetStyle drawing; ///< inches where the bore was typed in them, if nothing is said

  double swept_cc() const { return engine::swept_cc(bore_mm, crank); }
  double trapped_swept_cc() const { return engine::trapped_swept_cc(bore_mm, crank, exhaust_duration_deg); }
};

/// Words of [drawing], in the order of drawing::Paper, Units and Projection.
inline constexpr std::string_view paper_names[] = {"a4", "letter"}, drawing_unit_names[] = {"mm", "inch", "both"},
                                  projection_names[] = {"first", "third"};

/// True for "in", "thou" and "ft": whoever types those reads inches.
bool is_inch(const units::Unit& length);

/// What a spec is read for: a design needs shape, body and tools; a target only the motor and the sheet.
enum class Need { design, target };

/// Reads and checks a spec. All problems are reported at once, in the order of the file, each with its place and cure.
/// `lathe_file`, if not empty, takes the place of the spec's lathe: of the file it names, its own words and its tools.
Results<Spec> read_spec(std::string_view text, const std::string& file, Need need = Need::design,
                        const engine::Guideline* guideline = nullptr, const std::string& lathe_file = {});

/// Reads the file (at most 1 MiB; "-" is standard input), then as read_spec.
Results<Spec> load_spec(const std::string& path, Need need = Need::design, const engine::Guideline* guideline = nullptr,
                        const std::string& lathe_file = {});

} // namespace chamber::job
