#include "chamber/job/files.hpp"
#include "chamber/job/ending.hpp"
#include <algorithm>
#include <cerrno>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <fcntl.h>
#include <fmt/format.h>
#include <memory>
#include <sys/file.h>
#include <sys/stat.h>
#include <thread>
#include <unistd.h>
#include <utility>

// A hidden folder holds the new files in "new". A folder "old" beside it says that all of them are whole and on their
// way; in it are those they replace.
namespace chamber::job {
namespace fs = std::filesystem;
namespace {

constexpr std::string_view prefix = ".chamber-";
constexpr auto other_folder = "name another folder with -o.";

class Descriptor {
public:
  explicit Descriptor(const fs::path& path, int flags = O_RDONLY | O_DIRECTORY | O_NOFOLLOW)
      : fd(::open(path.c_str(), flags | O_CLOEXEC)) {}
  Descriptor(Descriptor&& other) noexcept : fd(std::exchange(other.fd, -1)) {}
  Descriptor& operator=(Descriptor&&) = delete;
  ~Descriptor() {
    if (fd >= 0) ::close(fd);
  }
  int release() { return std::exchange(fd, -1); }
  int fd;
};

/// The folder to itself, for the moment; a file system without locks has to do without.
Result<Descriptor> locked(const fs::path& folder) {
  using namespace std::chrono_literals;
  Descriptor d(folder, O_RDONLY | O_DIRECTORY);
  for (int i = 0; d.fd >= 0 && ::flock(d.fd, LOCK_EX | LOCK_NB) != 0 && errno == EWOULDBLOCK; ++i) {
    if (i == 300)
      return fail(fmt::format("the folder \"{}\" is locked by another program.", folder.string()),
                  "wait for it to end, or name another folder with -o.");
    std::this_thread::sleep_for(100ms);
  }
  return d;
}

std::vector<std::string> names_in(const fs::path& folder) {
  std::vector<std::string> names;
  std::error_code ignored;
  for (const auto& entry : fs::directory_iterator(folder, ignored)) names.push_back(entry.path().filename().string());
  std::sort(names.begin(), names.end());
  return names;
}

/// Whether nobody lives who works in this hidden folder.
bool is_left_behind(const Descriptor& hidden) {
  struct stat is {};
  return hidden.fd >= 0 && ::fstat(hidden.fd, &is) == 0 && is.st_uid == ::geteuid() &&
         ::flock(hidden.fd, LOCK_EX | LOCK_NB) == 0;
}

/// What runs left here that were killed.
void tidy(const fs::path& folder) {
  std::error_code error;
  for (const auto& name : names_in(folder)) {
    if (!name.starts_with(prefix)) continue;
    const auto hidden = folder / name;
    const Descriptor held(hidden);
    if (!is_left_behind(held)) continue;
    bool placed = true;
    if (fs::exists(hidden / "old", error))
      for (const auto& file : names_in(hidden / "new")) {
        fs::rename(hidden / "new" / file, folder / file, error);
        placed = placed && !error;
      }
    if (placed) fs::remove_all(hidden, error);
  }
}

bool flush(const fs::path& path, int flags) {
  const Descriptor d(path, flags);
  // A file system that cannot flush says EINVAL: then it is as good as it gets.
  return d.fd >= 0 && (::fsync(d.fd) == 0 || errno == EINVAL);
}

/// What a rename would stumble over, or should not go over, is found before the first one.
Result<void> check_place(const fs::path& to) {
  std::error_code none;
  if (fs::is_directory(to, none))
    return fail(fmt::format("the file \"{}\" cannot be put in place: a folder of that name is there.", to.string()),
                fmt::format("remove it, or {}", other_folder));
  struct stat is {};
  if (::stat(to.c_str(), &is) == 0 && (is.st_mode & (S_IWUSR | S_IWGRP | S_IWOTH)) == 0)
    return fail(fmt::format("the file \"{}\" is write-protected and was not replaced.", to.string()),
                fmt::format("take the protection off, or {}", other_folder));
  return {};
}

} // namespace

Result<Staging> Staging::open(const fs::path& folder) {
  std::error_code error;
  const bool made = fs::create_directories(folder, error);
  if (error)
    return fail(fmt::format("the folder \"{}\" cannot be made: {}.", folder.string(), error.message()),
                "name a folder you may write to with -o.");
  const auto lock = locked(folder); // so that nobody takes the new folder for one left behind
  if (!lock) return tl::unexpected(lock.error());
  tidy(folder);
  const auto cannot = [&] {
    return fail(fmt::format("the folder \"{}\" cannot be written to: {}.", folder.string(), std::strerror(errno)),
                "name a folder you may write to with -o, or free some space.");
  };
  std::string pattern = (folder / fmt::format("{}XXXXXX", prefix)).string();
  {
    const std::lock_guard hold(ending());
    if (!mkdtemp(pattern.data())) return cannot();
    goes_at_end(pattern, made ? folder : fs::path());
  }
  Descriptor own{fs::path(pattern)};
  if (own.fd >= 0) (void)::flock(own.fd, LOCK_EX | LOCK_NB);
  Staging staging(folder, pattern, own.release(), made);
  if (::mkdir((staging.hidden_ / "new").c_str(), 0777) != 0) return cannot();
  return staging;
}

Staging::~Staging() {
  std::error_code ignored;
  if (hidden_.empty()) return;
  const std::lock_guard hold(ending());
  fs::remove_all(hidden_, ignored);
  if (made_) fs::remove(folder_, ignored); // only goes if it is still empty
  stays_at_end(hidden_);
  if (lock_ >= 0) ::close(lock_);
}

Result<void> Staging::write(std::string_view name, std::string_view content) const {
  const auto to = path(name);
  const std::unique_ptr<FILE, int (*)(FILE*)> file(std::fopen(to.c_str(), "wb"), std::fclose);
  const bool ok = file && std::fwrite(content.data(), 1, content.size(), file.get()) == content.size() &&
                  std::fflush(file.get()) == 0;
  // On its way to the disk while others are still being made; commit() waits for it.
  if (ok) (void)::sync_file_range(fileno(file.get()), 0, 0, SYNC_FILE_RANGE_WRITE);
  if (!ok)
    return fail(fmt::format("the file \"{}\" cannot be written: {}.", (folder_ / name).string(), std::strerror(errno)),
                fmt::format("free some space, or {}", other_folder));
  return {};
}

/// Each file in turn; if one will not go, those that went come back and the old ones stand as before.
Result<void> Staging::put_in_place(const std::vector<std::string>& names) const {
  const auto old = hidden_ / "old";
  std::size_t placed = 0;
  std::string at = folder_.string();
  const auto place_all = [&]() -> bool {
    if (::mkdir(old.c_str(), 0777) != 0 || !flush(hidden_, O_RDONLY | O_DIRECTORY)) return false;
    for (const auto& name : names) {
      at = (folder_ / name).string();
      // A second name for the old file; where the file system has none, it is moved.
      if (::link((folder_ / name).c_str(), (old / name).c_str()) != 0 && errno != ENOENT &&
          ::rename((folder_ / name).c_str(), (old / name).c_str()) != 0)
        return false;
      if (::rename(path(name).c_str(), (folder_ / name).c_str()) != 0) return false;
      ++placed;
    }
    return true;
  };
  if (place_all()) return {};
  const int why = errno;
  std::error_code ignored;
  for (std::size_t i = 0; i < names.size() && i <= placed; ++i) {
    if (i < placed) fs::rename(folder_ / names[i], path(names[i]), ignored);
    if (fs::exists(old / names[i], ignored)) fs::rename(old / names[i], folder_ / names[i], ignored);
  }
  fs::remove_all(old, ignored);
  return fail(fmt::format("the file \"{}\" cannot be put in place: {}.", at, std::strerror(why)),
              fmt::format("remove what stands in its place, free some space, or {}", other_folder));
}

Result<std::vector<std::string>> Staging::commit() {
  const auto names = names_in(hidden_ / "new");
  for (const auto& name : names)
    if (!flush(path(name), O_RDONLY))
      return fail(
          fmt::format("the file \"{}\" cannot be written: {}.", (folder_ / name).string(), std::strerror(errno)),
          fmt::format("free some space, or {}", other_folder));
  (void)flush(hidden_ / "new", O_RDONLY | O_DIRECTORY);
  const auto lock = locked(folder_); // one set after another: the sets of two runs do not mix
  if (!lock) return tl::unexpected(lock.error());
  const std::lock_guard hold(ending());
  for (const auto& name : names)
    if (auto ok = check_place(folder_ / name); !ok) return tl::unexpected(ok.error());
  if (auto ok = put_in_place(names); !ok) return tl::unexpected(ok.error());
  (void)flush(folder_, O_RDONLY | O_DIRECTORY);
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
