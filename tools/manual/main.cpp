// chamber-manual TEMPLATE FOLDER: writes the man page, from its template, and the completions of bash, zsh and fish
// into the folder, all from the program's own command line.
#include "../chamber/command.hpp"
#include "chamber/job/guideline_read.hpp"
#include "model.hpp"
#include <filesystem>
#include <fstream>
#include <iostream>
#include <sstream>

namespace {

using namespace chamber;
namespace fs = std::filesystem;

void replace(std::string& text, const std::string& mark, const std::string& by) {
  const auto at = text.find(mark);
  if (at == text.npos) throw std::runtime_error("the template lacks " + mark);
  text.replace(at, mark.size(), by);
}

void write(const fs::path& file, const std::string& text) {
  std::ofstream out(file, std::ios::binary);
  if (!(out << text).flush()) throw std::runtime_error("cannot write " + file.string());
}

void run(const fs::path& source, const fs::path& folder) {
  CLI::App app;
  tool::Run none;
  tool::define(app, none);
  const auto program = manual::read(app);
  std::ifstream in(source);
  std::ostringstream read;
  if (!in || !(read << in.rdbuf())) throw std::runtime_error("cannot read " + source.string());
  auto page = read.str();
  replace(page, "@VERSION@", CHAMBER_VERSION);
  replace(page, "@OPTIONS@\n", manual::man_options(program.options));
  replace(page, "@COMMANDS@\n", manual::man_commands(program));
  fs::create_directories(folder);
  write(folder / "chamber.1", page);
  write(folder / "chamber.bash", manual::bash(program));
  write(folder / "_chamber", manual::zsh(program));
  write(folder / "chamber.fish", manual::fish(program));
  write(folder / "guideline.toml", std::string(job::built_in_guideline_text()));
}

} // namespace

int main(int argc, char** argv) try {
  if (argc != 3) throw std::runtime_error("usage: chamber-manual TEMPLATE FOLDER");
  run(argv[1], argv[2]);
  return 0;
} catch (const std::exception& e) {
  std::cerr << "chamber-manual: " << e.what() << '\n';
  return 1;
}
