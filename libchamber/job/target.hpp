#pragma once
// How many cc at every site: the answer, its uncertainty, and the reports of it.
#include "chamber/job/exit.hpp"
#include "chamber/job/spec.hpp"
#include "chamber/solve/uncertainty.hpp"

namespace chamber::job {

/// What one input alone brings to a result's standard uncertainty.
struct Part {
  std::string input;
  double standard = 0;
};

/// One result with what is known of it. Coverage interval only with Monte Carlo.
struct Figure {
  double value = 0, standard = 0;
  double low = 0, high = 0;
  std::string decided_by, advice; ///< the input that contributes most, and what to do about it
  std::vector<Part> parts;        ///< first order, the largest first
};

struct SiteTarget {
  Site site;
  engine::Target target;
  double density_kg_m3 = 0, density_altitude_m = 0;
  /// cc, cc, 1, 1, kPa, kPa. The ratios and gauge readings are those of an insert cut to the head volume said.
  Figure clearance, head, ratio, full_ratio, gauge, gauge_model;
  Figure ratio_open;  ///< with the power valve open
  Figure head_change; ///< wanted less today's head, cc; 0 without one
};

struct TargetOptions {
  std::size_t trials = 0; ///< Monte Carlo; 0: first order only
  std::uint64_t seed = 1;
};

/// How a figure stands to the guideline.
enum class Standing { ok, over, short_of };
/// The gauge to its window, to what a gauge shows: half a psi.
Standing in_window(const Spec& spec, const engine::Target& target);
/// The ratio to its ceiling, to what is printed: 0.005.
Standing under_ceiling(const engine::Target& target);

struct TargetReport {
  Spec spec;
  engine::GaugeFit fit;
  engine::Motor motor;                  ///< with the fit in it
  Figure exponent, altitude_exponent;   ///< n and m, where they were fitted
  Figure today_ratio, today_full_ratio; ///< of today's head, where it is known
  std::vector<SiteTarget> sites;
  std::optional<engine::Target> today; ///< today's head at the first site
  std::size_t trials = 0;
  std::size_t failed_trials = 0; ///< that had no answer and are left out
  std::uint64_t seed = 0;
  std::vector<std::string> notes;
};

/// What an assumed rod length means for the trapped volume; nothing where it was given.
std::optional<std::string> rod_note(const Spec& spec);

/// Fails (Exit::spec) where the readings ask for an exponent no motor has, or contradict each other beyond reason.
tl::expected<void, Failure> check_fit(const Spec& spec, const engine::GaugeFit& fit);

/// Fails (Exit::spec) where the readings cannot be: an exponent no motor has.
tl::expected<TargetReport, Failure> target_report(Spec spec, const TargetOptions& options);

std::string to_text(const TargetReport& report, bool colour);
/// Documented in README.md.
std::string to_json(const TargetReport& report);

} // namespace chamber::job
