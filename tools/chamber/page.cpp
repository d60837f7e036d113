#include "chamber/job/files.hpp"
#include "command.hpp"
#include <fmt/format.h>

namespace chamber::tool {

Result<void> write_page(const std::string& file, const papers::Traveller& page) {
  const std::filesystem::path path = file;
  if (path.extension() != ".html" || std::filesystem::is_directory(path))
    return fail(fmt::format("\"{}\" is not the name of an HTML file.", file), "name one that ends in .html.");
  auto staging = job::Staging::open(path.has_parent_path() ? path.parent_path() : std::filesystem::path("."));
  if (!staging) return tl::unexpected(staging.error());
  if (auto ok = staging->write(path.filename().string(), papers::to_html(page)); !ok) return ok;
  if (auto ok = staging->commit(); !ok) return tl::unexpected(ok.error());
  return {};
}

} // namespace chamber::tool
