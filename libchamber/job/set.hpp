#pragma once
// A set: one insert for every site, near-identical ones merged, and what each of them reads everywhere.
#include "chamber/job/design.hpp"
#include "chamber/job/target.hpp"
#include <optional>

namespace chamber::job {

/// What an insert gives at a site.
struct SetPlace {
  std::size_t site = 0; ///< index into the report's sites
  engine::Target forecast;
  std::optional<bool> within; ///< no ratio over the ceiling, no gauge over the window there; none without a guideline
};

/// A set for more sites than this is no table any more: of each insert it is said what it gives where it belongs.
constexpr std::size_t most_tabled_sites = 100;

/// One insert of the set.
struct SetInsert {
  std::string letter;             ///< "A" .. "Z", "AA" ..; engraved
  std::vector<std::size_t> sites; ///< it was worked out for (indices into the report's sites)
  double head_cc = 0;             ///< the largest any of them asks
  std::vector<SetPlace> at;       ///< every site, or its own
  std::string json_file;          ///< its result, once written
};

struct Set {
  TargetReport report;
  std::vector<SetInsert> inserts;
  std::vector<std::string> cautions; ///< inserts that are over the guideline where they belong, or hang on its edge
  std::vector<OutputFile> files;
};

/// Which inserts the sites ask for. Head volumes nearer than `apart_cc` become one insert, which takes the largest of
/// them (the safe side).
Set plan_set(TargetReport report, double apart_cc);

/// What the traveller of an insert says of the set.
SetPart part_of(const Set& set, std::size_t insert);

/// Called as inserts are finished, with how many are; from the calling thread.
using Progress = std::function<void(std::size_t done, std::size_t of)>;

/// Designs every insert (worker processes on all cores, since the CAD kernel is not made for threads) and writes
/// everything into the folder, or nothing. `table` of the set is among the files.
tl::expected<Set, Failure> make_set(Spec spec, const TargetOptions& target, const DesignOptions& options,
                                    double apart_cc, const Progress& progress);

std::string to_text(const Set& set, bool colour);
std::string to_json(const Set& set);

} // namespace chamber::job
