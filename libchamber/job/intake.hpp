#pragma once
// The customer's sheet, asked for at the bench in order and in plain words, and written as a commented spec.
#include "chamber/units/result.hpp"
#include <functional>
#include <optional>
#include <span>
#include <string>

namespace chamber::job {

/// What kind of answer a question takes.
enum class Answer {
  text,
  length,
  height,
  volume,
  angle,
  pressure,
  rotation,
  temperature,
  altitude,
  ratio,
  mass,
  choice
};

/// One question of the sheet.
struct Question {
  std::string_view section, key; ///< where the answer goes in the spec
  std::string_view ask;          ///< in plain words
  std::string_view help;         ///< what it is for and how to measure it
  Answer answer = Answer::text;
  bool optional = false;
  bool written = true;   ///< false: only leads to other questions, and is no key of the spec
  bool repeated = false; ///< begins a table that may come several times; an empty answer ends it
  bool needed_once = false;
  double low = 0, high = 0; ///< internal unit (altitudes: m); of what is no slip
  std::span<const std::string_view> choices{};
  /// Asked only when an earlier question ("table.key") was answered with one of these ("a|b"); "*": with anything.
  std::string_view only_if = {}, is = {};

  Question may_skip() const {
    return with([](Question& q) { q.optional = true; });
  }
  Question only_asked() const {
    return with([](Question& q) { q.written = false; });
  }
  Question repeats() const {
    return with([](Question& q) { q.repeated = true; });
  }
  Question at_least_once() const {
    return with([](Question& q) { q.needed_once = true; });
  }
  Question within(double least, double most) const {
    return with([=](Question& q) { q.low = least, q.high = most; });
  }
  Question of(std::span<const std::string_view> words) const {
    return with([=](Question& q) { q.choices = words; });
  }
  Question when(std::string_view question, std::string_view answers) const {
    return with([=](Question& q) { q.only_if = question, q.is = answers; });
  }
  Question why(std::string_view text) const {
    return with([=](Question& q) { q.help = text; });
  }

private:
  template <class Change>
  Question with(Change change) const {
    Question q = *this;
    change(q);
    return q;
  }
};

/// The whole sheet, in order.
std::span<const Question> questions();

/// What was answered: as typed, empty where skipped. Sites and readings repeat their questions.
struct Answered {
  const Question* question = nullptr;
  std::string text;
};

/// Checks one answer; what is wrong with it, or nothing.
std::optional<Problem> wrong_answer(const Question& question, const std::string& text);

/// Asks everything. `read` gives a line, or nothing at the end of the input; `say` prints. An answer of "back" returns
/// to the question before, "?" explains, an empty line skips what may be skipped. Fails when the input ends too early,
/// or when one question was answered wrongly too often, naming the question; `so_far` then still holds what was
/// answered.
Result<std::vector<Answered>> ask_all(const std::function<std::optional<std::string>()>& read,
                                      const std::function<void(const std::string&)>& say,
                                      std::vector<Answered>& so_far);

/// The answers as a spec with a comment on every line.
std::string spec_text(const std::vector<Answered>& answers);

/// A sheet for a customer to fill in by hand.
std::string blank_sheet();

} // namespace chamber::job
