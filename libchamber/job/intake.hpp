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
  percent,
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
  double low = 0, high = 0; ///< internal unit; of what is no slip
  std::span<const std::string_view> choices{};
  /// Asked only when an earlier question (its key) was answered with this; "*": with anything.
  std::string_view only_if = {}, is = {};
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
/// naming the question it ended at; `so_far` then still holds what was answered.
Result<std::vector<Answered>> ask_all(const std::function<std::optional<std::string>()>& read,
                                      const std::function<void(const std::string&)>& say,
                                      std::vector<Answered>& so_far);

/// The answers as a spec with a comment on every line.
std::string spec_text(const std::vector<Answered>& answers);

/// A sheet for a customer to fill in by hand.
std::string blank_sheet();

} // namespace chamber::job
