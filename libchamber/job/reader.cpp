#include "chamber/job/reader.hpp"
#include "chamber/units/printable.hpp"
#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <functional>
#include <tuple>

namespace chamber::job {
namespace {

constexpr std::size_t most_problems = 200, most_words = 1000; ///< problems, bytes of each message
constexpr int most_joined = 8;                                ///< names in a dotted key; the program's own have three

/// How far a text in quotes goes that begins here, its quotes included.
std::size_t quoted_length(std::string_view text) {
  const char quote = text[0];
  const bool lines = text.size() > 2 && text[1] == quote && text[2] == quote;
  for (std::size_t i = lines ? 3 : 1; i < text.size(); ++i) {
    if (text[i] == '\\' && quote == '"')
      ++i;
    else if (!lines && (text[i] == quote || text[i] == '\n'))
      return i + 1;
    else if (lines && text[i] == quote && text.substr(i, 3) == text.substr(0, 3))
      return i + 3;
  }
  return text.size();
}

/// The line in which more names are joined by dots than any key has; 0: none. The parser would build, and later take
/// down, a table in a table for each, as deep as the stack and deeper.
int too_deep(std::string_view text) {
  int joined = 0, line = 1;
  bool comment = false;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    if (c == '\n') ++line;
    comment = c == '#' || (comment && c != '\n');
    if (comment) continue;
    if (c == '"' || c == '\'') {
      const auto whole = text.substr(i, quoted_length(text.substr(i)));
      line += static_cast<int>(std::count(whole.begin(), whole.end(), '\n'));
      i += whole.size() - 1;
    } else if (c == '.') {
      if (++joined >= most_joined) return line;
    } else if (std::string_view("\n[]{}=,").find(c) != std::string_view::npos) {
      joined = 0;
    }
  }
  return 0;
}

std::string shown(double value, const units::Quantity& like) {
  return units::format(value, *like.unit, 4);
}

std::string_view kind_of(const toml::node& n) {
  switch (n.type()) {
  case toml::node_type::string:
    return "a text";
  case toml::node_type::integer:
  case toml::node_type::floating_point:
    return "a bare number";
  case toml::node_type::boolean:
    return "true or false";
  case toml::node_type::array:
    return "a list";
  case toml::node_type::table:
    return "a table";
  default:
    return "a date or time";
  }
}

} // namespace

Reader::Reader(std::string_view text, std::string file) : file_(std::move(file)) {
  if (const int line = too_deep(text)) {
    add({{file_, line, 1},
         fmt::format("more than {} names are joined by dots.", most_joined),
         "no table of this program is that deep: check that it is the right file."});
    return;
  }
  try {
    table_ = toml::parse(text, std::string_view(file_));
  } catch (const toml::parse_error& e) {
    report(e.source(), fmt::format("this is not TOML: {}.", e.description()),
           "mend the line; every text stands in quotes, every table name in [brackets].");
  }
}

Section Reader::root() {
  return {*this, &table_, "", table_.source()};
}

void Reader::report(const toml::source_region& at, const std::string& message, const std::string& cure) {
  add({{file_, static_cast<int>(at.begin.line), static_cast<int>(at.begin.column)}, message, cure});
}

void Reader::add(Problem problem) {
  if (full()) return;
  problem.message = printable(problem.message, most_words);
  problem.cure = printable(problem.cure, most_words);
  problems_.push_back(std::move(problem));
}

bool Reader::full() const {
  return problems_.size() >= most_problems;
}

std::vector<Problem> Reader::sorted() const {
  auto out = problems_;
  const auto order = [&](const Problem& p) { return std::tuple(p.place.file != file_, p.place.line, p.place.column); };
  std::stable_sort(out.begin(), out.end(), [&](const Problem& a, const Problem& b) { return order(a) < order(b); });
  return out;
}

