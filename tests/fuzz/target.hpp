#pragma once
// What a fuzzer and the ordinary tests feed: for every reader a function that takes any bytes and throws when what the
// reader makes of them breaks a promise. Crashes, hangs and memory are the fuzzer's to see.
#include "chamber/profile/segment.hpp"
#include "chamber/units/result.hpp"
#include <cmath>
#include <span>
#include <stdexcept>

namespace chamber::fuzz {

struct Target {
  std::string_view name; ///< of its folder ../corpus/<name>
  void (*take)(std::string_view bytes);
  std::string_view seeds; ///< of its folder seeds/<seeds>
};
std::span<const Target> targets();

void quantity(std::string_view bytes);
void spec(std::string_view bytes);
void sheet(std::string_view bytes);
void forecast(std::string_view bytes);
void fit(std::string_view bytes);
void guideline(std::string_view bytes);
void lathe(std::string_view bytes);
void points(std::string_view bytes);
void dxf(std::string_view bytes);
void judge(std::string_view bytes);
void program(std::string_view bytes);
void leftover(std::string_view bytes);
void step(std::string_view bytes);
void answer(std::string_view bytes);
void kind(std::string_view bytes);
void log(std::string_view bytes);
void intake(std::string_view bytes);

/// A promise that was broken: the finding.
struct Broken : std::logic_error {
  using std::logic_error::logic_error;
};
inline void promise(bool kept, const std::string& what) {
  if (!kept) throw Broken(what);
}

/// Every problem says what is wrong and what to do, in words a terminal can be given.
void check_problem(const Problem& p, bool raw = false);
/// At least one problem, at most `most`; each as above and, where `placed`, with its file, and with a line from one on.
void check_problems(const std::vector<Problem>& problems, std::size_t most, const std::string& file);

/// Finite, named in the message.
inline void check_finite(double x, const char* name) {
  promise(std::isfinite(x), std::string(name) + " is not finite");
}
/// A chamber's profile: joined, finite, from the sealing face to the axis, and it holds something.
void check_profile(profile::ChainView chain);

} // namespace chamber::fuzz
