#pragma once
// What the program is built on, for --version.
#include <string>
#include <vector>

namespace chamber {

/// A library and its version: of a shared one as it is loaded, of headers as they were compiled.
struct Library {
  std::string name, version;
};
using Libraries = std::vector<Library>;

} // namespace chamber
