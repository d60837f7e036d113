#pragma once
// What main() knows of a subcommand: one file each.
#include "chamber/job/exit.hpp"
#include "chamber/job/outputs.hpp"
#include "chamber/job/spec.hpp"
#include "chamber/job/turn.hpp"
#include "chamber/papers/traveller.hpp"
#include <CLI/CLI.hpp>
#include <functional>

namespace chamber::tool {

/// Registers the subcommand; `run` is set to what is to be done when it was given, returning the exit code.
using Run = std::function<int()>;
void add_intake(CLI::App& app, Run& run);
void add_design(CLI::App& app, Run& run);
void add_target(CLI::App& app, Run& run);
void add_set(CLI::App& app, Run& run);
void add_trim(CLI::App& app, Run& run);
void add_check(CLI::App& app, Run& run);

/// The whole command line: every subcommand, the help and the versions. Also what manual and completions are made from.
void define(CLI::App& app, Run& run);

/// What an option takes, as its type name says it: in the help, the manual and the completions alike. FILE.toml is a
/// file so named, FOLDER a folder, LIST:{a,b} some of these with commas between; CLI::IsMember gives TEXT:{a,b}, one of
/// them.
template <class Names>
std::string one_of(const char* type, const Names& names) {
  std::string all;
  for (const auto& n : names) all += (all.empty() ? "" : ",") + std::string(n);
  return std::string(type) + ":{" + all + "}";
}

/// What the commands that read a spec share: where it is, whose guideline judges it, which lathe cuts it.
struct SpecSource {
  std::string spec, guideline, lathe;
};
void add_spec(CLI::App& command, SpecSource& source);
/// --lathe, for the commands that write programs.
void add_lathe(CLI::App& command, SpecSource& source);
/// How the programs are to be written; `alone`: of a single insert, which may be written without its proof.
void add_turning(CLI::App& command, job::TurnOptions& options, bool alone);
/// Which files are wanted, and how the drawing is made; empty: as the spec says.
struct Papers {
  std::string only, without, paper, projection, units;
};
void add_papers(CLI::App& command, Papers& papers);
/// The outputs chosen; the drawing's style goes into the spec.
Result<job::Outputs> apply(const Papers& papers, job::Spec& spec);
tl::expected<job::Spec, job::Failure> read(const SpecSource& source, job::Need need);

/// Prints the text on standard output. A result nobody got is not a success: then the code for files is returned.
int say(const std::string& text, job::Exit code);
/// On standard error, as far as anybody listens.
void tell_error(const std::string& text);
/// Writes a page into this HTML file.
Result<void> write_page(const std::string& file, const papers::Traveller& page);
/// Says a failure on standard error, and as JSON on standard output where that was asked for.
int fail_with(const job::Failure& failure, const std::string& spec_file, bool json, std::string_view schema);
/// A file that could not be read, or one with mistakes in it.
job::Failure unread(std::vector<Problem> problems);

/// True when the stream is a terminal and NO_COLOR is not set.
bool wants_colour(int file_descriptor);

} // namespace chamber::tool
