#pragma once
// How the program ends when it is told to in the middle of its work.
#include <filesystem>
#include <mutex>

namespace chamber::job {

/// From now on SIGINT, SIGTERM and SIGHUP first take away what is staged, then end the program as they always do (a
/// shell sees 128 and the signal's number). Call it before any thread is started. A signal that is ignored stays so.
void end_cleanly_on_signals();

/// Held while something must not be cut in two by such a signal: files on their way to their places, last words.
/// A signal that came first keeps it for good.
std::mutex& ending();

/// A folder that goes when a signal ends the program; with it `made`, if that is not empty and nothing else is in it.
/// Call these with ending() held.
void goes_at_end(const std::filesystem::path& hidden, const std::filesystem::path& made);
void stays_at_end(const std::filesystem::path& hidden);

} // namespace chamber::job
