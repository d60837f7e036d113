#include "chamber/job/workers.hpp"
#include <algorithm>
#include <cerrno>
#include <csignal>
#include <fmt/format.h>
#include <malloc.h>
#include <nlohmann/json.hpp>
#include <poll.h>
#include <sys/prctl.h>
#include <sys/wait.h>
#include <thread>
#include <unistd.h>

namespace chamber::job {
namespace {

using Json = nlohmann::json;

Json to_wire(std::size_t index, const std::optional<Failure>& f) {
  Json j = {{"index", index}, {"failed", f.has_value()}};
  if (!f) return j;
  j["code"] = static_cast<int>(f->code);
  j["text"] = f->shortfall ? to_text(Failure{f->code, {}, f->shortfall}, "the spec") : "";
  for (const auto& p : f->problems)
    j["problems"].push_back({p.place.file, p.place.line, p.place.column, p.message, p.cure});
  return j;
}

Failure from_wire(const Json& j) {
  Failure f{static_cast<Exit>(j.at("code").get<int>()), {}, {}};
  if (j.contains("problems"))
    for (const auto& p : j["problems"])
      f.problems.push_back({{p[0].get<std::string>(), p[1].get<int>(), p[2].get<int>()},
                            p[3].get<std::string>(),
                            p[4].get<std::string>()});
  // What stands in the way of a volume is explained in text by the worker.
  if (const auto text = j.at("text").get<std::string>(); !text.empty()) f.problems.push_back({{}, text, ""});
  return f;
}

bool write_line(int fd, const std::string& line) {
  for (std::size_t done = 0; done < line.size();) {
    const auto n = ::write(fd, line.data() + done, line.size() - done);
    if (n < 0 && errno == EINTR) continue;
    if (n <= 0) return false;
    done += static_cast<std::size_t>(n);
  }
  return true;
}

struct Worker {
  pid_t pid = -1;
  int fd = -1;
};

Worker start(std::size_t first, std::size_t step, std::size_t count,
             const std::function<std::optional<Failure>(std::size_t)>& work) {
  int ends[2];
  if (pipe(ends) != 0) return {};
  const pid_t parent = getpid(), pid = fork();
  if (pid == 0) {
    close(ends[0]);
    // Whoever ends the program ends its workers.
    if (prctl(PR_SET_PDEATHSIG, SIGKILL) != 0 || getppid() != parent) _exit(1);
    // Every insert starts threads anew; in heaps of their own they would leave holes that add up.
    mallopt(M_ARENA_MAX, 1);
    // Nothing may unwind into the parent's copy of the stack: it owns the folder the others are writing to.
    try {
      for (std::size_t i = first; i < count; i += step) {
        const auto failure = work(i);
        if (!write_line(ends[1], to_wire(i, failure).dump(-1, ' ', false, Json::error_handler_t::replace) + "\n"))
          break;
      }
    } catch (...) {
      _exit(1); // the piece that did not report counts as failed
    }
    _exit(0); // the parent owns every object: no destructor may run twice
  }
  close(ends[1]);
  if (pid < 0) {
    close(ends[0]);
    return {};
  }
  return {pid, ends[0]};
}

} // namespace

std::vector<std::optional<Failure>> run_in_processes(std::size_t count,
                                                     const std::function<std::optional<Failure>(std::size_t)>& work,
                                                     const std::function<void(std::size_t, std::size_t)>& progress) {
  // Until it reports, a piece counts as failed: a worker that dies leaves that behind.
  std::vector<std::optional<Failure>> results(
      count, Failure{Exit::internal,
                     {{{}, "a worker process died.", "run it again; report it with the spec if it dies again."}},
                     {}});
  const std::size_t cores = std::max<std::size_t>(1, std::thread::hardware_concurrency());
  const std::size_t workers = std::min(count, cores);
  std::vector<Worker> running;
  for (std::size_t w = 0; w < workers; ++w) running.push_back(start(w, workers, count, work));
  std::size_t done = 0;
  const auto take = [&](const std::string& line) {
    const auto j = Json::parse(line);
    const auto i = j.at("index").get<std::size_t>();
    results[i] = j.at("failed").get<bool>() ? std::optional(from_wire(j)) : std::nullopt;
    if (progress) progress(++done, count);
  };
  std::vector<pollfd> pipes;
  for (const auto& w : running)
    pipes.push_back({w.fd, POLLIN, 0}); // a worker that did not start has -1: poll passes it over
  std::vector<std::string> texts(workers);
  for (auto open = static_cast<std::size_t>(
           std::count_if(pipes.begin(), pipes.end(), [](const pollfd& p) { return p.fd >= 0; }));
       open > 0;) {
    if (poll(pipes.data(), pipes.size(), -1) < 0 && errno != EINTR) break;
    for (std::size_t w = 0; w < workers; ++w) {
      if (pipes[w].fd < 0 || pipes[w].revents == 0) continue;
      char buffer[4096];
      const auto n = read(pipes[w].fd, buffer, sizeof buffer);
      if (n < 0 && errno == EINTR) continue;
      if (n <= 0) {
        close(pipes[w].fd);
        pipes[w].fd = -1;
        --open;
        continue;
      }
      texts[w].append(buffer, static_cast<std::size_t>(n));
      for (auto end = texts[w].find('\n'); end != std::string::npos; end = texts[w].find('\n')) {
        take(texts[w].substr(0, end));
        texts[w].erase(0, end + 1);
      }
    }
  }
  for (const auto& w : running)
    while (w.pid > 0 && waitpid(w.pid, nullptr, 0) < 0 && errno == EINTR) {
    }
  return results;
}

} // namespace chamber::job
