#pragma once
// Independent pieces of work in worker processes, one for each core.
#include "chamber/job/exit.hpp"
#include <functional>

namespace chamber::job {

/// Runs work(0) .. work(count - 1), each in one of as many worker processes as there are cores, and collects what
/// failed. Work leaves its results in files; of a failure code, problems and explanation come back. A worker that dies
/// is a Failure too. Call it before any thread has been started.
std::vector<std::optional<Failure>>
run_in_processes(std::size_t count, const std::function<std::optional<Failure>(std::size_t)>& work,
                 const std::function<void(std::size_t done, std::size_t of)>& progress);

} // namespace chamber::job
