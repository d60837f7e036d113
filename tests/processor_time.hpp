#pragma once
#include <ctime>

/// Seconds of processor time that this process has used, all threads together. Waiting is not seen: what hangs is
/// ended by ctest. What else the machine does at the time counts as little as it
/// can.
inline double processor_s() {
  return static_cast<double>(std::clock()) / CLOCKS_PER_SEC;
}
