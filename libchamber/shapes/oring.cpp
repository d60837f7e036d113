#include "chamber/shapes/oring.hpp"
#include <array>

namespace chamber::shapes {
namespace {
constexpr double in = 25.4;
constexpr ORingSize size(std::string_view name, double section, double tolerance, double d0, double d1, double w0,
                         double w1) {
  return {name, section * in, tolerance * in, d0 * in, d1 * in, w0 * in, w1 * in};
}
constexpr std::array sizes{
    size("0.070", 0.070, 0.003, 0.050, 0.054, 0.101, 0.107),
    size("0.103", 0.103, 0.003, 0.074, 0.080, 0.136, 0.142),
    size("0.139", 0.139, 0.004, 0.101, 0.107, 0.177, 0.187),
    size("0.210", 0.210, 0.005, 0.152, 0.162, 0.270, 0.290),
};
} // namespace

std::span<const ORingSize> o_ring_sizes() {
  return sizes;
}

const ORingSize* find_o_ring(std::string_view name) {
  for (const auto& s : sizes)
    if (s.name == name) return &s;
  return nullptr;
}

GrooveFill groove_fill(std::string groove, const ORingSize& ring, double width, double depth) {
  constexpr double pi = 3.14159265358979323846;
  const double d = ring.section_mm + ring.tolerance_mm;
  return {std::move(groove), ring.section_mm, pi / 4 * d * d / (width * depth), 1 - depth / ring.section_mm};
}

} // namespace chamber::shapes
