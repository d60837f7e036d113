#pragma once
// Output files appear whole or not at all: written into a hidden folder beside their place, then renamed.
#include "chamber/units/result.hpp"
#include <filesystem>
#include <string_view>
#include <vector>

namespace chamber::job {

/// A set of files on their way into one folder. Nothing of it is seen there before commit(); without commit it
/// vanishes. What a run left that was killed is put right by the next open() in the same folder: thrown away, or, where
/// its files were all whole and on their way, put into place.
class Staging {
public:
  /// Makes the folder (and its parents) if need be. Fails when it cannot be written to.
  static Result<Staging> open(const std::filesystem::path& folder);
  Staging(Staging&& other) noexcept
      : folder_(std::move(other.folder_)), hidden_(std::move(other.hidden_)), lock_(other.lock_), made_(other.made_) {
    other.hidden_.clear();
    other.lock_ = -1;
  }
  Staging& operator=(Staging&&) = delete;
  ~Staging();

  /// Where to write a file that will be called `name`.
  std::filesystem::path path(std::string_view name) const { return hidden_ / "new" / name; }
  Result<void> write(std::string_view name, std::string_view content) const;
  /// Flushes every staged file to the disk and renames it into the folder, replacing old ones; returns their names,
  /// sorted. Where one cannot be put in place all old ones come back. Two runs put theirs in place one after the other.
  Result<std::vector<std::string>> commit();

private:
  Staging(std::filesystem::path folder, std::filesystem::path hidden, int lock, bool made)
      : folder_(std::move(folder)), hidden_(std::move(hidden)), lock_(lock), made_(made) {}
  Result<void> put_in_place(const std::vector<std::string>& names) const;

  std::filesystem::path folder_, hidden_;
  int lock_;  ///< on hidden_, as long as this process, or one it has forked, lives
  bool made_; ///< the folder was not there before
};

/// Lower-case letters, digits and dashes, for file names; never empty.
std::string slug(std::string_view name);

} // namespace chamber::job