std::vector<Typed> Reader::texts() const {
  std::vector<std::pair<toml::source_position, Typed>> found;
  const std::function<void(const toml::table&, const std::string&)> walk = [&](const toml::table& table,
                                                                               const std::string& path) {
    for (const auto& [key, node] : table) {
      const std::string name(key.str()), below = path.empty() ? name : path + "." + name;
      if (const auto* s = node.as_string()) found.push_back({node.source().begin, {path, name, s->get()}});
      if (const auto* t = node.as_table()) walk(*t, below);
      if (const auto* list = node.as_array())
        for (std::size_t i = 0; i < list->size(); ++i)
          if (const auto* t = (*list)[i].as_table()) walk(*t, fmt::format("{} {}", below, i + 1));
    }
  };
  walk(table_, "");
  std::stable_sort(found.begin(), found.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
  std::vector<Typed> out;
  for (auto& [at, typed] : found) out.push_back(std::move(typed));
  return out;
}

const toml::node* Section::find(std::string_view key) {
  known_.emplace(key);
  return table_ ? table_->get(key) : nullptr;
}

bool Section::has(std::string_view key) {
  return find(key) != nullptr;
}

bool Section::is_text(std::string_view key) {
  const auto* node = find(key);
  return node && node->is_string();
}

std::optional<std::string> Section::string_of(std::string_view key, const toml::node& node, std::string_view wanted) {
  if (const auto* s = node.as_string()) return s->get();
  reader_->report(node.source(), fmt::format("{} is {}, but a text in quotes is wanted.", full(key), kind_of(node)),
                  fmt::format("write {}.", wanted));
  return std::nullopt;
}

std::optional<units::Quantity> Section::checked(std::string_view key, const toml::node& node,
                                                const Result<units::Quantity>& parsed, Range range) {
  if (!parsed) {
    reader_->report(node.source(), fmt::format("{}: {}", full(key), parsed.error().message), parsed.error().cure);
    return std::nullopt;
  }
  if (parsed->value >= range.low && parsed->value <= range.high) return *parsed;
  reader_->report(node.source(),
                  fmt::format("{} is {}: between {} and {} is expected.", full(key), shown(parsed->value, *parsed),
                              shown(range.low, *parsed), shown(range.high, *parsed)),
                  "check the number, the decimal point and the unit.");
  return std::nullopt;
}

std::optional<units::Quantity> Section::maybe(std::string_view key, units::Dimension d, Range range) {
  const auto* node = find(key);
  if (!node) return std::nullopt;
  const auto text = string_of(key, *node, units::example(d));
  if (!text) return units::Quantity{std::nan(""), 0, &units::units_of(d)[0]};
  const auto q = checked(key, *node, units::parse(*text, d), range);
  return q ? q : units::Quantity{std::nan(""), 0, &units::units_of(d)[0]};
}

units::Quantity Section::need(std::string_view key, units::Dimension d, Range range) {
  if (const auto q = maybe(key, d, range)) return *q;
  complain("", fmt::format("{} is missing.", full(key)), fmt::format("add {} = {}.", key, units::example(d)));
  return {std::nan(""), 0, &units::units_of(d)[0]};
}

double Section::take(std::string_view key, units::Dimension d, Range range, double fallback) {
  const auto q = maybe(key, d, range);
  return q ? q->value : fallback;
}

units::Quantity Section::need_height(std::string_view key, Range range) {
  const units::Quantity nothing{std::nan(""), 0, &units::units_of(units::Dimension::length)[0]};
  const auto* node = find(key);
  if (!node) {
    complain("", fmt::format("{} is missing.", full(key)),
             fmt::format("add {} = \"0.35 mm below\", \"0.010 in above\" or \"level\".", key));
    return nothing;
  }
  const auto text = string_of(key, *node, "\"0.35 mm below\", \"0.010 in above\" or \"level\"");
  if (!text) return nothing;
  return checked(key, *node, units::parse_height(*text), range).value_or(nothing);
}

std::string Section::text(std::string_view key, std::string fallback, std::size_t most) {
  const auto* node = find(key);
  if (!node) return fallback;
  auto s = string_of(key, *node, "a text in quotes");
  if (!s) return fallback;
  const bool control = std::any_of(s->begin(), s->end(), [](unsigned char c) { return c < 32 || c == 127; });
  if (s->size() > most || control) {
    reader_->report(node->source(), fmt::format("{} is {}.", full(key), control ? "not plain text" : "too long"),
                    fmt::format("write one line of at most {} characters.", most));
    return fallback;
  }
  return *s;
}

std::size_t Section::word(std::string_view key, std::span<const std::string_view> words,
                          std::optional<std::size_t> fallback) {
  std::string choice;
  for (const auto w : words) choice += fmt::format("{}\"{}\"", choice.empty() ? "" : ", ", w);
  const auto* node = find(key);
  if (!node) {
    if (!fallback)
      complain("", fmt::format("{} is missing.", full(key)), fmt::format("add {} = one of {}.", key, choice));
    return fallback.value_or(0);
  }
  const auto s = string_of(key, *node, "one of " + choice);
  if (!s) return fallback.value_or(0);
  for (std::size_t i = 0; i < words.size(); ++i)
    if (words[i] == *s) return i;
  const auto near = units::did_you_mean(*s, words);
  reader_->report(node->source(), fmt::format("{} = \"{}\" is not known.", full(key), *s),
                  near.empty() ? fmt::format("write one of {}.", choice)
                               : fmt::format("did you mean \"{}\"? It is one of {}.", near, choice));
  return fallback.value_or(0);
}

int Section::whole(std::string_view key, int low, int high, std::optional<int> fallback) {
  const auto* node = find(key);
  if (!node) {
    if (!fallback) complain("", fmt::format("{} is missing.", full(key)), fmt::format("add {} = a whole number.", key));
    return fallback.value_or(low);
  }
  if (const auto* i = node->as_integer(); i && i->get() >= low && i->get() <= high) return static_cast<int>(i->get());
  reader_->report(node->source(), fmt::format("{} must be a whole number from {} to {}.", full(key), low, high),
                  "write it without quotes, unit or decimal point.");
  return fallback.value_or(low);
}

bool Section::yes(std::string_view key, bool fallback) {
  const auto* node = find(key);
  if (!node) return fallback;
  if (const auto* b = node->as_boolean()) return b->get();
  reader_->report(node->source(), fmt::format("{} is {}, but true or false is wanted.", full(key), kind_of(*node)),
                  "write true or false, without quotes.");
  return fallback;
}

Section Section::section(std::string_view key, bool needed) {
  const auto* node = find(key);
  if (node && !node->is_table()) {
    reader_->report(node->source(), fmt::format("{} is {}, but a table is wanted.", full(key), kind_of(*node)),
                    fmt::format("write [{}] on a line of its own, or {} = {{ ... }}.", full(key), key));
    return {*reader_, nullptr, full(key), node->source()};
  }
  if (!node && needed && table_)
    complain("", fmt::format("the table [{}] is missing.", full(key)), fmt::format("add [{}].", full(key)));
  return {*reader_, node ? node->as_table() : nullptr, full(key), node ? node->source() : at_};
}

std::vector<Section> Section::sections(std::string_view key, std::size_t most) {
  std::vector<Section> out;
  const auto* node = find(key);
  if (!node) return out;
  const auto* list = node->as_array();
  if (!list || list->size() > most) {
    reader_->report(node->source(),
                    list ? fmt::format("{} has {} entries: at most {} are taken.", full(key), list->size(), most)
                         : fmt::format("{} is {}, but a list of tables is wanted.", full(key), kind_of(*node)),
                    fmt::format("write [[{}]] before each entry.", full(key)));
    return out;
  }
  for (const auto& entry : *list) {
    if (const auto* t = entry.as_table())
      out.emplace_back(*reader_, t, fmt::format("{}[{}]", full(key), out.size() + 1), entry.source());
    else
      reader_->report(entry.source(),
                      fmt::format("{} holds {}, but only tables are wanted.", full(key), kind_of(entry)),
                      fmt::format("write [[{}]] before each entry.", full(key)));
  }
  return out;
}

void Section::complain(std::string_view key, const std::string& message, const std::string& cure) {
  if (!table_) return; // the missing table itself has been reported
  const auto* node = key.empty() || !table_ ? nullptr : table_->get(key);
  reader_->report(node ? node->source() : at_, message, cure);
}

void Section::finish() {
  if (!table_) return;
  const std::vector<std::string_view> names(known_.begin(), known_.end());
  for (const auto& [key, node] : *table_) {
    if (known_.contains(key.str())) continue;
    if (reader_->full()) return;
    const auto near = units::did_you_mean(key.str(), names);
    std::string all;
    for (const auto n : names) all += fmt::format("{}{}", all.empty() ? "" : ", ", n);
    reader_->report(key.source(), fmt::format("{} is not a key this program knows.", full(key.str())),
                    near.empty() ? fmt::format("remove it; known here: {}.", all)
                                 : fmt::format("did you mean \"{}\"?", near));
  }
}

} // namespace chamber::job
