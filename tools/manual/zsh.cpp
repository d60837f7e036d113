#include "model.hpp"

namespace chamber::manual {
namespace {

/// With a backslash before each of `special`.
std::string escaped(const std::string& s, const char* special) {
  std::string out;
  for (const char c : s) {
    if (std::string_view(special).find(c) != std::string_view::npos) out += '\\';
    out += c;
  }
  return out;
}

std::string quoted(const std::string& s) {
  std::string out = "'";
  for (const char c : s) out += c == '\'' ? "'\\''" : std::string(1, c);
  return out + "'";
}

std::string action(const Value& v) {
  std::string words;
  for (const auto& w : v.words) words += (words.empty() ? "" : " ") + escaped(w, " :\\()");
  switch (v.kind) {
  case Value::Kind::none:
    return {};
  case Value::Kind::text:
    return ":" + v.shown + ": ";
  case Value::Kind::folder:
    return ":" + v.shown + ":_files -/";
  case Value::Kind::file:
    return ":" + v.shown + (v.suffix.empty() ? ":_files" : ":_files -g \"*" + v.suffix + "\"");
  case Value::Kind::one:
    return ":" + v.shown + ":(" + words + ")";
  case Value::Kind::list:
    return ":" + v.shown + ":_sequence compadd - " + words;
  }
  return {};
}

/// One argument of _arguments a name; names of one option exclude each other.
std::string arguments(const std::vector<Option>& options) {
  std::string out;
  for (const auto& o : options) {
    if (o.names.empty()) {
      out += " \\\n    " + quoted("1" + action(o.value));
      continue;
    }
    std::string others = "(";
    for (const auto& n : o.names) others += (others.size() > 1 ? " " : "") + n;
    others += ")";
    if (o.repeated) others = "*";
    for (const auto& n : o.names) {
      const bool is_long = n.rfind("--", 0) == 0;
      const std::string sign = o.value.kind == Value::Kind::none ? "" : is_long ? "=" : "+";
      out += " \\\n    " + quoted(others + n + sign + "[" + escaped(o.description, "[]:\\") + "]" + action(o.value));
    }
  }
  return out;
}

} // namespace

std::string zsh(const Program& program) {
  std::string out = "#compdef chamber\n# zsh completion of chamber(1), made from the program's own command line.\n\n"
                    "local curcontext=$curcontext state line\nlocal -a commands\n_arguments -C" +
                    arguments(program.options) + " \\\n    '1: :->command' \\\n    '*:: :->rest' && return\n\n" +
                    "if [[ $state == command ]]; then\n  commands=(\n";
  for (const auto& c : program.commands) out += "    " + quoted(c.name + ":" + escaped(c.description, ":\\")) + "\n";
  out += "  )\n  _describe command commands\n  return\nfi\n\ncase $line[1] in\n";
  for (const auto& c : program.commands) out += c.name + ")\n  _arguments" + arguments(c.options) + "\n  ;;\n";
  return out + "esac\n";
}

} // namespace chamber::manual
