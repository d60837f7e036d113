#pragma once
// How an expected failure travels: as a value that says what is wrong, where, and how to cure it.
// A broken invariant is not a Problem; it throws std::logic_error and stops the job.
#include <string>
#include <tl/expected.hpp>
#include <vector>

namespace chamber {

/// Where in a file something was read; line and column count from 1, 0 means "not from a file".
struct Place {
  std::string file;
  int line = 0;
  int column = 0;
};

/// One failure a person can act on.
struct Problem {
  Place place;
  std::string message; ///< what is wrong, in one sentence
  std::string cure;    ///< what to do about it
};

template <class T>
using Result = tl::expected<T, Problem>;
/// For readers that report everything they found at once.
template <class T>
using Results = tl::expected<T, std::vector<Problem>>;

inline tl::unexpected<Problem> fail(std::string message, std::string cure) {
  return tl::unexpected<Problem>(Problem{{}, std::move(message), std::move(cure)});
}

/// "file:line:column: message. Cure." on one line, without a trailing newline.
std::string to_text(const Problem& problem);

} // namespace chamber
