#include "answers.hpp"
#include "chamber/job/files.hpp"
#include <fmt/format.h>
#include <iostream>
#include <unistd.h>

namespace chamber::tool {
namespace fs = std::filesystem;

Answers::Answers(const std::string& file, Tell tell)
    : file_(file), path_(file + ".answers"), tell_(std::move(tell)), typed_(isatty(STDIN_FILENO) == 1) {}

Result<Answers> Answers::open(const std::string& file, Tell tell) {
  Answers a(file, std::move(tell));
  std::error_code none;
  const auto status = fs::symlink_status(a.path_, none);
  if (fs::exists(status) && !fs::is_regular_file(status))
    return fail(fmt::format("the answers are to be kept in \"{}\", but that is no plain file.", a.path_.string()),
                "move it away, or name another sheet with -o.");
  if (!a.typed_) return a;
  if (fs::exists(status)) {
    std::ifstream in(a.path_);
    if (!in) return fail(fmt::format("\"{}\" cannot be read.", a.path_.string()), "let it be read, or move it away.");
    for (std::string line; std::getline(in, line);) a.earlier_.push_back(line);
  }
  if (!a.earlier_.empty())
    a.tell_(fmt::format("Going on after {} answers, the first \"{}\", in {}: remove it to begin anew.\n",
                        a.earlier_.size(), a.earlier_.front(), a.path_.string()));
  else
    a.tell_("Broken off, it goes on from there the next time.\n");
  return a;
}

std::optional<std::string> Answers::next() {
  if (replayed_ > 0 && replayed_ <= earlier_.size() && given.size() != replayed_) {
    misfit_ = Problem{{path_.string(), static_cast<int>(replayed_), 0},
                      fmt::format("\"{}\" does not answer the question asked then.", earlier_[replayed_ - 1]),
                      "mend the line, or remove it with all that follow, or the file."};
    return std::nullopt;
  }
  if (replayed_ < earlier_.size()) {
    kept_ = replayed_ + 1;
    tell_(earlier_[replayed_] + "\n");
    return earlier_[replayed_++];
  }
  earlier_.clear();
  if (typed_ && given.size() != kept_) {
    if (const auto ok = put(); ok)
      kept_ = given.size();
    else if (!std::exchange(told_, true))
      tell_(fmt::format("CAUTION: the answers cannot be kept: {} Cure: {}\n", ok.error().message, ok.error().cure));
  }
  std::string line;
  if (!std::getline(std::cin, line)) return std::nullopt;
  return line;
}

Result<void> Answers::put() const {
  if (given.empty()) {
    forget();
    return {};
  }
  std::string text;
  for (const auto& a : given) text += a.text + "\n";
  auto staging = job::Staging::open(path_.has_parent_path() ? path_.parent_path() : fs::path("."));
  if (!staging) return tl::unexpected(staging.error());
  if (auto ok = staging->write(path_.filename().string(), text); !ok) return ok;
  if (auto names = staging->commit(); !names) return tl::unexpected(names.error());
  return {};
}

std::string Answers::keep() {
  if (given.empty()) return "No spec was written.";
  if (const auto ok = put(); !ok) return "The answers could not be kept: " + ok.error().message;
  if (typed_)
    return fmt::format("No spec was written. What was answered is in {}: run chamber intake -o {} again, and it goes "
                       "on from there.",
                       path_.string(), file_);
  return fmt::format("No spec was written. What was answered is in {0}: mend it and run chamber intake -o {1} < {0}",
                     path_.string(), file_);
}

void Answers::forget() const {
  std::error_code none;
  fs::remove(path_, none);
}

} // namespace chamber::tool
