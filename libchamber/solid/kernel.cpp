#include "chamber/solid/kernel.hpp"
#include "chamber/solid/foreign_parts.hpp"
#include "chamber/solid/step_file.hpp"

extern "C" __attribute__((visibility("default"))) const void* chamber_solid_kernel() {
  static const chamber::solid::KernelTable table{chamber::solid::kernel_build, chamber::solid::prepare_step,
                                                 chamber::solid::make, chamber::solid::measure_here};
  return &table;
}
