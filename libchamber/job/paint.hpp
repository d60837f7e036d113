#pragma once
#include <string>
#include <string_view>

namespace chamber::job {

/// Colour on a terminal, plain text elsewhere.
struct Paint {
  bool on;
  std::string good(std::string_view s) const { return wrap("32", s); }
  std::string bad(std::string_view s) const { return wrap("1;31", s); }
  std::string head(std::string_view s) const { return wrap("1", s); }

private:
  std::string wrap(std::string_view code, std::string_view s) const {
    return on ? "\x1b[" + std::string(code) + "m" + std::string(s) + "\x1b[0m" : std::string(s);
  }
};

} // namespace chamber::job
