#pragma once
// What was answered to intake's questions, kept beside the sheet that is to come of it.
#include "chamber/job/intake.hpp"
#include <filesystem>
#include <fstream>

namespace chamber::tool {

/// Where the answers come from. At a terminal they are on the disk before the next question is asked, so that whatever
/// ends the program, the next run goes on from there.
class Answers {
public:
  using Tell = std::function<void(const std::string&)>;

  /// Of the sheet that is to be `file`. Fails where something stands in the way of keeping them.
  static Result<Answers> open(const std::string& file, Tell tell);

  /// The next line: of what was kept, then of standard input.
  std::optional<std::string> next();
  /// Set when what was kept does not answer the questions: then it is left as it is, and next() gave nothing.
  const std::optional<Problem>& misfit() const { return misfit_; }

  /// Keeps all that was given. Says what was done.
  std::string keep();
  /// They stand in another file now.
  void forget() const;

  std::vector<job::Answered> given;

private:
  Answers(const std::string& file, Tell tell);
  Result<void> put() const;

  std::string file_;
  std::filesystem::path path_;
  Tell tell_;
  bool typed_;
  std::vector<std::string> earlier_; ///< kept by the run before
  std::size_t replayed_ = 0, kept_ = 0;
  bool told_ = false; ///< that they cannot be kept
  std::optional<Problem> misfit_;
};

} // namespace chamber::tool
