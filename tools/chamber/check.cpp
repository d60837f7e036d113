#include "chamber/job/check.hpp"
#include "chamber/job/files.hpp"
#include "chamber/job/guideline_read.hpp"
#include "chamber/job/papers.hpp"
#include "command.hpp"
#include <array>
#include <charconv>
#include <cmath>
#include <fmt/format.h>
#include <map>
#include <memory>
#include <unistd.h>

namespace chamber::tool {
namespace {

constexpr auto schema = "chamber.check";

/// As typed; lengths carry their unit.
struct Options {
  std::string file, kind, engine, guideline, picture, page;
  bool json = false;
  std::string unit, across, depth, face, columns, axis, axis_at, layer, roof, body, sealing;
  std::size_t solid = 0;
  std::string lathe, hole, blank_diameter, blank_length, plug, hole_length;
};

template <class T>
using Words = std::map<std::string, T>;

template <class T>
void put(const std::string& said, const Words<T>& words, T& where) {
  if (!said.empty()) where = words.at(said); // CLI11 has let through only these
}

std::vector<std::string> keys(const auto& words) {
  std::vector<std::string> out;
  for (const auto& [key, value] : words) out.push_back(key);
  return out;
}

const Words<profile::LengthUnit> units_said{{"mm", profile::LengthUnit::millimetre}, {"in", profile::LengthUnit::inch}};
const Words<profile::Across> across_said{{"radius", profile::Across::radius}, {"diameter", profile::Across::diameter}};
const Words<profile::Depth> depth_said{{"up", profile::Depth::up}, {"down", profile::Depth::down}};
const Words<profile::Face> face_said{{"rim", profile::Face::rim}, {"zero", profile::Face::zero}};
const Words<solid::Body> body_said{{"insert", solid::Body::insert}, {"cavity", solid::Body::cavity}};

Problem wrong(std::string flag, const std::string& said, std::string cure) {
  return {{}, fmt::format("{} \"{}\" is not understood.", flag, said), std::move(cure)};
}

/// Numbers between commas or blanks, as many as `count`.
std::optional<std::vector<double>> numbers(std::string_view text, std::size_t count) {
  std::vector<double> out;
  while (!text.empty()) {
    if (text.front() == ' ' || text.front() == ',') {
      text.remove_prefix(1);
      continue;
    }
    double value = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (error != std::errc{} || !std::isfinite(value)) return std::nullopt;
    out.push_back(value);
    text.remove_prefix(static_cast<std::size_t>(end - text.data()));
  }
  if (out.size() != count) return std::nullopt;
  return out;
}

class Settings {
public:
  explicit Settings(const Options& o) : o_(o) {}

  Results<job::CheckOptions> run() {
    auto& d = out_.drawing;
    if (!o_.kind.empty())
      for (std::size_t i = 0; i < std::size(job::check_kind_names); ++i)
        if (o_.kind == job::check_kind_names[i]) out_.kind = static_cast<job::CheckKind>(i);
    put(o_.unit, units_said, d.unit);
    put(o_.across, across_said, d.across);
    put(o_.depth, depth_said, d.depth);
    put(o_.face, face_said, d.face);
    d.layer = o_.layer;
    columns();
    axis();
    d.axis_at_mm = height("--axis-at", o_.axis_at);
    d.roof_mm = height("--roof", o_.roof);
    out_.step.sealing_mm = height("--sealing", o_.sealing);
    if (!o_.body.empty()) out_.step.body = body_said.at(o_.body);
    if (o_.solid > 0) out_.step.solid = o_.solid;
    out_.lathe_file = o_.lathe;
    size("--hole", o_.hole, out_.hole_diameter_mm);
    size("--blank-diameter", o_.blank_diameter, out_.blank_diameter_mm);
    size("--blank-length", o_.blank_length, out_.blank_length_mm);
    size("--hole-length", o_.hole_length, out_.hole_length_mm);
    if (!o_.plug.empty() && !shapes::find_thread(o_.plug))
      problems_.push_back(wrong("--plug", o_.plug, "name a plug's thread, such as M14x1.25."));
    out_.thread = o_.plug;
    if (!problems_.empty()) return tl::unexpected(std::move(problems_));
    return std::move(out_);
  }

private:
  std::optional<double> height(const char* flag, const std::string& said) {
    if (said.empty()) return std::nullopt;
    const auto q = units::parse(said, units::Dimension::length);
    if (q) return q->value;
    problems_.push_back({{}, fmt::format("{}: {}", flag, q.error().message), q.error().cure});
    return std::nullopt;
  }

