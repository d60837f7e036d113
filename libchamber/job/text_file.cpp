#include "chamber/job/text_file.hpp"
#include <cstdio>
#include <fmt/format.h>
#include <fstream>
#include <iostream>

namespace chamber::job {

Result<std::string> read_text_file(const std::string& path, std::string_view what) {
  constexpr std::size_t most_bytes = 1 << 20;
  const auto failed = [&](std::string message, std::string cure) {
    return tl::unexpected(Problem{{path, 0, 0}, fmt::format("the {} {}", what, message), std::move(cure)});
  };
  std::ifstream file;
  if (path != "-") {
    file.open(path, std::ios::binary);
    if (!file) return failed("cannot be opened.", "check the path and the right to read it.");
  }
  std::istream& in = path == "-" ? std::cin : file;
  std::string text(most_bytes + 1, '\0');
  in.read(text.data(), static_cast<std::streamsize>(text.size()));
  const auto got = static_cast<std::size_t>(in.gcount());
  if (in.bad() || (path == "-" && std::ferror(stdin)) || (got == 0 && path != "-" && !in.eof()))
    return failed("cannot be read.", "name a file, not a folder, and check the right to read it.");
  if (got > most_bytes) return failed("is larger than 1 MiB.", "check that it is the right file.");
  text.resize(got);
  return text;
}

} // namespace chamber::job
