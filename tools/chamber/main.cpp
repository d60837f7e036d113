#include "command.hpp"
#include <cstdio>
#include <cstdlib>
#include <fmt/format.h>
#include <unistd.h>

namespace chamber::tool {

bool wants_colour(int fd) {
  const char* no = std::getenv("NO_COLOR");
  return isatty(fd) && (!no || !*no);
}

int say(const std::string& text, job::Exit code) {
  const bool ok = std::fwrite(text.data(), 1, text.size(), stdout) == text.size() && std::fflush(stdout) == 0;
  return static_cast<int>(!ok && code == job::Exit::done ? job::Exit::files : code);
}

int fail_with(const job::Failure& failure, const std::string& spec_file, bool json, std::string_view schema) {
  const auto text = job::to_text(failure, spec_file);
  std::fwrite(text.data(), 1, text.size(), stderr);
  return json ? say(job::to_json(failure, schema), failure.code) : static_cast<int>(failure.code);
}

job::Failure unread(std::vector<Problem> problems) {
  const bool unreadable = problems.size() == 1 && problems[0].place.line == 0;
  return {unreadable ? job::Exit::files : job::Exit::spec, std::move(problems), {}};
}

} // namespace chamber::tool

namespace {

constexpr auto exit_codes = "Exit codes: 0 done, 1 fault of the program, 2 command line, 3 mistakes in the spec or "
                            "file, 4 volume out of reach,\n"
                            "5 a check or proof failed, 6 a file could not be read or written.";

int run(int argc, char** argv) {
  CLI::App app{"Head inserts for two-strokes: from a spec to a solved chamber, a verified solid, STEP and a proven "
               "lathe program."};
  app.set_version_flag("--version", std::string("chamber " CHAMBER_VERSION));
  app.require_subcommand(1);
  app.footer(exit_codes);
  chamber::tool::Run chosen;
  chamber::tool::add_intake(app, chosen);
  chamber::tool::add_target(app, chosen);
  chamber::tool::add_design(app, chosen);
  chamber::tool::add_set(app, chosen);
  chamber::tool::add_trim(app, chosen);
  chamber::tool::add_check(app, chosen);
  try {
    app.parse(argc, argv);
  } catch (const CLI::CallForHelp& e) {
    return app.exit(e);
  } catch (const CLI::CallForAllHelp& e) {
    return app.exit(e);
  } catch (const CLI::CallForVersion& e) {
    return app.exit(e);
  } catch (const CLI::ParseError& e) {
    fmt::print(stderr, "chamber: {}\nSee chamber --help.\n", e.what());
    return static_cast<int>(chamber::job::Exit::usage);
  }
  return chosen();
}

} // namespace

int main(int argc, char** argv) {
  try {
    return run(argc, argv);
  } catch (const std::exception& e) {
    fmt::print(stderr, "chamber: a fault of the program: {}. Please report it with the spec.\n", e.what());
    return static_cast<int>(chamber::job::Exit::internal);
  }
}
