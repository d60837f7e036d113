#include "chamber/job/target.hpp"
#include "chamber/job/papers.hpp"
#include "command.hpp"
#include <fmt/format.h>
#include <memory>
#include <unistd.h>

namespace chamber::tool {
namespace {

constexpr auto schema = "chamber.target";

struct Options {
  SpecSource source;
  std::string page;
  bool json = false;
  std::size_t trials = 0;
  std::uint64_t seed = 1;
};

int run(const Options& o) {
  if (o.trials != 0 && (o.trials < 1000 || o.trials > 2000000)) {
    const Problem p{{}, "--trials is 0, or from 1000 to 2,000,000.", "200000 is plenty."};
    return fail_with({job::Exit::usage, {p}, {}}, "target", o.json, schema);
  }
  auto spec = read(o.source, job::Need::target);
  if (!spec) return fail_with(spec.error(), o.source.spec, o.json, schema);
  const auto report = job::target_report(std::move(*spec), {o.trials, o.seed});
  if (!report) return fail_with(report.error(), o.source.spec, o.json, schema);
  if (!o.page.empty())
    if (const auto ok = write_page(o.page, job::target_page(*report)); !ok)
      return fail_with({job::Exit::files, {ok.error()}, {}}, o.page, o.json, schema);
  return say(o.json ? job::to_json(*report) : job::to_text(*report, wants_colour(STDOUT_FILENO)), job::Exit::done);
}

} // namespace

void add_target(CLI::App& app, Run& chosen) {
  const auto o = std::make_shared<Options>();
  auto* c = app.add_subcommand("target", "Work out how many cc the head must hold at every site of a spec");
  add_spec(*c, o->source);
  c->add_option("-o,--output", o->page, "Also write a page with charts and tables into this HTML file")
      ->type_name("FILE.html");
  c->add_flag("--json", o->json, "Print the result as JSON, and nothing else, on standard output");
  c->add_option("--trials", o->trials, "Monte Carlo trials for the uncertainty; 0: first order")
      ->check(CLI::Number)
      ->capture_default_str();
  c->add_option("--seed", o->seed, "Seed of the Monte Carlo")->capture_default_str();
  c->callback([o, &chosen] { chosen = [o] { return run(*o); }; });
}

} // namespace chamber::tool
