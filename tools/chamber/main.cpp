#include "command.hpp"
#include <cstdio>
#include <fmt/format.h>

namespace {

int run(int argc, char** argv) {
  CLI::App app;
  chamber::tool::Run chosen;
  chamber::tool::define(app, chosen);
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
