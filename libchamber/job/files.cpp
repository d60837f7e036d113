#include "chamber/job/files.hpp"
#include <algorithm>
#include <cerrno>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <fmt/format.h>
#include <memory>
#include <unistd.h>

namespace chamber::job {
namespace fs = std::filesystem;

Result<Staging> Staging::open(const fs::path& folder) {
  std::error_code error;
  const bool made = fs::create_directories(folder, error);
  if (error)
    return fail(fmt::format("the folder \"{}\" cannot be made: {}.", folder.string(), error.message()),
                "name a folder you may write to with -o.");
  std::string pattern = (folder / ".chamber-XXXXXX").string();
  if (!mkdtemp(pattern.data()))
    return fail(fmt::format("the folder \"{}\" cannot be written to: {}.", folder.string(), std::strerror(errno)),
                "name a folder you may write to with -o, or free some space.");
  return Staging(folder, pattern, made);
}

Staging::~Staging() {
  std::error_code ignored;
  if (hidden_.empty()) return;
  fs::remove_all(hidden_, ignored);
  if (made_) fs::remove(folder_, ignored); // only goes if it is still empty
}

Result<void> Staging::write(std::string_view name, std::string_view content) const {
  const auto to = path(name);
  const std::unique_ptr<FILE, int (*)(FILE*)> file(std::fopen(to.c_str(), "wb"), std::fclose);
  const bool ok = file && std::fwrite(content.data(), 1, content.size(), file.get()) == content.size() &&
                  std::fflush(file.get()) == 0;
  if (!ok)
    return fail(fmt::format("the file \"{}\" cannot be written: {}.", (folder_ / name).string(), std::strerror(errno)),
                "free some space, or name another folder with -o.");
  return {};
}

Result<std::vector<std::string>> Staging::commit() {
  std::vector<std::string> names;
  for (const auto& entry : fs::directory_iterator(hidden_)) names.push_back(entry.path().filename().string());
  std::sort(names.begin(), names.end());
  // What a rename would stumble over is found before the first one, so that a set is not left half old, half new.
  for (const auto& name : names)
    if (std::error_code ignored; fs::is_directory(folder_ / name, ignored))
      return fail(fmt::format("the file \"{}\" cannot be put in place: a folder of that name is there.",
                              (folder_ / name).string()),
                  "remove it, or name another folder with -o.");
  for (const auto& name : names) {
    std::error_code error;
    fs::rename(hidden_ / name, folder_ / name, error);
    if (error)
      return fail(
          fmt::format("the file \"{}\" cannot be put in place: {}.", (folder_ / name).string(), error.message()),
          "remove what stands in its place, or name another folder with -o.");
  }
  return names;
}

std::string slug(std::string_view name) {
  std::string out;
  for (const unsigned char c : name) {
    const bool letter = (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9');
    const bool capital = c >= 'A' && c <= 'Z';
    if (letter || capital)
      out += static_cast<char>(capital ? c - 'A' + 'a' : c);
    else if (!out.empty() && out.back() != '-')
      out += '-';
  }
  while (!out.empty() && out.back() == '-') out.pop_back();
  return out.empty() ? "insert" : out;
}

} // namespace chamber::job
