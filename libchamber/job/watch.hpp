#pragma once
// How long something took.
#include <chrono>

namespace chamber::job {

/// Runs from when it is made.
class Watch {
public:
  double ms() const {
    return std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - start_).count();
  }

private:
  std::chrono::steady_clock::time_point start_ = std::chrono::steady_clock::now();
};

} // namespace chamber::job
