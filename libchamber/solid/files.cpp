#include "chamber/solid/files.hpp"
#include <cerrno>
#include <fmt/format.h>
#include <system_error>

namespace chamber::solid {

Files::~Files() {
  for (const auto& path : begun_) std::remove(path.c_str());
}

Result<void> Files::write(const std::string& path, const std::function<bool(std::FILE*)>& fill) {
  const auto cannot = [&](int error) {
    auto problem = fail(fmt::format("cannot write {}: {}.", path, std::generic_category().message(error)),
                        "check that the folder exists, may be written to and has room.");
    problem.value().place.file = path; // tells it from what is wrong with the solid
    return problem;
  };
  std::FILE* const file = std::fopen(path.c_str(), "wb");
  if (!file) return cannot(errno);
  begun_.push_back(path);
  const bool written = fill(file);
  const int error = written ? 0 : errno;
  const bool closed = std::fclose(file) == 0;
  if (!written) return cannot(error);
  if (!closed) return cannot(errno);
  return {};
}

} // namespace chamber::solid
