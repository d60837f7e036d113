#pragma once
// Reads a TOML table key by key, checks units and ranges, and collects every problem with its place in the file.
#include "chamber/job/typed.hpp"
#include "chamber/units/quantity.hpp"
#include <limits>
#include <optional>
#include <set>
#include <string>
#include <toml++/toml.h>
#include <vector>

namespace chamber::job {

/// Least and most a value may be before it is taken for a slip, in the dimension's internal unit.
struct Range {
  double low, high;
};

class Section;

/// The whole file and what was found wrong with it.
class Reader {
public:
  /// Parses; a syntax error is reported as a problem and leaves the root empty.
  Reader(std::string_view text, std::string file);

  Section root();
  /// A problem found in another file.
  void add(Problem problem);
  void report(const toml::source_region& at, const std::string& message, const std::string& cure);
  /// As many problems as are kept: the rest is not worth looking for.
  bool full() const;
  const std::vector<Problem>& problems() const { return problems_; }
  /// Problems in the order of the file, those of other files last.
  std::vector<Problem> sorted() const;
  /// Every text of the file, in its order.
  std::vector<Typed> texts() const;

private:
  friend class Section;
  std::string file_;
  toml::table table_;
  std::vector<Problem> problems_;
};

/// One table of the file. Keys asked for are known; call finish() to report the others.
class Section {
public:
  Section(Reader& reader, const toml::table* table, std::string path, toml::source_region at)
      : reader_(&reader), table_(table), path_(std::move(path)), at_(at) {}

  /// True when the table stands in the file.
  explicit operator bool() const { return table_ != nullptr; }
  bool has(std::string_view key);
  bool is_text(std::string_view key);
  const std::string& path() const { return path_; }

  /// A quantity that must be there. A NaN stands in after a problem, so that reading can go on.
  units::Quantity need(std::string_view key, units::Dimension d, Range range);
  /// A quantity with a default (internal unit).
  double take(std::string_view key, units::Dimension d, Range range, double fallback);
  std::optional<units::Quantity> maybe(std::string_view key, units::Dimension d, Range range);
  /// A height in words ("0.35 mm below"), mm below.
  units::Quantity need_height(std::string_view key, Range range);

  std::string text(std::string_view key, std::string fallback, std::size_t most = 120);
  /// One of the words; index into them. Empty fallback: must be there.
  std::size_t word(std::string_view key, std::span<const std::string_view> words, std::optional<std::size_t> fallback);
  int whole(std::string_view key, int low, int high, std::optional<int> fallback);
  bool yes(std::string_view key, bool fallback);

  /// A table below; `needed` reports it when missing.
  Section section(std::string_view key, bool needed);
  /// Every [[key]], at most `most`.
  std::vector<Section> sections(std::string_view key, std::size_t most);

  /// A problem at a key of this table (or at the table when the key is not there).
  void complain(std::string_view key, const std::string& message, const std::string& cure);
  /// Reports keys nobody asked for, with the likeliest meant.
  void finish();

private:
  const toml::node* find(std::string_view key);
  std::string full(std::string_view key) const {
    return path_.empty() ? std::string(key) : path_ + "." + std::string(key);
  }
  std::optional<std::string> string_of(std::string_view key, const toml::node& node, std::string_view wanted);
  std::optional<units::Quantity> checked(std::string_view key, const toml::node& node,
                                         const Result<units::Quantity>& parsed, Range range);

  Reader* reader_;
  const toml::table* table_;
  std::string path_;
  toml::source_region at_;
  std::set<std::string, std::less<>> known_;
};

} // namespace chamber::job
