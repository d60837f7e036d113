#include "chamber/job/design.hpp"
#include "chamber/solid/loader.hpp"
#include "command.hpp"
#include <cstdio>
#include <fmt/format.h>
#include <memory>
#include <unistd.h>

namespace chamber::tool {
namespace {

struct Options {
  std::string spec, folder = "out";
  bool json = false;
  std::string step_unit = "mm", schema = "ap214";
};

/// Writes all of it or says so: a result nobody got is not a success.
int say(const std::string& text, job::Exit code) {
  const bool ok = std::fwrite(text.data(), 1, text.size(), stdout) == text.size() && std::fflush(stdout) == 0;
  if (!ok && code == job::Exit::done) return static_cast<int>(job::Exit::files);
  return static_cast<int>(code);
}

int fail_with(const job::Failure& failure, const Options& o) {
  const auto text = job::to_text(failure, o.spec);
  std::fwrite(text.data(), 1, text.size(), stderr);
  return o.json ? say(job::to_json(failure), failure.code) : static_cast<int>(failure.code);
}

int run(const Options& o) {
  auto spec = job::load_spec(o.spec);
  if (!spec) {
    const bool unreadable = spec.error().size() == 1 && spec.error()[0].place.line == 0;
    return fail_with({unreadable ? job::Exit::files : job::Exit::spec, spec.error(), {}}, o);
  }
  job::DesignOptions options;
  options.folder = o.folder;
  if (o.step_unit == "inch") options.step_unit = solid::LengthUnit::inch;
  if (o.schema == "ap203") options.schema = solid::Schema::ap203;
  if (o.schema == "ap242") options.schema = solid::Schema::ap242;
  const auto design = job::design(std::move(*spec), options);
  if (!design) return fail_with(design.error(), o);
  return say(o.json ? job::to_json(*design, true) : job::to_text(*design, wants_colour(STDOUT_FILENO)),
             job::Exit::done);
}

} // namespace

void add_design(CLI::App& app, Run& chosen) {
  const auto o = std::make_shared<Options>();
  auto* c = app.add_subcommand("design", "Solve a spec and write solid, STEP, STL and lathe program");
  c->add_option("SPEC", o->spec, "The spec (TOML); - reads standard input")->required();
  c->add_option("-o,--output", o->folder, "Folder for the files; made if missing")->capture_default_str();
  c->add_flag("--json", o->json, "Print the result as JSON, and nothing else, on standard output");
  c->add_option("--step-unit", o->step_unit, "Unit of the STEP files")
      ->check(CLI::IsMember({"mm", "inch"}))
      ->capture_default_str();
  c->add_option("--schema", o->schema, "STEP schema")
      ->check(CLI::IsMember({"ap203", "ap214", "ap242"}))
      ->capture_default_str();
  c->callback([o, &chosen] { chosen = [o] { return run(*o); }; });
}

} // namespace chamber::tool
