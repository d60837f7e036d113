#include "chamber/solid/files.hpp"
#include <cerrno>
#include <fcntl.h>
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
  const bool written = fill(file) && std::fflush(file) == 0;
  const int error = written ? 0 : errno;
  // On its way to the disk while others are still being made; whoever puts it in place waits for it.
  (void)sync_file_range(fileno(file), 0, 0, SYNC_FILE_RANGE_WRITE);
  const bool closed = std::fclose(file) == 0;
  if (!written) return cannot(error);
  if (!closed) return cannot(errno);
  return {};
}

} // namespace chamber::solid
