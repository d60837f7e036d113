#include "target.hpp"
#include "chamber/profile/distance.hpp"
#include "chamber/profile/integrals.hpp"
#include "chamber/units/printable.hpp"
#include <array>

namespace chamber::fuzz {

std::span<const Target> targets() {
  static constexpr std::array all{Target{"quantity", quantity, "quantity"},
                                  Target{"spec", spec, "spec"},
                                  Target{"sheet", sheet, "sheet"},
                                  Target{"guideline", guideline, "guideline"},
                                  Target{"lathe", lathe, "lathe"},
                                  Target{"points", points, "points"},
                                  Target{"dxf", dxf, "dxf"},
                                  Target{"judge", judge, "points"},
                                  Target{"program", program, "program"},
                                  Target{"leftover", leftover, "leftover"},
                                  Target{"step", step, "step"},
                                  Target{"answer", answer, "answer"},
                                  Target{"kind", kind, "kind"},
                                  Target{"log", log, "log"},
                                  Target{"forecast", forecast, "sheet"},
                                  Target{"fit", fit, "spec"},
                                  Target{"intake", intake, "intake"}};
  return all;
}

void check_problem(const Problem& p, bool raw) {
  promise(!p.message.empty(), "a problem without a message");
  promise(!p.cure.empty(), "a problem without a cure: " + p.message.substr(0, 200));
  if (raw) return; // quotes the file as it is; cleaned before it is shown
  for (const auto* words : {&p.message, &p.cure}) {
    promise(words->size() <= 1100, "a problem of endless words: " + words->substr(0, 200));
    promise(printable(*words) == *words, "a problem no terminal should be given: " + words->substr(0, 200));
  }
}

void check_problems(const std::vector<Problem>& problems, std::size_t most, const std::string& file) {
  promise(!problems.empty(), "refused without a problem");
  promise(problems.size() <= most, "more problems than anybody reads");
  for (const auto& p : problems) {
    check_problem(p);
    promise(p.place.file == file, "a problem of another file: \"" + p.place.file + "\"");
    promise(p.place.line >= 0 && p.place.column >= 0, "a place before the file's beginning");
  }
}

void check_profile(profile::ChainView chain) {
  promise(!chain.empty(), "an empty profile");
  for (const auto& s : chain) {
    for (const auto& p : {s.start, s.end}) {
      check_finite(p.r, "radius"), check_finite(p.z, "height");
      promise(std::max(std::abs(p.r), std::abs(p.z)) < 1e13, "a profile out of all measure");
    }
    if (!s.is_arc()) continue;
    check_finite(s.centre.r, "centre"), check_finite(s.centre.z, "centre"), check_finite(s.radius, "arc's radius");
  }
  promise(!profile::broken_at(chain), "a profile with a gap");
  const double volume = profile::swept_volume(chain);
  check_finite(volume, "volume");
  promise(volume > 0, "a profile that holds nothing");
  promise(std::abs(chain.front().start.z) < 1e-9, "a rim off the sealing face");
  promise(std::abs(chain.back().end.r) < 0.011, "a profile that does not reach the axis");
}

} // namespace chamber::fuzz
