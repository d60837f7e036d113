#pragma once
// What people look at: the rooms drawing and papers filled from a job.
#include "chamber/drawing/sheet.hpp"
#include "chamber/job/check.hpp"
#include "chamber/job/design.hpp"
#include "chamber/job/target.hpp"
#include "chamber/job/trim.hpp"
#include "chamber/job/words.hpp"
#include "chamber/papers/charts.hpp"
#include "chamber/papers/pdf.hpp"

namespace chamber::job {

/// "21.50 cc +- 0.21 cc", with as many decimals as its uncertainty leaves, at most `decimals`. Known exactly (a wish):
/// without +-. The value in units of `unit`, which is named `name`.
std::string known_to(const Figure& figure, int decimals, double unit, std::string_view name);
/// Decimals of its value and of what is said beside it, at most `most`.
int decimals_of(const Figure& figure, int most, double unit);

/// Sentences of the terminal as a page shows them: ± for +-.
std::vector<std::string> on_paper(std::vector<std::string> sentences);
/// What ± says, once, before the reasons; nothing where no answer has one.
void explain_doubt(papers::Traveller& page);

/// Of a file's SHA-256, on papers: enough to tell one file from another by eye. The JSON has all 64.
inline constexpr std::size_t code_digits = 8;

/// Whether the sheet names places (a target without any is worked out for sea level).
bool has_sites(const Spec& spec);

/// The drawing of the solved insert.
drawing::SheetInput sheet_input(const Spec& spec, const solve::Fit& fit, const shapes::Insert& insert,
                                std::vector<shapes::Limits> limits);

/// Over altitude: today's head, or where none is known one of `head_cc`. Nothing without sites or readings.
std::optional<papers::Forecast> forecast_of(const TargetReport& report, double head_cc);
papers::GapAlongBand gap_along_band(const Spec& spec, const solve::Fit& fit);
/// Nothing without the speed of peak power.
std::optional<papers::GapVelocity> gap_velocity(const Spec& spec, const solve::Fit& fit);
/// Of the site's head volume, or of its clearance volume where the head volume itself was wanted. Nothing where nothing
/// is in doubt.
std::optional<papers::Contributions> contributions_of(const TargetReport& report, std::size_t site);

/// The sheet as it was typed.
std::vector<papers::FactGroup> measured(const Spec& spec);
/// The page's part on how many cc, for one site.
std::vector<papers::Fact> answer_facts(const TargetReport& report, std::size_t site);
std::vector<std::string> answer_reasons(const TargetReport& report, std::size_t site);

/// Setup sheets of every clamping; `base`: the job's name in file names; `mend`: of a cut on a finished insert.
std::vector<papers::SetupSheet> setup_sheets(const Turned& turned, const Spec& spec, const std::string& base,
                                             bool mend);
/// The insert is to hold `cc`, plug fitted.
papers::BuretteTest burette_test(const Spec& spec, double cc);
std::vector<papers::ProgramFile> program_files(const Turned& turned, const std::string& base);
std::vector<papers::Measure> inspection(const Design& design);

/// What the drawing and all papers of the job go on.
papers::Paper paper_of(const Spec& spec);

/// The whole traveller but for the model; reads all of the design but its solids. `sheets`: the drawing's pages as SVG,
/// may be empty; `report`: nothing where the sheet says too little.
papers::Traveller traveller_of(const Design& design, const TargetReport* report,
                               const std::vector<std::string>& sheets);
/// What the insert of a set is for, which sites it serves, and what reads where.
void add_set(papers::Traveller& traveller, const SetPart& part);
/// The page of a target: forecast and uncertainty of every site.
papers::Traveller target_page(const TargetReport& report);
/// The page of a chamber from elsewhere.
papers::Traveller check_page(const CheckReport& report);
/// The sheet that goes to the lathe with an insert to be mended.
papers::Traveller trim_page(const TrimReport& report);

} // namespace chamber::job
