#include "model.hpp"

namespace chamber::manual {
namespace {

std::string quoted(const std::string& s) {
  std::string out = "'";
  for (const char c : s) {
    if (c == '\'' || c == '\\') out += '\\';
    out += c;
  }
  return out + "'";
}

std::string words_of(const Value& v) {
  std::string out;
  for (const auto& w : v.words) out += (out.empty() ? "" : " ") + quoted(w);
  return out;
}

/// What follows the option's names.
std::string takes(const Value& v) {
  switch (v.kind) {
  case Value::Kind::none:
    return {};
  case Value::Kind::text:
    return " -x";
  case Value::Kind::folder:
    return " -x -a '(__fish_complete_directories)'";
  case Value::Kind::file:
    return v.suffix.empty() ? " -r -F" : " -x -k -a " + quoted("(__fish_complete_suffix " + v.suffix + ")");
  case Value::Kind::one:
    return " -x -a " + quoted(words_of(v));
  case Value::Kind::list:
    return " -x -a " + quoted("(__fish_append , " + words_of(v) + ")");
  }
  return {};
}

std::string lines(const std::string& when, const std::vector<Option>& options) {
  std::string out;
  for (const auto& o : options) {
    out += "complete -c chamber -n " + quoted(when);
    for (const auto& n : o.names) out += n.rfind("--", 0) == 0 ? " -l " + n.substr(2) : " -s " + n.substr(1);
    out += takes(o.value) + (o.names.empty() ? "" : " -d " + quoted(o.description)) + "\n";
  }
  return out;
}

} // namespace

std::string fish(const Program& program) {
  std::string out = "# fish completion of chamber(1), made from the program's own command line.\n\n"
                    "complete -c chamber -f\n" +
                    lines("__fish_use_subcommand", program.options);
  for (const auto& c : program.commands)
    out += "\ncomplete -c chamber -n __fish_use_subcommand -a " + c.name + " -d " + quoted(c.description) + "\n" +
           lines("__fish_seen_subcommand_from " + c.name, c.options);
  return out;
}

} // namespace chamber::manual
