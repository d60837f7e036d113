#pragma once
// The job log: what every insert of a lathe measured, one line of JSON each, only ever appended to.
#include "chamber/units/result.hpp"
#include <filesystem>
#include <iosfwd>
#include <optional>
#include <string>
#include <vector>

namespace chamber::job {

/// One measured insert. Volumes cc, plug fitted but for what was read.
struct LogEntry {
  std::string date; ///< UTC, "2026-01-31T12:00:00Z"
  std::string job, revision, insert, lathe;
  double wanted_cc = 0;
  std::vector<double> read_cc; ///< as filled
  std::string filled;
  double measured_cc = 0, error_cc = 0, uncertainty_cc = 0;
  std::string verdict, recommended; ///< recommended: the mend, empty for none
  double amount_mm = 0;
};

/// Now, or the time SOURCE_DATE_EPOCH names; fails where that is no time.
Result<std::string> log_date();

/// Appends one line, whole, and waits until it is on the disk. Several programs may append at once; a line that was
/// torn before is ended first, so that it spoils nothing but itself.
Result<void> append(const std::filesystem::path& log, const LogEntry& entry);

/// What can be read of logs; lines that cannot are counted.
struct LogRead {
  std::vector<LogEntry> entries;
  int unreadable = 0;
};
LogRead read_log(const std::filesystem::path& log);
/// Passes over lines that are longer than any entry, and counts them as unreadable.
LogRead read_log(std::istream& in);
/// An entry as its line, newline included.
std::string log_line(const LogEntry& entry);
/// Every log in a folder ("…-log.jsonl"), in order of date.
LogRead read_logs(const std::filesystem::path& folder);

/// The error inserts of one lathe have in common.
struct Systematic {
  int inserts = 0;
  double mean_cc = 0, standard_cc = 0; ///< of the mean, burette included
  double factor = 0;                   ///< Student's t, 95 %, for so many inserts
  bool significant = false;            ///< |mean| over factor times standard
};
/// Of the lathe's inserts, each by its first measurement; empty under three. An entry without an insert's name counts
/// as one insert.
std::optional<Systematic> systematic_error(const std::vector<LogEntry>& entries, const std::string& lathe);

/// cc. What a class A burette may be off on every filling alike: +-0.05 ml (ISO 385), taken as rectangular.
inline constexpr double burette_standard_cc = 0.05 / 1.7320508075688772;

} // namespace chamber::job
