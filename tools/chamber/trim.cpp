#include "chamber/job/trim.hpp"
#include "chamber/units/quantity.hpp"
#include "command.hpp"
#include <fmt/format.h>
#include <memory>
#include <unistd.h>

namespace chamber::tool {
namespace {

constexpr auto schema = "chamber.trim";

struct Options {
  SpecSource source;
  std::vector<std::string> measured;
  std::string filled, folder = "out", log, insert;
  bool json = false;
};

tl::expected<job::TrimOptions, Problem> options_of(const Options& o) {
  job::TrimOptions out;
  out.folder = o.folder;
  out.log = o.log;
  out.insert = o.insert;
  constexpr std::size_t most = 40;
  if (o.measured.size() > most || o.insert.size() > most)
    return fail("at most 40 fillings, and 40 characters of an insert's mark.", "give fewer.");
  for (const auto& text : o.measured) {
    const auto v = units::parse(text, units::Dimension::volume);
    if (!v) return fail(fmt::format("--measured: {}", v.error().message), v.error().cure);
    if (!(v->value >= 1 && v->value <= 300))
      return fail(fmt::format("--measured {} is no chamber's volume.", text), "from 1 to 300 cc; check the unit.");
    out.read_cc.push_back(v->value);
  }
  for (std::size_t i = 0; i < std::size(engine::fill_names); ++i)
    if (o.filled == engine::fill_names[i]) {
      out.filled = static_cast<engine::Fill>(i);
      return out;
    }
  const auto meant = units::did_you_mean(o.filled, engine::fill_names);
  return fail(fmt::format("--filled \"{}\" does not say to where it was filled.", o.filled),
              meant.empty()
                  ? "write \"plug fitted\", \"to the bottom of the plug hole\" or \"to the top of the plug hole\"."
                  : fmt::format("did you mean \"{}\"?", meant));
}

int run(const Options& o) {
  const auto options = options_of(o);
  if (!options) return fail_with({job::Exit::usage, {options.error()}, {}}, o.source.spec, o.json, schema);
  auto spec = read(o.source, job::Need::design);
  if (!spec) return fail_with(spec.error(), o.source.spec, o.json, schema);
  const auto report = job::trim(std::move(*spec), *options);
  if (!report) return fail_with(report.error(), o.source.spec, o.json, schema);
  return say(o.json ? job::to_json(*report) : job::to_text(*report, wants_colour(STDOUT_FILENO)),
             report->verdict == job::Verdict::no_way ? job::Exit::out_of_reach : job::Exit::done);
}

} // namespace

void add_trim(CLI::App& app, Run& chosen) {
  const auto o = std::make_shared<Options>();
  auto* c =
      app.add_subcommand("trim", "Judge an insert that was cut and filled: leave it, or mend it with a proven cut");
  add_spec(*c, o->source);
  add_lathe(*c, o->source);
  c->add_option("--measured", o->measured, "What it held, with its unit; again for every further filling")
      ->required()
      ->expected(1)
      ->take_all();
  c->add_option("--filled", o->filled, "To where")->type_name(one_of("TEXT", engine::fill_names))->required();
  c->add_option("--insert", o->insert, "Its mark, so that measuring it again does not count as another insert");
  c->add_option("-o,--output", o->folder, "Folder for the files; made if missing")
      ->type_name("FOLDER")
      ->capture_default_str();
  c->add_option("--log", o->log, "Job log instead of the one beside the files")->type_name("FILE.jsonl");
  c->add_flag("--json", o->json, "Print the result as JSON, and nothing else, on standard output");
  c->callback([o, &chosen] { chosen = [o] { return run(*o); }; });
}

} // namespace chamber::tool
