#pragma once
// How the questions of the sheet are put down: one chain of words each.
#include "chamber/job/intake.hpp"
#include <array>
#include <vector>

namespace chamber::job {

inline Question ask(std::string_view section, std::string_view key, std::string_view words, Answer answer) {
  Question q;
  q.section = section;
  q.key = key;
  q.ask = words;
  q.answer = answer;
  return q;
}

/// Job, engine, crown, seal, plug, squish.
std::vector<Question> motor_questions();
/// Today's head, gauge, readings, use, sites, what is wanted.
std::vector<Question> sheet_questions();

} // namespace chamber::job