  void size(const char* flag, const std::string& said, double& where) {
    const auto mm = height(flag, said);
    if (!mm) return;
    if (*mm > 0 && *mm < 1000)
      where = *mm;
    else
      problems_.push_back(wrong(flag, said, "give a length above 0 and below 1 m."));
  }

  void columns() {
    if (o_.columns.empty()) return;
    const auto n = numbers(o_.columns, 2);
    const auto sound = [](double c) { return c >= 1 && c <= 99 && c == std::floor(c); };
    if (!n || !sound((*n)[0]) || !sound((*n)[1])) {
      problems_.push_back(wrong("--columns", o_.columns, "name two, counted from 1: radius, then depth, as in 1,2."));
      return;
    }
    out_.drawing.across_column = static_cast<int>((*n)[0]);
    out_.drawing.depth_column = static_cast<int>((*n)[1]);
  }

  void axis() {
    if (o_.axis.empty()) return;
    if (o_.axis == "vertical" || o_.axis == "horizontal") {
      out_.drawing.axis = o_.axis == "vertical" ? profile::TurningAxis::vertical : profile::TurningAxis::horizontal;
      return;
    }
    const auto n = numbers(o_.axis, 6);
    if (!n) {
      problems_.push_back(wrong("--axis", o_.axis,
                                "of a drawing: vertical or horizontal; of a STEP file a point in mm and a direction: "
                                "0,0,0,0,0,1."));
      return;
    }
    out_.step.axis = solid::Axis{{(*n)[0], (*n)[1], (*n)[2]}, {(*n)[3], (*n)[4], (*n)[5]}};
  }

