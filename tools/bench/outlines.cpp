// outlines SPEC FOLDER: the meridians of insert and cavity as plain text, for the yardsticks that turn them into
// solids. A line a segment: start, end and, for an arc, a point half-way; r and z in mm.
#include "chamber/job/spec.hpp"
#include "chamber/shapes/body.hpp"
#include "chamber/solve/fit.hpp"
#include <cmath>
#include <filesystem>
#include <fmt/ostream.h>
#include <fstream>

using namespace chamber;

namespace {

void write(const std::filesystem::path& path, const std::vector<shapes::NamedSegment>& outline) {
  std::ofstream out(path);
  for (const auto& [s, face] : outline) {
    fmt::print(out, "{} {} {} {}", s.start.r, s.start.z, s.end.r, s.end.z);
    if (s.is_arc()) { // shorter than half a circle, as all arcs of the profiles
      const double r = (s.start.r + s.end.r) / 2 - s.centre.r, z = (s.start.z + s.end.z) / 2 - s.centre.z;
      const double k = s.radius / std::hypot(r, z);
      fmt::print(out, " {} {}", s.centre.r + k * r, s.centre.z + k * z);
    }
    out << '\n';
  }
}

} // namespace

int main(int argc, char** argv) {
  if (argc != 3) return 2;
  const auto spec = job::load_spec(argv[1]);
  if (!spec) return 1;
  const auto fit = solve::fit(spec->task);
  if (!fit) return 1;
  const auto insert = shapes::assemble(fit->chamber, spec->task.body, spec->task.plug);
  if (!insert) return 1;
  write(std::filesystem::path(argv[2]) / "insert.txt", insert->outline);
  write(std::filesystem::path(argv[2]) / "cavity.txt", shapes::cavity_outline(fit->chamber));
}
