#include "chamber/job/ending.hpp"
#include "chamber/units/printable.hpp"
#include "command.hpp"
#include <cerrno>
#include <csignal>
#include <fcntl.h>
#include <fmt/format.h>
#include <malloc.h>
#include <sstream>
#include <unistd.h>

namespace {

/// Whichever of the standard streams is closed gets a stand-in that fails, so that no file takes its number and is
/// written over by what was meant for a reader.
void fill_standard_streams() {
  for (const int fd : {STDIN_FILENO, STDOUT_FILENO, STDERR_FILENO})
    if (fcntl(fd, F_GETFD) < 0 && errno == EBADF) (void)::open("/dev/null", fd == STDIN_FILENO ? O_WRONLY : O_RDONLY);
}

/// Memory once got is kept: a run lasts a tenth of a second, and spends a good part of it on getting pages from the
/// system again that it has just given back.
void keep_memory() {
  mallopt(M_MMAP_THRESHOLD, 4 << 20);
  mallopt(M_TRIM_THRESHOLD, 256 << 20);
  mallopt(M_TOP_PAD, 4 << 20);
}

/// Help and version; like any other result, nobody getting it is not a success.
int tell(const CLI::App& app, const CLI::ParseError& asked) {
  std::ostringstream text;
  (void)app.exit(asked, text, text);
  return chamber::tool::say(text.str(), chamber::job::Exit::done);
}

/// What is wrong with the command line. A command that does not exist is named: the parser only misses one.
std::string complaint(const CLI::App& app, const CLI::ParseError& e, int argc, char** argv) {
  const std::string_view first = argc > 1 ? argv[1] : "";
  if (first.empty() || first[0] == '-') return e.what();
  std::string all;
  for (const auto* command : app.get_subcommands([](const CLI::App*) { return true; })) {
    if (command->get_name() == first) return e.what();
    all += (all.empty() ? "" : ", ") + command->get_name();
  }
  return fmt::format("there is no command \"{}\"; there are {}.", chamber::printable(first), all);
}

int run(int argc, char** argv) {
  CLI::App app;
  chamber::tool::Run chosen;
  chamber::tool::define(app, chosen);
  try {
    app.parse(argc, argv);
  } catch (const CLI::CallForHelp& e) {
    return tell(app, e);
  } catch (const CLI::CallForAllHelp& e) {
    return tell(app, e);
  } catch (const CLI::CallForVersion& e) {
    return tell(app, e);
  } catch (const CLI::ParseError& e) {
    chamber::tool::tell_error(fmt::format("chamber: {}\nSee chamber --help.\n", complaint(app, e, argc, argv)));
    return static_cast<int>(chamber::job::Exit::usage);
  }
  return chosen();
}

} // namespace

int main(int argc, char** argv) {
  keep_memory();
  fill_standard_streams();
  // A reader that has gone and a file that may not grow are errors where they are written to.
  for (const int signal : {SIGPIPE, SIGXFSZ}) std::signal(signal, SIG_IGN);
  chamber::job::end_cleanly_on_signals();
  try {
    return run(argc, argv);
  } catch (const std::exception& e) {
    chamber::tool::tell_error(
        fmt::format("chamber: a fault of the program: {}. Please report it with the spec.\n", e.what()));
    return static_cast<int>(chamber::job::Exit::internal);
  }
}
