// One executable a reader: CHAMBER_FUZZ_TARGET names its function.
#include "target.hpp"
#include <cstdint>
#include <cstdio>
#include <cstdlib>

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  try {
    chamber::fuzz::CHAMBER_FUZZ_TARGET({reinterpret_cast<const char*>(data), size});
  } catch (const std::exception& e) {
    std::fprintf(stderr, "broken: %s\n", e.what());
    std::abort();
  }
  return 0;
}
