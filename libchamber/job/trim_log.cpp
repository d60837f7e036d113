#include "chamber/job/trim_log.hpp"
#include "chamber/job/json_parts.hpp"
#include "chamber/units/calendar.hpp"
#include <algorithm>
#include <cerrno>
#include <cmath>
#include <cstring>
#include <fcntl.h>
#include <fmt/format.h>
#include <fstream>
#include <set>
#include <sys/file.h>
#include <unistd.h>

namespace chamber::job {
namespace fs = std::filesystem;
namespace {

constexpr auto schema = "chamber.log";
constexpr int schema_version = 1;
constexpr std::string_view ending = "-log.jsonl";
constexpr std::size_t longest_line = 1 << 16; ///< many times that of an insert filled a hundred times
constexpr double most = 1e6;                  ///< cc or mm: beyond it a figure is no insert's

std::optional<LogEntry> entry_of(const std::string& line) {
  const auto j = Json::parse(line, nullptr, false);
  if (!j.is_object()) return std::nullopt;
  try {
    if (j.at("schema") != schema || j.at("schema_version") != schema_version) return std::nullopt;
    LogEntry e;
    e.date = j.at("date");
    e.job = j.at("job");
    e.revision = j.at("revision");
    e.insert = j.at("insert");
    e.lathe = j.at("lathe");
    e.wanted_cc = j.at("wanted_cc");
    e.read_cc = j.at("read_cc").get<std::vector<double>>();
    e.filled = j.at("filled");
    e.measured_cc = j.at("measured_cc");
    e.error_cc = j.at("error_cc");
    e.uncertainty_cc = j.at("uncertainty_cc");
    e.verdict = j.at("verdict");
    e.recommended = j.at("recommended");
    e.amount_mm = j.at("amount_mm");
    for (const double x : {e.wanted_cc, e.measured_cc, e.error_cc, e.uncertainty_cc, e.amount_mm})
      if (!(std::abs(x) <= most)) return std::nullopt;
    for (const double x : e.read_cc)
      if (!(std::abs(x) <= most)) return std::nullopt;
    if (e.uncertainty_cc < 0) return std::nullopt;
    return e;
  } catch (const Json::exception&) {
    return std::nullopt;
  }
}

/// A descriptor that is closed, and with it unlocked.
struct Descriptor {
  int fd;
  ~Descriptor() {
    if (fd >= 0) ::close(fd);
  }
};

tl::unexpected<Problem> cannot(const fs::path& log) {
  return fail(fmt::format("the log \"{}\" cannot be written: {}.", log.string(), std::strerror(errno)),
              "name another with --log, or free some space.");
}

/// All of it or none: what was written of a line that does not fit is taken back.
bool write_whole(int fd, std::string_view text) {
  const auto before = ::lseek(fd, 0, SEEK_END);
  while (!text.empty()) {
    const auto n = ::write(fd, text.data(), text.size());
    if (n < 0 && errno == EINTR) continue;
    if (n <= 0) {
      const int why = errno;
      if (::ftruncate(fd, before) != 0) errno = why;
      return false;
    }
    text.remove_prefix(static_cast<std::size_t>(n));
  }
  return true;
}

/// Student's t for 95 % two-sided (any table; JCGM 100, table G.2), by degrees of freedom.
double student_95(int degrees) {
  constexpr double t[] = {12.71, 4.30, 3.18, 2.78, 2.57, 2.45, 2.36, 2.31, 2.26, 2.23};
  return degrees <= 10 ? t[degrees - 1] : degrees <= 20 ? 2.18 : 2.09;
}

} // namespace

std::string log_line(const LogEntry& e) {
  Json j;
  j["schema"] = schema;
  j["schema_version"] = schema_version;
  j["date"] = e.date;
  j["job"] = e.job;
  j["revision"] = e.revision;
  j["insert"] = e.insert;
  j["lathe"] = e.lathe;
  j["wanted_cc"] = neat(e.wanted_cc, 1e-6);
  j["read_cc"] = e.read_cc;
  j["filled"] = e.filled;
  j["measured_cc"] = neat(e.measured_cc, 1e-6);
  j["error_cc"] = neat(e.error_cc, 1e-6);
  j["uncertainty_cc"] = neat(e.uncertainty_cc, 1e-6);
  j["verdict"] = e.verdict;
  j["recommended"] = e.recommended;
  j["amount_mm"] = neat(e.amount_mm, 1e-6);
  return j.dump(-1, ' ', false, Json::error_handler_t::replace) + "\n";
}

Result<std::string> log_date() {
  const auto date = source_date();
  if (!date) return tl::unexpected(date.error());
  return iso_8601(date->value_or(std::time(nullptr))) + "Z";
}

Result<void> append(const fs::path& log, const LogEntry& entry) {
  const Descriptor file{::open(log.c_str(), O_RDWR | O_APPEND | O_CREAT | O_CLOEXEC, 0666)};
  if (file.fd < 0) return cannot(log);
  while (::flock(file.fd, LOCK_EX) != 0)
    if (errno != EINTR) return cannot(log);
  auto line = log_line(entry);
  if (const auto size = ::lseek(file.fd, 0, SEEK_END); size > 0) {
    char last = '\n';
    if (::pread(file.fd, &last, 1, size - 1) != 1) return cannot(log);
    if (last != '\n') line.insert(line.begin(), '\n');
  }
  if (!write_whole(file.fd, line) || ::fsync(file.fd) != 0) return cannot(log);
  return {};
}

LogRead read_log(std::istream& in) {
  LogRead out;
  std::string line;
  bool long_one = false;
  const auto take = [&] {
    if (long_one)
      ++out.unreadable;
    else if (!line.empty()) {
      if (auto e = entry_of(line))
        out.entries.push_back(std::move(*e));
      else
        ++out.unreadable;
    }
    line.clear();
    long_one = false;
  };
  for (char block[1 << 14]; in.read(block, sizeof block), in.gcount() > 0;)
    for (const char c : std::string_view(block, static_cast<std::size_t>(in.gcount()))) {
      if (c == '\n')
        take();
      else if (line.size() < longest_line)
        line += c;
      else
        long_one = true;
    }
  take();
  return out;
}

LogRead read_log(const fs::path& log) {
  std::ifstream file(log, std::ios::binary);
  return read_log(file);
}

LogRead read_logs(const fs::path& folder) {
  LogRead out;
  std::error_code error;
  for (const auto& f : fs::directory_iterator(folder, error)) {
    if (!f.path().filename().string().ends_with(ending)) continue;
    auto one = read_log(f.path());
    out.unreadable += one.unreadable;
    for (auto& e : one.entries) out.entries.push_back(std::move(e));
  }
  std::stable_sort(out.entries.begin(), out.entries.end(),
                   [](const LogEntry& a, const LogEntry& b) { return a.date < b.date; });
  return out;
}

std::optional<Systematic> systematic_error(const std::vector<LogEntry>& entries, const std::string& lathe) {
  std::set<std::tuple<std::string, std::string, std::string>> known;
  std::vector<const LogEntry*> inserts;
  for (const auto& e : entries)
    if (e.lathe == lathe && (e.insert.empty() || known.emplace(e.job, e.revision, e.insert).second))
      inserts.push_back(&e);
  const auto n = static_cast<double>(inserts.size());
  if (n < 3) return std::nullopt;
  Systematic out;
  out.inserts = static_cast<int>(inserts.size());
  double own = 0, spread = 0;
  for (const auto* e : inserts) {
    out.mean_cc += e->error_cc / n;
    own += e->uncertainty_cc * e->uncertainty_cc / n;
  }
  for (const auto* e : inserts) spread += (e->error_cc - out.mean_cc) * (e->error_cc - out.mean_cc) / (n - 1);
  // What the inserts scatter by holds their fillings' scatter already; the same burette is off on all of them alike.
  const double common = std::min(burette_standard_cc, std::sqrt(own));
  out.standard_cc = std::sqrt(std::max(spread, own) / n + common * common);
  out.factor = student_95(out.inserts - 1);
  out.significant = std::abs(out.mean_cc) > out.factor * out.standard_cc;
  return out;
}

} // namespace chamber::job
