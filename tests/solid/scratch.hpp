#pragma once
// A folder of its own for each test, and the files in it as bytes.
#include "chamber/solid/solid.hpp"
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <stdexcept>
#include <string>

namespace scratch {

namespace fs = std::filesystem;

class Folder {
public:
  Folder() {
    std::string name = (fs::temp_directory_path() / "solid-test-XXXXXX").string();
    if (!mkdtemp(name.data())) throw std::runtime_error("no temporary folder");
    path_ = name;
  }
  ~Folder() {
    std::error_code none;
    fs::remove_all(path_, none);
  }
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;
  std::string operator/(const std::string& file) const { return (path_ / file).string(); }
  std::string path() const { return path_.string(); }
  std::size_t files() const {
    return static_cast<std::size_t>(std::distance(fs::directory_iterator(path_), fs::directory_iterator()));
  }

private:
  fs::path path_;
};

inline std::string bytes_of(const std::string& path) {
  std::ifstream in(path, std::ios::binary);
  if (!in) throw std::runtime_error("cannot read " + path);
  return {std::istreambuf_iterator<char>(in), {}};
}

/// Sets a variable of the environment (or unsets it, given null) until the end of the scope.
class Environment {
public:
  Environment(const char* name, const char* value) : name_(name) {
    if (const char* old = std::getenv(name)) old_ = old, had_ = true;
    value ? setenv(name, value, 1) : unsetenv(name);
  }
  ~Environment() { had_ ? setenv(name_, old_.c_str(), 1) : unsetenv(name_); }
  Environment(const Environment&) = delete;
  Environment& operator=(const Environment&) = delete;

private:
  const char* name_;
  std::string old_;
  bool had_ = false;
};

/// 2026-01-31 12:00:00 UTC.
inline constexpr const char* epoch = "1769860800";

inline chamber::solid::FileOptions options() {
  return {
      .description = "test solid", .author = "nobody", .organization = "no shop", .originating_system = "chamber 0"};
}

/// make() of one part; throws on failure.
inline chamber::solid::PartResult made(const chamber::solid::Part& part,
                                       const chamber::solid::FileOptions& with = options()) {
  auto results = chamber::solid::make({part}, with);
  if (!results) throw std::runtime_error(chamber::to_text(results.error()));
  return results->at(0);
}

/// An outline whose faces are numbered.
inline std::vector<chamber::shapes::NamedSegment> named(const chamber::profile::Chain& chain) {
  std::vector<chamber::shapes::NamedSegment> out;
  for (const auto& s : chain) out.push_back({s, "face " + std::to_string(out.size() + 1)});
  return out;
}

} // namespace scratch
