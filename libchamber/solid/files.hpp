#pragma once
// Files that appear whole or are taken away again.
#include "chamber/units/result.hpp"
#include <cstdio>
#include <functional>
#include <string>
#include <vector>

namespace chamber::solid {

/// The files begun through it; its destructor removes them unless they were kept.
class Files {
public:
  Files() = default;
  Files(const Files&) = delete;
  Files& operator=(const Files&) = delete;
  ~Files();

  /// Opens the file and lets `fill` write it (false: it could not). Fails, with the system's reason, when the file
  /// cannot be opened, written or closed.
  Result<void> write(const std::string& path, const std::function<bool(std::FILE*)>& fill);
  void keep() { begun_.clear(); }

private:
  std::vector<std::string> begun_;
};

} // namespace chamber::solid
