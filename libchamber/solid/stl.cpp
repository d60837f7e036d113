#include "chamber/solid/tessellation.hpp"
#include <algorithm>
#include <bit>
#include <cmath>
#include <cstring>

namespace chamber::solid {
namespace {

static_assert(std::endian::native == std::endian::little, "binary STL is little-endian");

constexpr std::size_t header_size = 80, facet_size = 50;
/// Facets written at once: enough to spare the system calls, few enough to stay in the cache.
constexpr std::size_t batch = 512;

using Corner = std::array<float, 3>;

Corner rounded(const Point3& p) {
  return {static_cast<float>(p[0]), static_cast<float>(p[1]), static_cast<float>(p[2])};
}

/// Normal and three corners as they lie in the file.
std::array<Corner, 4> facet(const Mesh& mesh, const Triangle& t) {
  const Corner a = rounded(mesh.points[t[0]]), b = rounded(mesh.points[t[1]]), c = rounded(mesh.points[t[2]]);
  const double u[3] = {b[0] - double{a[0]}, b[1] - double{a[1]}, b[2] - double{a[2]}};
  const double v[3] = {c[0] - double{a[0]}, c[1] - double{a[1]}, c[2] - double{a[2]}};
  const Point3 n{u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]};
  const double length = std::sqrt(n[0] * n[0] + n[1] * n[1] + n[2] * n[2]);
  const double scale = length > 0 ? 1 / length : 0;
  return {rounded({n[0] * scale, n[1] * scale, n[2] * scale}), a, b, c};
}

} // namespace

bool write_stl(std::FILE* file, const Mesh& mesh, const std::string& name) {
  // The header must not begin with "solid", by which readers know the text form.
  std::string header = ("binary STL, unit mm: " + name).substr(0, header_size);
  header.resize(header_size, ' ');
  const auto count = static_cast<std::uint32_t>(mesh.fine.size());
  if (std::fwrite(header.data(), 1, header_size, file) != header_size) return false;
  if (std::fwrite(&count, 1, sizeof count, file) != sizeof count) return false;
  std::array<char, batch * facet_size> bytes{}; // the two last bytes of each facet stay 0
  for (std::size_t i = 0; i < mesh.fine.size();) {
    const std::size_t n = std::min(batch, mesh.fine.size() - i);
    for (std::size_t k = 0; k < n; ++k, ++i) {
      const auto f = facet(mesh, mesh.fine[i]);
      std::memcpy(bytes.data() + k * facet_size, &f, sizeof f);
    }
    if (std::fwrite(bytes.data(), facet_size, n, file) != n) return false;
  }
  return true;
}

double stl_rounding_mm3(const Mesh& mesh, double area_mm2) {
  double largest = 0;
  for (const auto& p : mesh.points)
    for (const double x : p) largest = std::max(largest, std::abs(x));
  // Half a unit in the last place in each of three coordinates.
  return area_mm2 * std::sqrt(3.0) * largest * 0x1p-24;
}

} // namespace chamber::solid
