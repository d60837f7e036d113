#include "chamber/job/intake.hpp"
#include "chamber/engine/air.hpp"
#include "chamber/units/quantity.hpp"
#include <algorithm>
#include <fmt/format.h>
#include <set>

namespace chamber::job {
namespace {

using units::Dimension;

Dimension dimension_of(Answer a) {
  switch (a) {
  case Answer::volume:
    return Dimension::volume;
  case Answer::angle:
    return Dimension::angle;
  case Answer::pressure:
    return Dimension::pressure;
  case Answer::rotation:
    return Dimension::rotation;
  case Answer::temperature:
    return Dimension::temperature;
  case Answer::ratio:
    return Dimension::ratio;
  case Answer::mass:
    return Dimension::mass;
  default:
    return Dimension::length;
  }
}

/// A choice by its word, by an unmistakable beginning of it, or by its number in the list.
std::optional<std::string_view> chosen(const Question& q, std::string text) {
  if (q.choices.size() == 2 && q.choices[0] == "yes")
    std::transform(text.begin(), text.end(), text.begin(),
                   [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  for (const auto c : q.choices)
    if (c == text) return c;
  if (text.size() == 1 && text[0] >= '1' && text[0] < static_cast<char>('1' + q.choices.size()))
    return q.choices[static_cast<std::size_t>(text[0] - '1')];
  std::optional<std::string_view> only;
  for (const auto c : q.choices)
    if (!text.empty() && c.starts_with(text)) {
      if (only) return std::nullopt;
      only = c;
    }
  return only;
}

std::string trimmed(const std::string& s) {
  const auto a = s.find_first_not_of(" \t\r");
  return a == std::string::npos ? "" : s.substr(a, s.find_last_not_of(" \t\r") - a + 1);
}

std::string choices_of(const Question& q) {
  std::string out;
  for (std::size_t i = 0; i < q.choices.size(); ++i) out += fmt::format("{}{} {}", i ? ", " : "", i + 1, q.choices[i]);
  return out;
}

constexpr int most_wrong_answers = 20; ///< to one question: then nobody is answering

/// The answer to "table.key"; of a repeated table that of the entry under way.
std::string answer_to(const std::vector<Answered>& answers, std::string_view key) {
  for (auto it = answers.rbegin(); it != answers.rend(); ++it) {
    const Question& q = *it->question;
    const bool same_table = key.starts_with(q.section) && key.substr(q.section.size()).starts_with('.');
    if (same_table && key.substr(q.section.size() + 1) == q.key) return it->text;
    if (same_table && q.repeated) return "";
  }
  return "";
}

bool applies(const Question& q, const std::vector<Answered>& answers) {
  if (q.only_if.empty()) return true;
  const auto given = answer_to(answers, q.only_if);
  if (q.is == "*") return !given.empty();
  for (std::size_t at = 0; at <= q.is.size();) {
    const auto bar = std::min(q.is.find('|', at), q.is.size());
    if (q.is.substr(at, bar - at) == given) return true;
    at = bar + 1;
  }
  return false;
}

} // namespace

std::optional<Problem> wrong_answer(const Question& q, const std::string& text) {
  if (text.empty()) {
    if (q.optional) return std::nullopt;
    return Problem{{}, "this one is needed.", "type an answer, \"?\" for help or \"back\"."};
  }
  if (q.answer == Answer::choice) {
    if (chosen(q, text)) return std::nullopt;
    return Problem{
        {}, fmt::format("\"{}\" is none of them.", text), "type a number or the word: " + choices_of(q) + "."};
  }
  if (q.answer == Answer::text) {
    const bool plain = text.size() <= 40 && std::all_of(text.begin(), text.end(), [](unsigned char c) {
                         return c >= 32 && c < 127 && c != '"' && c != '\\';
                       });
    if (plain) return std::nullopt;
    return Problem{
        {}, "that is too long, or not plain text.", "at most 40 plain letters, digits and spaces; no quotes."};
  }
  const auto q_value =
      q.answer == Answer::height ? units::parse_height(text) : units::parse(text, dimension_of(q.answer));
  if (!q_value) return q_value.error();
  const double scale = q.answer == Answer::altitude ? 1000 : 1; // asked in metres, kept in mm
  if (q_value->value >= q.low * scale && q_value->value <= q.high * scale) return std::nullopt;
  return Problem{{},
                 fmt::format("{} is more or less than this can be.", text),
                 fmt::format("between {} and {} is expected: check number, decimal point and unit.",
                             units::format(q.low * scale, *q_value->unit, 1),
                             units::format(q.high * scale, *q_value->unit, 1))};
}

namespace {

/// A pressure that cannot be what it is said to be at the altitude answered before it.
std::optional<Problem> wrong_barometer(const Question& q, const std::string& text,
                                       const std::vector<Answered>& answers) {
  const auto altitude = units::parse(answer_to(answers, fmt::format("{}.altitude", q.section)), Dimension::length);
  const auto pressure = units::parse(text, Dimension::pressure);
  if (!altitude || !pressure) return std::nullopt;
  const double height = engine::geopotential_m(altitude->value / 1000);
  const double standard = engine::standard_pressure_at_kpa(height);
  const auto there = fmt::format("a barometer there shows about {}.", units::format(standard, *pressure->unit, 0));
  if (q.key == "sea_level_pressure")
    return engine::looks_like_station(pressure->value, height)
               ? std::optional(Problem{{},
                                       "that is what a barometer shows there, not a weather report's figure.",
                                       "\"back\" twice, and say barometer there."})
               : std::nullopt;
  if (pressure->value > engine::highest_weather * standard ||
      engine::looks_reduced_to_sea_level(pressure->value, height))
    return Problem{{},
                   "that is higher than any weather makes it up there: " + there,
                   "a weather report's figure is reduced to sea level: \"back\" twice, and say weather report."};
  if (pressure->value < engine::lowest_weather * standard)
    return Problem{{}, "that is lower than any weather makes it there: " + there, "check figure, unit and altitude."};
  return std::nullopt;
}

/// What one answer alone cannot show: figures that do not go together.
std::optional<Problem> wrong_beside(const Question& q, const std::string& text, const std::vector<Answered>& answers) {
  const auto smaller = [&](std::string_view key, units::Dimension d) {
    const auto mine = units::parse(text, d), other = units::parse(answer_to(answers, key), d);
    return mine && other && mine->value < other->value;
  };
  if (q.key == "exhaust_valve_open" && smaller("engine.exhaust_valve_shut", Dimension::angle))
    return Problem{{}, "the exhaust lasts longer with the valve shut than open.", "check both; \"back\" returns."};
  if (q.repeated) {
    const bool twice = (q.section == "reading" && text == "today") ||
                       std::any_of(answers.begin(), answers.end(), [&](const Answered& a) {
                         return a.question == &q && !text.empty() && a.text == text;
                       });
    if (twice) return Problem{{}, fmt::format("\"{}\" is already there.", text), "give it a name of its own."};
  }
  if (q.key == "station_pressure" || q.key == "sea_level_pressure") return wrong_barometer(q, text, answers);
  if (q.key == "rod" && smaller("engine.stroke", Dimension::length))
    return Problem{{}, "the rod is shorter than the stroke.", "centre to centre, please; \"back\" returns."};
  return std::nullopt;
}

} // namespace

Result<std::vector<Answered>> ask_all(const std::function<std::optional<std::string>()>& read,
                                      const std::function<void(const std::string&)>& say,
                                      std::vector<Answered>& answers) {
  const auto all = questions();
  std::string_view section;
  std::size_t repeated = all.size(); // where the table under way begins, if it may come again
  int wrong_answers = 0;
  std::set<const Question*> said; // explained once
  for (std::size_t i = 0; i < all.size();) {
    const Question& q = all[i];
    if (q.repeated) repeated = i;
    // Past the end of an entry: is there another?
    if (repeated < i && q.section != all[repeated].section) {
      const auto first = fmt::format("{}.{}", all[repeated].section, all[repeated].key);
      if (!answer_to(answers, first).empty()) {
        i = repeated;
        continue;
      }
      repeated = all.size();
    }
    if (!applies(q, answers)) {
      ++i;
      continue;
    }
    if (q.section != section) say(fmt::format("\n[{}]\n", q.section));
    section = q.section;
    if (!q.help.empty() && said.insert(&q).second) say(fmt::format("  ({})\n", q.help.substr(0, q.help.find('\n'))));
    say(fmt::format("{}{}{} ", q.ask, q.choices.empty() ? "" : " (" + choices_of(q) + ")",
                    q.optional ? " (may be skipped)" : ""));
    const auto line = read();
    const auto unanswered = [&](std::string_view what, const std::string& cure) {
      return fail(fmt::format("{} at the question \"{}\" ([{}] {}).", what, q.ask, q.section, q.key), cure);
    };
    if (!line) return unanswered("the input ended", "answer the remaining questions too.");
    const auto text = trimmed(*line);
    if (text == "?") {
      say((q.help.empty() ? "There is no more to say about it." : std::string(q.help)) + "\n");
      continue;
    }
    if (text == "back") {
      if (answers.empty()) continue;
      i = static_cast<std::size_t>(answers.back().question - all.data());
      answers.pop_back();
      continue;
    }
    auto wrong = wrong_answer(q, text);
    if (text.empty() && q.needed_once &&
        std::none_of(answers.begin(), answers.end(), [&](const Answered& a) { return a.question == &q; }))
      wrong = Problem{{}, "one is needed.", "give at least one."};
    if (!wrong) wrong = wrong_beside(q, text, answers);
    if (wrong) {
      if (++wrong_answers >= most_wrong_answers)
        return unanswered("too many wrong answers", "see what was said to them; \"?\" explains the question.");
      say(wrong->message + " " + wrong->cure + "\n");
      continue;
    }
    wrong_answers = 0;
    answers.push_back({&q, q.answer == Answer::choice && !text.empty() ? std::string(*chosen(q, text)) : text});
    ++i;
  }
  return answers;
}

namespace {

/// As it stands between TOML's quotes: an inch mark is one of them.
std::string quoted(const std::string& text) {
  std::string out;
  for (const char c : text) {
    if (c == '"' || c == '\\') out += '\\';
    out += c;
  }
  return out;
}

} // namespace

std::string spec_text(const std::vector<Answered>& answers) {
  struct Table {
    std::string_view section;
    bool repeated;
    std::string lines;
  };
  std::vector<Table> tables; // a table may be left and come back to: its lines are gathered
  for (const auto& a : answers) {
    const auto& q = *a.question;
    const bool says = q.written && !a.text.empty();
    if (!says) continue;
    auto t = std::find_if(tables.rbegin(), tables.rend(), [&](const Table& x) { return x.section == q.section; });
    if (q.repeated || t == tables.rend()) {
      tables.push_back({q.section, q.repeated, ""});
      t = tables.rbegin();
    }
    const auto why = q.help.substr(0, q.help.find('\n'));
    if (!why.empty()) t->lines += fmt::format("# {}\n", why);
    t->lines += fmt::format("{:<39} # {}\n", fmt::format("{} = \"{}\"", q.key, quoted(a.text)), q.ask);
  }
  std::string out =
      "# The customer's sheet. Every quantity is a text with its unit. \"chamber target\" answers how many cc for\n"
      "# each site; add [squish] (if it is not here), [shape], [pocket], [limits], [body], [blank], [lathe] and "
      "[[tool]] to\n# design the insert.\n";
  for (const auto& t : tables)
    out += t.repeated ? fmt::format("\n[[{}]]\n{}", t.section, t.lines) : fmt::format("\n[{}]\n{}", t.section, t.lines);
  return out;
}

namespace {

void add_blank(std::string& out, const Question& q, bool explained) {
  out += fmt::format("  {}", q.ask);
  if (!q.only_if.empty()) {
    const auto all = questions();
    const auto on = std::find_if(
        all.begin(), all.end(), [&](const Question& x) { return fmt::format("{}.{}", x.section, x.key) == q.only_if; });
    std::string is(q.is);
    for (auto at = is.find('|'); at != std::string::npos; at = is.find('|', at))
      is.replace(at, 1, at + 1 == is.size() ? "" : " or ");
    const bool always = static_cast<std::size_t>(std::count(q.is.begin(), q.is.end(), '|')) + 1 == on->choices.size();
    if (!always && q.section != on->section)
      out += fmt::format("  [if {}: {}]", on->key, is);
    else if (!always && q.is != "*")
      out += fmt::format("  [if \"{}\": {}]", on->ask, is);
    else if (!always && !on->repeated)
      out += fmt::format("  [if \"{}\" is answered]", on->ask);
  }
  out += "\n      ";
  for (const auto c : q.choices) out += fmt::format("[ ] {}   ", c);
  if (q.choices.empty()) out += "________________________";
  out.erase(out.find_last_not_of(' ') + 1);
  out += "\n";
  std::string help(q.help);
  for (auto at = help.find('\n'); at != std::string::npos; at = help.find('\n', at + 1)) help.insert(at + 1, "      ");
  if (explained && !help.empty()) out += fmt::format("      {}\n", help);
}

} // namespace

std::string blank_sheet() {
  std::string out = "SHEET FOR A HEAD INSERT\n"
                    "Write a unit behind every number (mm, in, cc, psi, deg, m, ft). Leave out what you do not know.\n"
                    "Cautions: ignition off and plug lead grounded while you turn the motor by hand; fuel and water "
                    "away from hot parts.\n";
  // A table that may come several times has room for some.
  const auto all = questions();
  std::string_view section;
  for (std::size_t i = 0; i < all.size();) {
    const auto& q = all[i];
    std::size_t end = i;
    while (end < all.size() && all[end].section == q.section) ++end;
    constexpr int room_for = 3;
    for (int k = 1; k <= (q.repeated ? room_for : 1); ++k) {
      if (q.section != section || q.repeated)
        out += q.repeated ? fmt::format("\n{} {}\n", q.section, k) : fmt::format("\n{}\n", q.section);
      for (std::size_t j = i; j < end; ++j) add_blank(out, all[j], k == 1);
    }
    section = q.section;
    i = end;
  }
  return out;
}

} // namespace chamber::job
