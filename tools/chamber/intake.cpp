#include "chamber/job/intake.hpp"
#include "chamber/job/files.hpp"
#include "chamber/job/target.hpp"
#include "command.hpp"
#include <filesystem>
#include <fmt/format.h>
#include <fstream>
#include <functional>
#include <iostream>
#include <memory>
#include <unistd.h>

namespace chamber::tool {
namespace {

namespace fs = std::filesystem;
constexpr auto schema = "chamber.intake";

struct Options {
  std::string file = "sheet.toml";
  bool blank = false, replace = false;
};

int problem(const Problem& p, job::Exit code) {
  return fail_with({code, {p}, {}}, "intake", false, schema);
}

fs::path answers_of(const std::string& file) {
  return file + ".answers";
}

bool put(const fs::path& path, const std::string& text) {
  auto staging = job::Staging::open(path.has_parent_path() ? path.parent_path() : fs::path("."));
  return staging && staging->write(path.filename().string(), text) && staging->commit();
}

bool put_answers(const std::string& file, const std::vector<job::Answered>& answers) {
  std::string text;
  for (const auto& a : answers) text += a.text + "\n";
  return put(answers_of(file), text);
}

/// What was answered is not lost: the same answers can be given again from a file. Says what was done.
std::string keep_answers(const std::string& file, const std::vector<job::Answered>& answers) {
  if (!put_answers(file, answers)) return "The answers could not be kept.";
  return fmt::format("No spec was written. What was answered is in {0}: mend it and run chamber intake -o {1} < {0}",
                     answers_of(file).string(), file);
}

/// A sheet that contradicts itself, so that the lines complained of can be seen and mended.
std::string keep_draft(const std::string& file, const std::string& text, const std::vector<job::Answered>& answers) {
  const fs::path path = file + ".draft";
  if (!put(path, text)) return keep_answers(file, answers);
  return fmt::format("The sheet as answered is in {0}: mend it there and name it {1}.", path.string(), file);
}

/// Where the answers come from. At a terminal they are on the disk before the next question is asked, so that whatever
/// ends the program, the next run goes on from there.
class Answers {
public:
  using Tell = std::function<void(const std::string&)>;

  Answers(const Options& o, Tell tell) : file_(o.file), tell_(std::move(tell)), typed_(isatty(STDIN_FILENO) == 1) {
    if (!typed_ || o.replace) return;
    earlier_.open(answers_of(file_));
    if (earlier_.is_open())
      tell_(fmt::format("Going on from {}; to begin anew: --replace.\n", answers_of(file_).string()));
  }

  std::optional<std::string> next() {
    std::string line;
    if (earlier_.is_open() && std::getline(earlier_, line)) {
      tell_(line + "\n");
      return line;
    }
    earlier_.close();
    if (typed_ && given.size() != kept_) {
      put_answers(file_, given);
      kept_ = given.size();
    }
    if (!std::getline(std::cin, line)) return std::nullopt;
    return line;
  }

  /// The sheet has them now.
  void forget() const {
    std::error_code none;
    if (typed_) fs::remove(answers_of(file_), none);
  }

  std::vector<job::Answered> given;

private:
  const std::string& file_;
  Tell tell_;
  bool typed_;
  std::ifstream earlier_;
  std::size_t kept_ = 0;
};

int run(const Options& o) {
  if (o.blank) return say(job::blank_sheet(), job::Exit::done);
  const fs::path path = o.file;
  if (fs::is_directory(path) || path.filename().empty() || path.filename() == ".")
    return problem({{o.file, 0, 0}, "that is a folder.", "name the file with -o."}, job::Exit::files);
  if (fs::exists(path) && !o.replace)
    return problem({{o.file, 0, 0}, "the file is already there.", "name another with -o, or say --replace."},
                   job::Exit::files);
  const auto tell = [](const std::string& text) { std::cerr << text << std::flush; };
  tell("The sheet, question by question. \"?\" explains, \"back\" returns, an empty line skips what may be skipped.\n");
  Answers answers(o, tell);
  const auto all = job::ask_all([&] { return answers.next(); }, tell, answers.given);
  if (!all) {
    tell("\n");
    return fail_with({job::Exit::spec, {all.error()}, {}, keep_answers(o.file, answers.given)}, o.file, false, schema);
  }
  const auto text = job::spec_text(*all);
  const auto spec = job::read_spec(text, o.file + ".draft", job::Need::target);
  if (!spec)
    return fail_with({job::Exit::spec, spec.error(), {}, keep_draft(o.file, text, answers.given)}, o.file, false,
                     schema);

  auto staging = job::Staging::open(path.has_parent_path() ? path.parent_path() : fs::path("."));
  if (!staging) return problem(staging.error(), job::Exit::files);
  if (auto ok = staging->write(path.filename().string(), text); !ok) return problem(ok.error(), job::Exit::files);
  if (auto ok = staging->commit(); !ok) return problem(ok.error(), job::Exit::files);
  answers.forget();
  if (auto report = job::target_report(*spec, {}); !report) {
    auto failure = report.error();
    for (auto& p : failure.problems) p.place.file = o.file;
    failure.written = fmt::format("The sheet is written: mend it in {}, or ask again with --replace.", o.file);
    return fail_with(failure, o.file, false, schema);
  }
  return say(fmt::format("{}\nNow: chamber target {}\n", o.file, o.file), job::Exit::done);
}

} // namespace

void add_intake(CLI::App& app, Run& chosen) {
  const auto o = std::make_shared<Options>();
  auto* c = app.add_subcommand("intake", "Ask for the customer's sheet at the bench and write it as a spec");
  c->add_option("-o,--output", o->file, "The spec to write")->type_name("FILE.toml")->capture_default_str();
  c->add_flag("--blank", o->blank, "Print a blank sheet for a customer to fill in, and ask nothing");
  c->add_flag("--replace", o->replace, "Replace the file if it is already there");
  c->callback([o, &chosen] { chosen = [o] { return run(*o); }; });
}

} // namespace chamber::tool