  const Options& o_;
  job::CheckOptions out_;
  std::vector<Problem> problems_;
};

tl::expected<void, job::Failure> draw(const job::CheckReport& report, const std::string& file) {
  const auto failed = [](Problem p) {
    return tl::unexpected(job::Failure{job::Exit::files, {std::move(p)}, {}, "The drawing was not written."});
  };
  const auto svg = job::to_svg(report);
  if (svg.empty()) return failed({{file, 0, 0}, "there is no turned profile to draw.", "leave --picture out."});
  const std::filesystem::path path(file);
  const auto folder = path.parent_path();
  auto staging = job::Staging::open(folder.empty() ? "." : folder);
  if (!staging) return failed(staging.error());
  if (auto ok = staging->write(path.filename().string(), svg); !ok) return failed(ok.error());
  if (auto ok = staging->commit(); !ok) return failed(ok.error());
  return {};
}

int run(const Options& o) {
  const auto fail = [&](const job::Failure& f) { return fail_with(f, o.file, o.json, schema); };
  auto settings = Settings(o).run();
  if (!settings) return fail({job::Exit::usage, settings.error(), {}, "Nothing was judged."});
  if (!o.guideline.empty()) {
    auto own = job::load_guideline(o.guideline);
    if (!own) return fail_with(unread(own.error()), o.guideline, o.json, schema);
    settings->guideline = std::move(*own);
  }
  std::optional<job::Spec> engine;
  if (!o.engine.empty()) {
    auto spec = read({o.engine, o.guideline, ""}, job::Need::target);
    if (!spec) {
      auto f = spec.error();
      f.written = "Nothing was judged.";
      return fail_with(f, o.engine, o.json, schema);
    }
    engine = std::move(*spec);
  }
  const auto report = job::check(o.file, std::move(engine), *settings);
  if (!report) return fail(report.error());
  if (!o.picture.empty())
    if (const auto ok = draw(*report, o.picture); !ok) return fail(ok.error());
  if (!o.page.empty())
    if (const auto ok = write_page(o.page, job::check_page(*report)); !ok)
      return fail({job::Exit::files, {ok.error()}, {}, "The page was not written."});
  return say(o.json ? job::to_json(*report) : job::to_text(*report, wants_colour(STDOUT_FILENO)),
             report->passed() ? job::Exit::done : job::Exit::unproven);
}

void add_reading(CLI::App& c, Options& o) {
  const std::vector<std::string> kinds(std::begin(job::check_kind_names), std::end(job::check_kind_names));
  c.add_option("--kind", o.kind, "What the file is, instead of what it looks like")->check(CLI::IsMember(kinds));
  c.add_option("--unit", o.unit, "Unit of the file's numbers")->check(CLI::IsMember(keys(units_said)));
  c.add_option("--across", o.across, "Points: what the numbers across the axis are")
      ->check(CLI::IsMember(keys(across_said)));
  c.add_option("--depth", o.depth, "Points, DXF: which way depth counts")->check(CLI::IsMember(keys(depth_said)));
  c.add_option("--face", o.face, "Points, DXF: where the sealing face lies")->check(CLI::IsMember(keys(face_said)));
  c.add_option("--columns", o.columns, "Points: the columns of radius and depth, counted from 1, as 1,2");
  c.add_option("--axis", o.axis, "DXF: vertical or horizontal; STEP: a point (mm) and a direction, as 0,0,0,0,0,1");
  c.add_option("--axis-at", o.axis_at, "DXF: where the axis lies in the drawing, as \"40 mm\"");
  c.add_option("--layer", o.layer, "DXF: the layer that holds the profile");
  c.add_option("--roof", o.roof, "Height above the sealing face at which a plug hole is closed, as \"17.4 mm\"");
  c.add_option("--body", o.body, "STEP: what the solid is")->check(CLI::IsMember(keys(body_said)));
  c.add_option("--sealing", o.sealing, "STEP: the sealing face's place along the axis, as \"0 mm\"");
  c.add_option("--solid", o.solid, "STEP: which solid of several, from 1")->check(CLI::PositiveNumber);
}

} // namespace

void add_check(CLI::App& app, Run& chosen) {
  const auto o = std::make_shared<Options>();
  auto* c = app.add_subcommand("check", "Judge a chamber from elsewhere: points, DXF, STEP, a lathe program or a spec");
  c->add_option("FILE", o->file, "The chamber")->type_name("FILE")->required();
  c->add_option("--engine", o->engine, "The spec of the engine it is for")->type_name("FILE.toml");
  c->add_option("--guideline", o->guideline, "A guideline of your own instead of the built-in one")
      ->type_name("FILE.toml");
  c->add_flag("--json", o->json, "Print the result as JSON, and nothing else, on standard output");
  c->add_option("--picture", o->picture, "Draw the profile, and the spec's own beneath it, into this file")
      ->type_name("FILE.svg");
  c->add_option("-o,--output", o->page, "Also write a page with what was found into this file")->type_name("FILE.html");
  add_reading(*c, *o);
  c->add_option("--lathe", o->lathe, "Programs: the lathe file they were written for")->type_name("FILE.toml");
  c->add_option("--hole", o->hole, "Programs: diameter of a hole that is there already, as \"12.7 mm\"");
  c->add_option("--blank-diameter", o->blank_diameter, "Programs: diameter of the blank");
  c->add_option("--blank-length", o->blank_length, "Programs: length of the blank");
  std::vector<std::string_view> threads;
  for (const auto& t : shapes::plug_threads()) threads.push_back(t.name);
  c->add_option("--plug", o->plug, "Thread of the plug, without an engine")->type_name(one_of("TEXT", threads));
  c->add_option("--hole-length", o->hole_length, "Length of the plug hole, pocket roof to seat, without an engine");
  c->callback([o, &chosen] { chosen = [o] { return run(*o); }; });
}

} // namespace chamber::tool
