// The caller's side: looks at the text, starts the measuring process, and waits for its answer or its end.
//
// A program of its own, started by posix_spawn, and not a fork of this one: another thread may be loading
// the kernel while this runs, and a fork would copy its locks, held for ever.
#include "chamber/solid/foreign.hpp"
#include "chamber/solid/foreign_wire.hpp"
#include "chamber/solid/loader.hpp"
#include "chamber/solid/step_text.hpp"
#include <cerrno>
#include <chrono>
#include <cmath>
#include <csignal>
#include <cstring>
#include <fcntl.h>
#include <fmt/format.h>
#include <fstream>
#include <poll.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

namespace chamber::solid {
namespace {

namespace fs = std::filesystem;

Result<void> check_options(const MeasureOptions& o) {
  if (!(o.time_limit_s > 0) || !std::isfinite(o.time_limit_s) || o.memory_limit_mb == 0)
    return fail("the time and memory limits must be above 0.", "60 s and 2048 MB are usual.");
  if (o.solid && *o.solid == 0) return fail("solids count from 1.", "choose solid 1 or a later one.");
  for (const auto& value : {o.sealing_mm, o.plug_end_mm})
    if (value && !std::isfinite(*value)) return fail("a given place is not a finite number.", "give millimetres.");
  if (!o.axis) return {};
  double length = 0;
  for (std::size_t i = 0; i < 3; ++i) {
    length = std::hypot(length, o.axis->direction[i]);
    if (!std::isfinite(o.axis->point[i])) length = NAN;
  }
  if (!(length > 1e-9) || !std::isfinite(length))
    return fail("the given turning axis has no direction, or is not finite.",
                "give a point in mm and a direction, such as 0 0 1.");
  return {};
}

Result<void> check_file(const std::string& path) {
  std::error_code error;
  const auto status = fs::status(path, error);
  if (status.type() == fs::file_type::not_found) return fail("the file does not exist.", "check the path.");
  if (status.type() != fs::file_type::regular) return fail("this is not a plain file.", "name a STEP file.");
  std::ifstream in(path, std::ios::binary);
  if (!in) return fail(fmt::format("the file cannot be read: {}.", std::strerror(errno)), "check its permissions.");
  return check_step_text(in, fs::file_size(path, error));
}

/// A file descriptor that closes itself.
struct Descriptor {
  int fd = -1;
  ~Descriptor() { reset(); }
  void reset() {
    if (fd >= 0) close(fd);
    fd = -1;
  }
};

struct Pipe {
  Descriptor read, write;
  bool open() {
    int ends[2];
    if (pipe2(ends, O_CLOEXEC) != 0) return false;
    read.fd = ends[0];
    write.fd = ends[1];
    return true;
  }
};

/// Ends the process and takes its status whatever way the scope is left.
struct Child {
  pid_t pid = -1;
  int wait() {
    int status = 0;
    while (waitpid(pid, &status, 0) < 0 && errno == EINTR) {
    }
    pid = -1;
    return status;
  }
  ~Child() {
    if (pid < 0) return;
    kill(pid, SIGKILL);
    wait();
  }
};

Result<void> spawn(Child& child, const Pipe& request, const Pipe& answer) {
  fs::path program;
  std::string looked;
  for (const auto& folder : kernel_folders()) {
    std::error_code none;
    if (program.empty() && fs::exists(folder / CHAMBER_MEASURE_FILE, none)) program = folder / CHAMBER_MEASURE_FILE;
    looked += (looked.empty() ? "" : ", ") + folder.string();
  }
  const std::string cure = "build or install the program and its libraries together.";
  if (program.empty()) return fail(fmt::format("{} was not found (looked in {}).", CHAMBER_MEASURE_FILE, looked), cure);
  std::string name = program.string();
  char* arguments[] = {name.data(), nullptr};
  posix_spawn_file_actions_t actions;
  posix_spawn_file_actions_init(&actions);
  posix_spawn_file_actions_adddup2(&actions, request.read.fd, 0);
  posix_spawn_file_actions_adddup2(&actions, answer.write.fd, 1);
  posix_spawn_file_actions_addclosefrom_np(&actions, 3);
  // This program may have put signals off or ignore them; the new one starts afresh.
  posix_spawnattr_t attributes;
  posix_spawnattr_init(&attributes);
  sigset_t none, broken_pipe;
  sigemptyset(&none);
  sigemptyset(&broken_pipe);
  sigaddset(&broken_pipe, SIGPIPE);
  posix_spawnattr_setsigmask(&attributes, &none);
  posix_spawnattr_setsigdefault(&attributes, &broken_pipe);
  posix_spawnattr_setflags(&attributes, POSIX_SPAWN_SETSIGMASK | POSIX_SPAWN_SETSIGDEF);
  const int error = posix_spawn(&child.pid, name.c_str(), &actions, &attributes, arguments, environ);
  posix_spawnattr_destroy(&attributes);
  posix_spawn_file_actions_destroy(&actions);
  if (error == 0) return {};
  child.pid = -1;
  return fail(fmt::format("{} does not start: {}.", name, std::strerror(error)), cure);
}

/// All the child writes until it closes its end; empty past the time limit.
std::optional<std::string> read_until(int fd, double limit_s) {
  using clock = std::chrono::steady_clock;
  const auto end =
      clock::now() + std::chrono::duration_cast<clock::duration>(std::chrono::duration<double>(std::min(limit_s, 1e6)));
  std::string out;
  for (char buffer[65536];;) {
    const auto left = std::chrono::duration_cast<std::chrono::milliseconds>(end - clock::now()).count();
    if (left <= 0) return std::nullopt;
    pollfd one{fd, POLLIN, 0};
    const int ready = poll(&one, 1, static_cast<int>(std::min<long long>(left, 1000)));
    if (ready < 0 && errno != EINTR) return out;
    if (ready <= 0) continue;
    const auto n = read(fd, buffer, sizeof buffer);
    if (n < 0 && errno == EINTR) continue;
    if (n <= 0) return out;
    out.append(buffer, static_cast<std::size_t>(n));
  }
}

Result<Measured> run(const std::string& path, const MeasureOptions& options) {
  const auto no_pipe = [] { return fail(fmt::format("no pipe: {}.", std::strerror(errno)), "close some programs."); };
  const auto request = wire::pack(wire::Request{path, options});
  Pipe down, up;
  if (!down.open() || !up.open()) return no_pipe();
  // Fits into the pipe, so that it is there before anybody reads, and nobody can be gone. PATH_MAX sees to that.
  if (write(down.write.fd, request.data(), request.size()) != static_cast<ssize_t>(request.size())) return no_pipe();
  Child child;
  if (auto ok = spawn(child, down, up); !ok) return tl::unexpected(ok.error());
  down.read.reset();
  down.write.reset();
  up.write.reset();
  const auto bytes = read_until(up.read.fd, options.time_limit_s);
  if (!bytes)
    return fail(fmt::format("the CAD kernel did not finish with this file in {:g} s.", options.time_limit_s),
                "the file is damaged or very large: export the solid alone, or raise the time limit.");
  const int status = child.wait();
  if (auto answer = wire::unpack<wire::Answer>(*bytes)) {
    if (answer->ok) return std::move(answer->measured);
    return tl::unexpected(std::move(answer->problem));
  }
  if (WIFSIGNALED(status))
    return fail(fmt::format("the CAD kernel crashed on this file (signal {}).", WTERMSIG(status)),
                "the file is damaged: export it again, as AP214 and as one solid.");
  return fail(fmt::format("the measuring process ended without an answer (status {}).", WEXITSTATUS(status)),
              "try again; raise the memory limit if it happens again.");
}

} // namespace

Result<Measured> measure_step(const std::string& path, const MeasureOptions& options) {
  auto measured = [&]() -> Result<Measured> {
    if (auto ok = check_options(options); !ok) return tl::unexpected(ok.error());
    if (auto ok = check_file(path); !ok) return tl::unexpected(ok.error());
    return run(path, options);
  }();
  if (!measured) measured.error().place.file = path;
  return measured;
}

} // namespace chamber::solid
