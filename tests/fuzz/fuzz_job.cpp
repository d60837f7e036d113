// What tells a file's kind, the job log, and the answers to the sheet's questions.
#include "chamber/job/check.hpp"
#include "chamber/job/intake.hpp"
#include "chamber/job/spec.hpp"
#include "chamber/job/trim_log.hpp"
#include "target.hpp"
#include <sstream>

namespace chamber::fuzz {

/// First line: the file's name; the rest its text.
void kind(std::string_view bytes) {
  const auto end = std::min(bytes.find('\n'), bytes.size());
  const std::string name(bytes.substr(0, end)), head(bytes.substr(std::min(end + 1, bytes.size())));
  const auto seen = job::recognise_head(head, name);
  promise(seen.kind <= job::CheckKind::spec, "a kind there is not");
  promise(!seen.why.empty(), "a kind without a reason");
}

void log(std::string_view bytes) {
  std::istringstream in{std::string(bytes)};
  const auto read = job::read_log(in);
  promise(read.unreadable >= 0, "lines that were not there");
  for (const auto& e : read.entries) {
    for (const double x : {e.wanted_cc, e.measured_cc, e.error_cc, e.uncertainty_cc, e.amount_mm})
      check_finite(x, "an entry's figure");
    promise(e.uncertainty_cc >= 0, "an uncertainty below zero");
    // Written again it reads the same, to the digits that are written.
    const auto line = job::log_line(e);
    promise(line.find('\n') == line.size() - 1, "an entry of more than one line");
    std::istringstream back(line);
    const auto again = job::read_log(back);
    promise(again.entries.size() == 1 && again.unreadable == 0, "an entry that does not read again");
    const auto& a = again.entries[0];
    promise(a.job == e.job && a.insert == e.insert && a.lathe == e.lathe && a.read_cc == e.read_cc &&
                std::abs(a.error_cc - e.error_cc) <= 1e-6,
            "an entry that reads otherwise");
  }
  if (read.entries.empty()) return;
  if (const auto s = job::systematic_error(read.entries, read.entries[0].lathe)) {
    check_finite(s->mean_cc, "mean"), check_finite(s->standard_cc, "standard uncertainty");
    promise(s->inserts >= 3 && s->standard_cc >= 0 && s->factor > 1, "a mean of nothing");
  }
}

void intake(std::string_view bytes) {
  std::istringstream in{std::string(bytes)};
  std::size_t said = 0, lines = 0;
  const auto read = [&]() -> std::optional<std::string> {
    std::string line;
    ++lines;
    if (!std::getline(in, line)) return std::nullopt;
    return line;
  };
  std::vector<job::Answered> answers;
  const auto all = job::ask_all(
      read, [&](const std::string& text) { said += text.size(); }, answers);
  promise(said < (lines + 1) * 4000 + 4 * bytes.size(), "more said than anybody reads");
  if (!all) return check_problem(all.error());
  // Answers may contradict each other; but the sheet they make is one.
  const auto spec = job::read_spec(job::spec_text(*all), "sheet.toml", job::Need::target);
  if (spec) return;
  for (const auto& p : spec.error()) {
    check_problem(p);
    promise(p.message.find("is not TOML") == std::string::npos && p.message.find("not a key") == std::string::npos,
            "answers that make no sheet: " + p.message);
  }
}

} // namespace chamber::fuzz
