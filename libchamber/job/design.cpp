#include "chamber/job/design.hpp"
#include "chamber/job/design_files.hpp"
#include "chamber/job/files.hpp"
#include "chamber/job/limits.hpp"
#include "chamber/job/target.hpp"
#include "chamber/job/watch.hpp"
#include "chamber/job/words.hpp"
#include "chamber/profile/integrals.hpp"
#include "chamber/solid/loader.hpp"
#include "chamber/units/calendar.hpp"
#include "chamber/units/tolerance.hpp"
#include <algorithm>
#include <array>
#include <fmt/format.h>
#include <fmt/ranges.h>
#include <future>
#include <tuple>

namespace chamber::job {
namespace {

using units::fixed;

tl::unexpected<Failure> failed(Exit code, Problem problem) {
  return tl::unexpected(Failure{code, {std::move(problem)}, {}});
}

void add_agreement(Design& d) {
  const auto& v = d.volumes;
  const auto check = [&](std::string name, double value, double limit, std::string unit, std::string note = {}) {
    d.checks.push_back({std::move(name), "", std::abs(value) <= limit, std::abs(value), limit, false, std::move(unit),
                        std::move(note)});
  };
  const double exact_ppb = tolerance::exact_relative * 1e9;
  check("volume off what is wanted", v.profile - v.target, tolerance::volume_cc, "cc");
  check("quadrature off closed form", (v.quadrature / v.profile - 1) * 1e9, exact_ppb, "ppb");
  check("solid off closed form", (v.solid / v.profile - 1) * 1e9, exact_ppb, "ppb");
  check("STEP file off closed form", (v.step / v.profile - 1) * 1e9, exact_ppb, "ppb");
  check("mesh off closed form", (v.mesh / v.profile - 1) * 1e6, tolerance::mesh_relative * 1e6, "ppm");
  // Rounds left standing on purpose are part of the account.
  const auto& [plan, proof] = std::tie(d.turned.plan, d.turned.proof);
  check("program off profile", v.program + plan.tight_left_cc - v.profile, tolerance::program_volume_cc, "cc");
  check("largest gouge", proof.largest_gouge_mm, tolerance::gouge_mm, "mm", "anywhere on the insert");
  check("largest metal left", proof.largest_left_mm, turning::left_limit_mm, "mm",
        "rapids checked on a grid of " + Words(d.spec).length(proof.grid_mm, true));
  for (const auto& o : d.spec.o_rings)
    d.checks.push_back({"O-ring fill, " + o.groove, "", o.fill <= shapes::most_fill, 100 * o.fill,
                        100 * shapes::most_fill, false, "%", fmt::format("squeeze {} %", fixed(100 * o.squeeze, 0))});
}

void add_notes(Design& d) {
  const auto& s = d.spec;
  const Words words(s);
  if (!s.sheet.sites.empty() && (s.wanted == Wanted::guideline || s.wanted == Wanted::gauge_pressure))
    d.notes.push_back(
        fmt::format("Cut for \"{}\"; the ratio is that of the shut power valve. chamber target says more.",
                    s.sheet.sites[s.wanted_site].name));
  if (s.sheet.fuel.empty())
    d.notes.push_back("No fuel and use given: the ratio has not been judged against a guideline.");
  else if (d.trapped_ratio() > s.sheet.bench.ask.ratio_ceiling * 1.001)
    d.notes.push_back(fmt::format("CAUTION: the trapped ratio is over the guideline's ceiling of {}:1 for {}, {}.",
                                  fixed(s.sheet.bench.ask.ratio_ceiling, 2), s.sheet.fuel, s.sheet.use));
  if (auto note = rod_note(s)) d.notes.push_back(std::move(*note));
  if (s.crown_from_volume)
    d.notes.push_back(
        fmt::format("The crown is known by its volume only; the squish gap takes it as a spherical cap {} high.",
                    words.length(s.budget.crown.height_mm)));
  for (const auto& b : d.fit.binding) d.notes.push_back("The solution leans on a limit: " + b + ".");
  if (d.fit.peak.velocity_m_s > 0)
    d.notes.push_back(fmt::format("Peak gap velocity {}, {} deg before top dead centre at {} rpm.",
                                  words.velocity(d.fit.peak.velocity_m_s), fixed(d.fit.peak.before_tdc_deg, 1),
                                  fixed(s.peak_rpm, 0)));
  if (d.turned.plan.tight_left_cc > 0)
    d.notes.push_back(fmt::format("The nose does not reach into every round: {} cc of metal stay in the chamber.",
                                  fixed(d.turned.plan.tight_left_cc, 4)));
  for (const auto& n : d.turned.plan.notes) d.notes.push_back(n);
  for (const auto& p : d.limits.nothing_left)
    d.notes.push_back(fmt::format("Inspection: {} Cure: {}", p.message, p.cure));
  if (!s.tools_left_out.empty())
    d.notes.push_back(fmt::format("Tools without cutting data for {} were left out: {}.", s.material,
                                  fmt::join(s.tools_left_out, ", ")));
}

void add_stages(Design& d, double solve_ms, double turn_ms, double load_ms, double solid_ms) {
  d.stages = {{"solve", solve_ms}, {"turning", turn_ms}, {"kernel_load", load_ms}, {"solid", solid_ms}};
  for (const auto* p : {&d.insert_solid, &d.cavity_solid}) {
    const std::string part = p == &d.insert_solid ? "insert_" : "cavity_";
    const auto& t = p->timings_ms;
    for (const auto& [name, ms] : {std::pair{"revolve", t.revolve},
                                   {"check", t.check},
                                   {"properties", t.properties},
                                   {"mesh", t.mesh},
                                   {"stl", t.stl},
                                   {"step_write", t.step_write},
                                   {"step_reread", t.step_reread}})
      d.stages.push_back({part + name, ms});
  }
}

} // namespace

std::span<const std::string_view> cautions() {
  static constexpr std::array<std::string_view, 5> all{
      "Detonation destroys motors and hurts riders: work up from the safe side and read the plug.",
      "Squish too tight breaks parts: check the gap with solder before the motor runs.",
      "An insert holds combustion pressure: material, wall and bolts are the builder's judgement.",
      "Run the program in the air first, at reduced feed; check jaws and the boring bar's reach.",
      "Have a machinist check the program's dialect for your control before the first cut."};
  return all;
}

Failure out_of_reach(const Spec& spec, solve::Shortfall s) {
  // A blank of the builder's own has to grow with the body; else it follows by itself.
  const auto own = std::any_of(spec.typed.begin(), spec.typed.end(),
                               [](const Typed& t) { return t.table == "blank" && t.key == "length"; });
  for (const auto& stop : s.stops)
    if (own && stop.suffices && stop.key.starts_with("body.step"))
      s.note += fmt::format("{}A body {} higher wants the blank longer by as much: {} (blank.length).",
                            s.note.empty() ? "" : " ", Words(spec).length(stop.to - stop.from, true),
                            Words(spec).length(spec.blank_length_mm + stop.to - stop.from, true));
  return {Exit::out_of_reach, {}, std::move(s)};
}

tl::expected<Design, Failure> design(Spec spec, const DesignOptions& options) {
  if (auto ok = check_fit(spec, engine::fit(spec.sheet.bench)); !ok) return tl::unexpected(ok.error());
  auto staging = Staging::open(options.folder);
  if (!staging) return failed(Exit::files, staging.error());
  auto d = design_into(std::move(spec), options, *staging);
  if (!d) return d;
  if (auto ok = staging->commit(); !ok) return failed(Exit::files, ok.error());
  if (d->turned.unproven.empty()) return d;
  return tl::unexpected(Failure{Exit::unproven,
                                d->turned.unproven,
                                {},
                                fmt::format("The files were written into {} all the same, as asked. The lathe programs "
                                            "are NOT PROVEN and say so in their first comment.",
                                            options.folder.string())});
}

tl::expected<Design, Failure> design_into(Spec spec, const DesignOptions& options, const Staging& staging) {
  if (const auto date = source_date(); !date) return failed(Exit::usage, date.error());
  Watch watch;
  Design d;
  auto fit = solve::fit(spec.task);
  if (!fit) return tl::unexpected(out_of_reach(spec, fit.error()));
  d.fit = std::move(*fit);
  auto insert = shapes::assemble(d.fit.chamber, spec.task.body, spec.task.plug);
  if (!insert) return failed(Exit::spec, insert.error());
  d.insert = std::move(*insert);
  d.spec = std::move(spec);
  auto& v = d.volumes;
  const auto chain = shapes::chain_of(d.fit.chamber);
  v.target = d.spec.task.head_cc;
  v.profile = profile::swept_volume(profile::ChainView(chain)) / 1000;
  v.quadrature = profile::swept_volume_by_quadrature(chain) / 1000;
  const double solve_ms = watch.ms();

  // The threads start before the kernel is loaded, for while libraries are being loaded none can be. Till `turned` is
  // there this one touches nothing of the design but the solids; till the others are, nothing that a paper shows.
  DesignFiles files(d, options, staging);
  const auto drawn = std::async(std::launch::async, [&] {
                       d.limits = limits_of(d.spec, d.fit, d.insert);
                       return files.draw();
                     }).share();
  const auto turned = std::async(std::launch::async, [&]() -> tl::expected<void, Failure> {
                        auto turn_options = options.turning;
                        turn_options.keep_pictures = options.outputs.has(Output::traveller);
                        auto made = turn(turning_job(d.spec, d.fit, d.insert, turn_options), turn_options);
                        if (!made) return tl::unexpected(made.error());
                        d.turned = std::move(*made);
                        if (auto ok = drawn.get(); !ok) return ok;
                        add_notes(d);
                        files.tell();
                        return {};
                      }).share();
  auto printed = std::async(std::launch::async, [&]() -> tl::expected<void, Failure> {
    return turned.get() ? files.print() : tl::expected<void, Failure>();
  });
  auto converted =
      std::async(std::launch::async, [&] { return drawn.get() ? files.convert() : tl::expected<void, Failure>(); });

  // Both at once, before the kernel starts threads of its own.
  if (options.outputs.has(Output::traveller)) papers::load_pdf();
  watch = Watch();
  const auto make = solid::load();
  const double load_ms = watch.ms();
  if (!make) return failed(Exit::files, make.error());
  watch = Watch();
  solid::FileOptions file_options;
  file_options.unit = options.step_unit;
  file_options.schema = options.schema;
  file_options.description = fmt::format("{} revision {}: head insert, {} chamber", d.spec.name, d.spec.revision,
                                         shapes::name(d.spec.task.frame.family));
  file_options.originating_system = "chamber";
  auto solids = (*make)(files.parts(), file_options);
  const double solid_ms = watch.ms();
  if (!solids) return failed(solids.error().place.file.empty() ? Exit::unproven : Exit::files, solids.error());
  d.insert_solid = (*solids)[0];
  d.cavity_solid = (*solids)[1];
  if (auto ok = turned.get(); !ok) return tl::unexpected(ok.error());

  v.solid = d.cavity_solid.volume_brep_mm3 / 1000;
  v.mesh = d.cavity_solid.volume_mesh_mm3 / 1000;
  v.mesh_bound = d.cavity_solid.mesh_bound_mm3 / 1000;
  v.step = d.cavity_solid.volume_reread_mm3 / 1000;
  v.program = d.turned.proof.volume_left_cc;
  v.insert = d.insert_solid.volume_brep_mm3 / 1000;
  d.checks = d.fit.checks;
  add_agreement(d);
  add_stages(d, solve_ms, d.turned.ms, load_ms, solid_ms);
  for (const auto& c : d.checks)
    if (!c.ok && d.turned.unproven.empty()) // else that is why the programs are unproven
      return failed(Exit::unproven,
                    {{},
                     fmt::format("the check \"{}\" failed: {} {}, limit {}.", c.name, c.value, c.unit, c.limit),
                     "report this with the spec: it should have been caught earlier."});
  if (auto ok = files.write(converted, printed); !ok) return tl::unexpected(ok.error());
  return d;
}

} // namespace chamber::job
