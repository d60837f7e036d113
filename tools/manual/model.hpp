#pragma once
// The command line as manual and completions see it: read off the program's own definition, so that they cannot drift.
#include <CLI/CLI.hpp>
#include <string>
#include <vector>

namespace chamber::manual {

struct Value {
  enum class Kind { none, text, file, folder, one, list } kind = Kind::none;
  std::string shown;              ///< "FILE.toml", "TEXT", "LIST"
  std::string suffix;             ///< of a file: ".toml"; empty: any
  std::vector<std::string> words; ///< of one and list
};

struct Option {
  std::vector<std::string> names; ///< with their dashes, short ones first; empty for a positional
  std::string positional;
  Value value;
  std::string description, standard;
  bool required = false, repeated = false;
};

struct Command {
  std::string name, description;
  std::vector<Option> options; ///< positionals too
};

struct Program {
  std::string description;
  std::vector<Option> options;
  std::vector<Command> commands;
};

Program read(const CLI::App& app);

std::string man_options(const std::vector<Option>& options); ///< troff
std::string man_commands(const Program& program);
std::string bash(const Program& program);
std::string zsh(const Program& program);
std::string fish(const Program& program);

} // namespace chamber::manual
