#include "chamber/job/design.hpp"
#include "chamber/solid/loader.hpp"
#include "command.hpp"
#include <memory>
#include <unistd.h>

namespace chamber::tool {
namespace {

constexpr auto schema = "chamber.design";

struct Options {
  SpecSource source;
  std::string folder = "out";
  bool json = false;
  std::string step_unit = "mm", schema = "ap214";
  job::TurnOptions turning;
  Papers papers;
};

int run(const Options& o) {
  auto spec = read(o.source, job::Need::design);
  if (!spec) return fail_with(spec.error(), o.source.spec, o.json, schema);
  job::DesignOptions options;
  options.folder = o.folder;
  options.turning = o.turning;
  const auto outputs = apply(o.papers, *spec);
  if (!outputs) return fail_with({job::Exit::usage, {outputs.error()}, {}}, "chamber", o.json, schema);
  options.outputs = *outputs;
  if (o.step_unit == "inch") options.step_unit = solid::LengthUnit::inch;
  if (o.schema == "ap203") options.schema = solid::Schema::ap203;
  if (o.schema == "ap242") options.schema = solid::Schema::ap242;
  const auto design = job::design(std::move(*spec), options);
  if (!design) return fail_with(design.error(), o.source.spec, o.json, schema);
  return say(o.json ? job::to_json(*design, true) : job::to_text(*design, wants_colour(STDOUT_FILENO)),
             job::Exit::done);
}

} // namespace

void add_design(CLI::App& app, Run& chosen) {
  const auto o = std::make_shared<Options>();
  auto* c =
      app.add_subcommand("design", "Solve a spec and write solid, STEP, STL, lathe programs, drawing and traveller");
  add_spec(*c, o->source);
  add_lathe(*c, o->source);
  c->add_option("-o,--output", o->folder, "Folder for the files; made if missing")
      ->type_name("FOLDER")
      ->capture_default_str();
  c->add_flag("--json", o->json, "Print the result as JSON, and nothing else, on standard output");
  c->add_option("--step-unit", o->step_unit, "Unit of the STEP files")
      ->check(CLI::IsMember({"mm", "inch"}))
      ->capture_default_str();
  c->add_option("--schema", o->schema, "STEP schema")
      ->check(CLI::IsMember({"ap203", "ap214", "ap242"}))
      ->capture_default_str();
  add_turning(*c, o->turning, true);
  add_papers(*c, o->papers);
  c->callback([o, &chosen] { chosen = [o] { return run(*o); }; });
}

} // namespace chamber::tool
