#include "chamber/job/ending.hpp"
#include <csignal>
#include <map>
#include <pthread.h>
#include <thread>

namespace chamber::job {
namespace fs = std::filesystem;
namespace {

std::map<fs::path, fs::path>& going() {
  static std::map<fs::path, fs::path> all;
  return all;
}

/// Other threads and worker processes may still be writing into it: it is emptied until it can go, and after that
/// nothing can be written any more.
void take_away(const fs::path& hidden, const fs::path& made) {
  constexpr int most_tries = 1000;
  std::error_code error;
  for (int i = 0; i < most_tries && fs::exists(hidden, error); ++i) fs::remove_all(hidden, error);
  if (!made.empty()) fs::remove(made, error);
}

/// Ends the program as the signal would have.
[[noreturn]] void die_of(int signal) {
  std::signal(signal, SIG_DFL);
  sigset_t only;
  sigemptyset(&only);
  sigaddset(&only, signal);
  pthread_sigmask(SIG_UNBLOCK, &only, nullptr);
  pthread_kill(pthread_self(), signal);
  std::_Exit(128 + signal);
}

} // namespace

void end_cleanly_on_signals() {
  ending();
  going(); // made before the thread that reads them
  sigset_t waited;
  sigemptyset(&waited);
  for (const int signal : {SIGINT, SIGTERM, SIGHUP}) {
    struct sigaction now {};
    if (sigaction(signal, nullptr, &now) == 0 && now.sa_handler != SIG_IGN) sigaddset(&waited, signal);
  }
  pthread_sigmask(SIG_BLOCK, &waited, nullptr);
  std::thread([waited] {
    int signal = 0;
    while (sigwait(&waited, &signal) != 0) {
    }
    ending().lock();
    for (const auto& [hidden, made] : going()) take_away(hidden, made);
    die_of(signal);
  }).detach();
}

std::mutex& ending() {
  static auto* const mutex = new std::mutex; // outlives the threads that wait for it
  return *mutex;
}

void goes_at_end(const fs::path& hidden, const fs::path& made) {
  going()[hidden] = made;
}

void stays_at_end(const fs::path& hidden) {
  going().erase(hidden);
}

} // namespace chamber::job
