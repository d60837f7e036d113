#include "model.hpp"

namespace chamber::manual {
namespace {

std::string quoted(const std::string& s) {
  std::string out = "'";
  for (const char c : s) out += c == '\'' ? "'\\''" : std::string(1, c);
  return out + "'";
}

/// printf's arguments: the kind, then what goes with it.
std::string takes(const Value& v) {
  switch (v.kind) {
  case Value::Kind::none:
    return {};
  case Value::Kind::text:
    return "text";
  case Value::Kind::folder:
    return "folder";
  case Value::Kind::file:
    return "file " + quoted(v.suffix);
  case Value::Kind::one:
  case Value::Kind::list:
    break;
  }
  std::string out = v.kind == Value::Kind::one ? "one" : "list";
  for (const auto& w : v.words) out += " " + quoted(w);
  return out;
}

/// The positional goes by the name "file".
std::string cases(const std::string& command, const Option& o) {
  const auto what = takes(o.value);
  if (what.empty()) return {};
  std::string patterns;
  for (const auto& n : o.names) patterns += (patterns.empty() ? "" : " | ") + quoted(command + " " + n);
  if (o.names.empty()) patterns = quoted(command + " file");
  return "  " + patterns + ") printf '%s\\n' " + what + " ;;\n";
}

std::string names(const std::string& command, const std::vector<Option>& options) {
  std::string out = "  " + quoted(command) + ") printf '%s\\n'";
  for (const auto& o : options)
    for (const auto& n : o.names) out += " " + quoted(n);
  return out + " ;;\n";
}

constexpr auto head = R"(# bash completion of chamber(1), made from the program's own command line.

)";

constexpr auto tail = R"(
_chamber() {
  local cur=${COMP_WORDS[COMP_CWORD]} prev=${COMP_WORDS[COMP_CWORD - 1]} command='' i w before suffix takes=() words=()
  COMPREPLY=()
  for ((i = 1; i < COMP_CWORD; ++i)); do
    [[ ${COMP_WORDS[i]} == -* ]] || { command=${COMP_WORDS[i]}; break; }
  done
  # Bash takes --option=value for three words, and leaves quotes as they were typed.
  if [[ $cur == = ]]; then cur=''; elif [[ $prev == = ]]; then prev=${COMP_WORDS[COMP_CWORD - 2]}; fi
  cur=${cur#[\"\']}
  cur=${cur//\\/}

  mapfile -t takes < <(_chamber_takes "$command" "$prev")
  if ((${#takes[@]} == 0)); then
    if [[ -z $command ]]; then
      takes=(one)
      mapfile -t words < <(_chamber_commands; _chamber_options '')
    elif [[ $cur == -* ]]; then
      takes=(one)
      mapfile -t words < <(_chamber_options "$command")
    else
      mapfile -t takes < <(_chamber_takes "$command" file)
    fi
  fi
  ((${#words[@]})) || words=("${takes[@]:1}")

  case ${takes[0]} in
  one)
    compopt -o filenames 2>/dev/null # has bash quote blanks
    for w in "${words[@]}"; do [[ $w == "$cur"* ]] && COMPREPLY+=("$w"); done
    ;;
  list)
    compopt -o nospace 2>/dev/null
    before=${cur%"${cur##*,}"}
    for w in "${words[@]}"; do [[ ,$before != *",$w,"* && $before$w == "$cur"* ]] && COMPREPLY+=("$before$w"); done
    ;;
  file)
    compopt -o filenames 2>/dev/null
    suffix=${words[0]}
    mapfile -t words < <(compgen -f -- "$cur")
    for w in "${words[@]}"; do [[ -d $w || $w == *"$suffix" ]] && COMPREPLY+=("$w"); done
    ;;
  folder)
    compopt -o filenames 2>/dev/null
    mapfile -t COMPREPLY < <(compgen -d -- "$cur")
    ;;
  esac
  return 0
}

complete -F _chamber chamber
)";

} // namespace

std::string bash(const Program& program) {
  std::string out = head;
  out += "_chamber_commands() {\n  printf '%s\\n'";
  for (const auto& c : program.commands) out += " " + quoted(c.name);
  out += "\n}\n\n# COMMAND: its options.\n_chamber_options() {\n  case $1 in\n" + names("", program.options);
  for (const auto& c : program.commands) out += names(c.name, c.options);
  out += "  esac\n}\n\n# COMMAND OPTION: what it takes: text, folder, file and suffix, one or list and the words.\n"
         "_chamber_takes() {\n  case \"$1 $2\" in\n";
  for (const auto& c : program.commands)
    for (const auto& o : c.options) out += cases(c.name, o);
  return out + "  esac\n}\n" + tail;
}

} // namespace chamber::manual
