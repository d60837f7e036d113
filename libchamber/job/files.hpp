#pragma once
// Output files appear whole or not at all: written into a hidden folder beside their place, then renamed.
#include "chamber/units/result.hpp"
#include <filesystem>
#include <string_view>
#include <vector>

namespace chamber::job {

/// A set of files on their way into one folder. Nothing of it is seen there before commit(); without commit it
/// vanishes.
class Staging {
public:
  /// Makes the folder (and its parents) if need be. Fails when it cannot be written to.
  static Result<Staging> open(const std::filesystem::path& folder);
  Staging(Staging&& other) noexcept
      : folder_(std::move(other.folder_)), hidden_(std::move(other.hidden_)), made_(other.made_) {
    other.hidden_.clear();
  }
  Staging& operator=(Staging&&) = delete;
  ~Staging();

  /// Where to write a file that will be called `name`.
  std::filesystem::path path(std::string_view name) const { return hidden_ / name; }
  Result<void> write(std::string_view name, std::string_view content) const;
  /// Renames every staged file into the folder, replacing old ones; returns their names, sorted.
  Result<std::vector<std::string>> commit();

private:
  Staging(std::filesystem::path folder, std::filesystem::path hidden, bool made)
      : folder_(std::move(folder)), hidden_(std::move(hidden)), made_(made) {}
  std::filesystem::path folder_, hidden_;
  bool made_; ///< the folder was not there before
};

/// Lower-case letters, digits and dashes, for file names; never empty.
std::string slug(std::string_view name);

} // namespace chamber::job
