#include "chamber/job/ending.hpp"
#include "chamber/job/libraries.hpp"
#include "command.hpp"
#include <cerrno>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <fmt/format.h>
#include <unistd.h>

namespace chamber::tool {
namespace {

constexpr auto exit_codes = "Exit codes: 0 done, 1 fault of the program, 2 command line, 3 mistakes in the spec or "
                            "file, 4 volume out of reach,\n"
                            "5 a check or proof failed, 6 a file could not be read or written; 128 + n: ended by "
                            "signal n.";

std::string versions() {
  std::string out = "chamber " CHAMBER_VERSION;
  for (const auto& [name, version] : job::libraries()) out += fmt::format("\n{} {}", name, version);
  return out + "\nCLI11 " CLI11_VERSION;
}

} // namespace

bool wants_colour(int fd) {
  const char* no = std::getenv("NO_COLOR");
  return isatty(fd) && (!no || !*no);
}

void tell_error(const std::string& text) {
  (void)std::fwrite(text.data(), 1, text.size(), stderr); // if that is closed too, the exit code has to do
}

int say(const std::string& text, job::Exit code) {
  const std::lock_guard last_words(job::ending());
  if (std::fwrite(text.data(), 1, text.size(), stdout) == text.size() && std::fflush(stdout) == 0)
    return static_cast<int>(code);
  tell_error(fmt::format("chamber: standard output cannot be written to: {}.{}\n", std::strerror(errno),
                         code == job::Exit::done ? " The job itself is done: its files, if any, are in place." : ""));
  return static_cast<int>(code == job::Exit::done ? job::Exit::files : code);
}

int fail_with(const job::Failure& failure, const std::string& spec_file, bool json, std::string_view schema) {
  const auto text = job::to_text(failure, spec_file);
  {
    const std::lock_guard last_words(job::ending());
    tell_error(text);
  }
  return json ? say(job::to_json(failure, schema), failure.code) : static_cast<int>(failure.code);
}

job::Failure unread(std::vector<Problem> problems) {
  const bool unreadable = problems.size() == 1 && problems[0].place.line == 0;
  return {unreadable ? job::Exit::files : job::Exit::spec, std::move(problems), {}};
}

void define(CLI::App& app, Run& chosen) {
  app.name("chamber");
  app.description("Head inserts for two-strokes: from a spec to a solved chamber, a verified solid, STEP and a proven "
                  "lathe program.");
  app.set_version_flag("--version", versions, "Print the program's version and those of its libraries");
  app.require_subcommand(1);
  app.footer(exit_codes);
  add_intake(app, chosen);
  add_target(app, chosen);
  add_design(app, chosen);
  add_set(app, chosen);
  add_trim(app, chosen);
  add_check(app, chosen);
}

} // namespace chamber::tool
