#include "chamber/job/set.hpp"
#include "chamber/units/quantity.hpp"
#include "command.hpp"
#include <cstdio>
#include <fmt/format.h>
#include <memory>
#include <unistd.h>

namespace chamber::tool {
namespace {

constexpr auto schema = "chamber.set";

struct Options {
  SpecSource source;
  std::string folder = "out", apart = "0.05 cc";
  bool json = false;
  job::TurnOptions turning;
  Papers papers;
};

int run(const Options& o) {
  const auto apart = units::parse(o.apart, units::Dimension::volume);
  if (!apart || !(apart->value > 0 && apart->value <= 10)) {
    const Problem p{
        {}, fmt::format("--apart \"{}\" is not understood.", o.apart), "give a volume up to 10 cc: \"0.1 cc\"."};
    return fail_with({job::Exit::usage, {p}, {}}, o.source.spec, o.json, schema);
  }
  auto spec = read(o.source, job::Need::design);
  if (!spec) return fail_with(spec.error(), o.source.spec, o.json, schema);
  job::DesignOptions options;
  options.folder = o.folder;
  options.turning = o.turning;
  const auto outputs = apply(o.papers, *spec);
  if (!outputs) return fail_with({job::Exit::usage, {outputs.error()}, {}}, "chamber", o.json, schema);
  options.outputs = *outputs;
  const bool terminal = isatty(STDERR_FILENO) != 0;
  const auto progress = [&](std::size_t done, std::size_t of) {
    if (terminal) tell_error(fmt::format("\r{} of {} inserts{}", done, of, done == of ? "\n" : ""));
  };
  const auto set = job::make_set(std::move(*spec), {}, options, apart->value, progress);
  if (!set) return fail_with(set.error(), o.source.spec, o.json, schema);
  auto text = o.json ? job::to_json(*set) : job::to_text(*set, wants_colour(STDOUT_FILENO));
  if (!o.json)
    for (const auto& f : set->files) text += fmt::format("  {}\n", f.path);
  return say(text, job::Exit::done);
}

} // namespace

void add_set(CLI::App& app, Run& chosen) {
  const auto o = std::make_shared<Options>();
  auto* c =
      app.add_subcommand("set", "Design one insert for every site of a spec, and table what each reads everywhere");
  add_spec(*c, o->source);
  add_lathe(*c, o->source);
  c->add_option("-o,--output", o->folder, "Folder for the files; made if missing")
      ->type_name("FOLDER")
      ->capture_default_str();
  c->add_option("--apart", o->apart, "Places whose inserts differ by less than this share one")
      ->type_name("TEXT")
      ->capture_default_str();
  c->add_flag("--json", o->json, "Print the result as JSON, and nothing else, on standard output");
  add_turning(*c, o->turning, false);
  add_papers(*c, o->papers);
  c->callback([o, &chosen] { chosen = [o] { return run(*o); }; });
}

} // namespace chamber::tool
