// The process that measures somebody else's STEP file, started by measure_step: request on stdin, answer on stdout.
#include "chamber/solid/foreign_wire.hpp"
#include "chamber/solid/loader.hpp"
#include <cerrno>
#include <cmath>
#include <csignal>
#include <cstdlib>
#include <fcntl.h>
#include <new>
#include <sys/prctl.h>
#include <sys/resource.h>
#include <unistd.h>

using namespace chamber;
using namespace chamber::solid;

namespace {

std::string read_all(int fd) {
  std::string out;
  for (char buffer[4096];;) {
    const auto n = read(fd, buffer, sizeof buffer);
    if (n < 0 && errno == EINTR) continue;
    if (n <= 0) return out;
    out.append(buffer, static_cast<std::size_t>(n));
  }
}

bool write_all(int fd, const std::string& bytes) {
  for (std::size_t done = 0; done < bytes.size();) {
    const auto n = write(fd, bytes.data() + done, bytes.size() - done);
    if (n < 0 && errno == EINTR) continue;
    if (n <= 0) return false;
    done += static_cast<std::size_t>(n);
  }
  return true;
}

void limit(const MeasureOptions& options) {
  const auto set = [](auto what, rlim_t value) {
    const rlimit both{value, value};
    setrlimit(what, &both);
  };
  set(RLIMIT_CORE, 0);
  // The caller counts the seconds; this stops a process whose caller is gone.
  set(RLIMIT_CPU, static_cast<rlim_t>(std::ceil(std::fmin(options.time_limit_s, 1e6))) + 1);
#if !defined(CHAMBER_SANITIZED) // whose shadow memory alone takes terabytes of address space
  set(RLIMIT_AS, rlim_t{options.memory_limit_mb} << 20);
#endif
}

Result<Measured> answer_to(const wire::Request& request) {
  try {
    const auto measure = load_measure_here();
    if (!measure) return tl::unexpected(measure.error());
    return (*measure)(request.path, request.options);
  } catch (const std::bad_alloc&) {
    return fail("the memory limit is too small for this file.", "raise the limit, or export the solid alone.");
  }
}

} // namespace

int main() {
  prctl(PR_SET_PDEATHSIG, SIGKILL);
  const auto request = wire::unpack<wire::Request>(read_all(0));
  if (!request) return 2;
  // What the kernel prints must not mix with the answer.
  const int out = dup(1), quiet = open("/dev/null", O_RDWR);
  if (out < 0 || quiet < 0) return 2;
  dup2(quiet, 1);
  dup2(quiet, 2);
  limit(request->options);
  const auto measured = answer_to(*request);
  wire::Answer answer;
  answer.ok = measured.has_value();
  if (measured)
    answer.measured = *measured;
  else
    answer.problem = measured.error();
  // The kernel's own clearing up at the end of a process is not worth a crash after the answer.
  const int code = write_all(out, wire::pack(answer)) ? 0 : 1;
#if defined(CHAMBER_COVERAGE) // whose counts are written at a proper end
  std::exit(code);
#else
  _exit(code);
#endif
}
