// A module that exports the right symbol out of another build: it must be refused before anything of it is called.
#include "chamber/solid/kernel.hpp"
#include <cstdlib>

extern "C" __attribute__((visibility("default"))) const void* chamber_solid_kernel() {
  static const chamber::solid::KernelTable table{
      chamber::solid::kernel_build,
      [] {
        std::abort();
        return false;
      },
      [](const std::vector<chamber::solid::Part>&, const chamber::solid::FileOptions&)
          -> chamber::Result<std::vector<chamber::solid::PartResult>> { std::abort(); },
      [](const std::string&, const chamber::solid::MeasureOptions&) -> chamber::Result<chamber::solid::Measured> {
        std::abort();
      }};
  return &table;
}
