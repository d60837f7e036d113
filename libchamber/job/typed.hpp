#pragma once
#include <string>

namespace chamber::job {

/// A text of the spec as it was typed: "engine", "bore", "66.4 mm"; of a list of tables "site 2".
struct Typed {
  std::string table, key, text;
};

} // namespace chamber::job
