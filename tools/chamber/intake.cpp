#include "answers.hpp"
#include "chamber/job/files.hpp"
#include "chamber/job/target.hpp"
#include "command.hpp"
#include <filesystem>
#include <fmt/format.h>
#include <iostream>
#include <memory>

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

/// A sheet that contradicts itself, so that the lines complained of can be seen and mended.
std::string keep_draft(const std::string& file, const std::string& text, Answers& answers) {
  const fs::path path = file + ".draft";
  auto staging = job::Staging::open(path.has_parent_path() ? path.parent_path() : fs::path("."));
  if (!staging || !staging->write(path.filename().string(), text) || !staging->commit()) return answers.keep();
  answers.forget();
  return fmt::format("The sheet as answered is in {}: mend it there and name it {}.", path.string(), file);
}

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
  auto answers = Answers::open(o.file, tell);
  if (!answers) return problem(answers.error(), job::Exit::files);
  const auto all = job::ask_all([&] { return answers->next(); }, tell, answers->given);
  if (const auto& misfit = answers->misfit()) return problem(*misfit, job::Exit::spec);
  if (!all) {
    tell("\n");
    return fail_with({job::Exit::spec, {all.error()}, {}, answers->keep()}, o.file, false, schema);
  }
  const auto text = job::spec_text(*all);
  const auto spec = job::read_spec(text, o.file + ".draft", job::Need::target);
  if (!spec)
    return fail_with({job::Exit::spec, spec.error(), {}, keep_draft(o.file, text, *answers)}, o.file, false, schema);

  auto staging = job::Staging::open(path.has_parent_path() ? path.parent_path() : fs::path("."));
  if (!staging) return problem(staging.error(), job::Exit::files);
  if (auto ok = staging->write(path.filename().string(), text); !ok) return problem(ok.error(), job::Exit::files);
  if (auto ok = staging->commit(); !ok) return problem(ok.error(), job::Exit::files);
  answers->forget();
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
