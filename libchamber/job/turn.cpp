#include "chamber/job/turn.hpp"
#include "chamber/turning/write.hpp"
#include "chamber/units/quantity.hpp"
#include <algorithm>
#include <chrono>
#include <fmt/format.h>

namespace chamber::job {
namespace {

using units::fixed;

constexpr double air_mm = 2;         ///< kept from blank and jaws in a trial in the air
constexpr double air_feed = 0.5;     ///< of the feeds, in such a trial
constexpr double tool_behind_mm = 5; ///< of a tool's nose or blade beyond its control point, at most

turning::Thread thread_of(const shapes::Plug& plug) {
  const auto* t = shapes::find_thread(plug.thread);
  return {plug.thread, t->major_mm, t->pitch_mm, t->minor_low_mm, t->minor_high_mm};
}

std::vector<turning::Groove> grooves_of(const shapes::BodySpec& body) {
  std::vector<turning::Groove> out;
  const auto label = [](std::string_view kind, std::size_t i, std::size_t of) {
    return of > 1 ? fmt::format("{} groove {}", kind, i + 1) : fmt::format("{} groove", kind);
  };
  for (std::size_t i = 0; i < body.face_grooves.size(); ++i) {
    const auto& g = body.face_grooves[i];
    const double inner = g.inner_diameter_mm / 2;
    out.push_back({label("face", i, body.face_grooves.size()), true, inner, inner + g.width_mm, 0, g.depth_mm});
  }
  for (std::size_t i = 0; i < body.radial_grooves.size(); ++i) {
    const auto& g = body.radial_grooves[i];
    double z = 0, r = 0;
    for (const auto& s : body.steps) {
      if (g.from_face_mm >= z) r = s.diameter_mm / 2;
      z += s.length_mm;
    }
    out.push_back({label("radial", i, body.radial_grooves.size()), false, r - g.depth_mm, r, g.from_face_mm,
                   g.from_face_mm + g.width_mm});
  }
  return out;
}

std::vector<Problem> problems_of(const turning::Proof& proof) {
  std::vector<Problem> out;
  for (const auto& x : proof.failures)
    out.push_back({{fmt::format("lathe program, {} clamping", ordinal(static_cast<std::size_t>(x.run))), x.line, 1},
                   fmt::format("{} at r {} mm, z {} mm: {}", turning::name(x.kind), fixed(x.r_mm, 3), fixed(x.z_mm, 3),
                               x.message),
                   x.cure});
  return out;
}

std::vector<Problem> placed(std::vector<Problem> problems, std::string_view where) {
  for (auto& p : problems) p.place.file = where;
  return problems;
}

tl::unexpected<Failure> unproven(std::vector<Problem> problems) {
  return tl::unexpected(Failure{Exit::unproven, std::move(problems), {}});
}

/// Every way the plan may be written: the text of each clamping, and each as read back.
struct Written {
  std::vector<std::string> texts;
  std::vector<turning::Run> runs;
  std::vector<Problem> problems; ///< the reader's
};

Written write_all(const turning::Plan& plan, const turning::Machine& machine, const turning::WriteOptions& options) {
  Written w;
  for (std::size_t i = 0; i < plan.setups.size(); ++i) {
    w.texts.push_back(turning::write(plan, i, machine, options));
    const auto program = turning::read(w.texts.back(), machine);
    if (program)
      w.runs.push_back({*program, plan.setups[i].clamping});
    else
      for (auto& p : placed(program.error(), fmt::format("lathe program, {} clamping", ordinal(i))))
        w.problems.push_back(std::move(p));
  }
  return w;
}

/// How far a program must be lifted for every tool to stay clear of blank and jaws.
double lift_of(const turning::Plan& plan) {
  double deepest = 0, front = 0;
  for (const auto& s : plan.setups) {
    front = std::max(front, s.clamping.front_mm);
    for (const auto& op : s.operations)
      for (const auto& m : op.moves) deepest = std::max(deepest, -m.z_mm);
  }
  return std::ceil(deepest + front + air_mm + tool_behind_mm);
}

std::string program_kind(const turning::Plan& plan, std::size_t setup, const turning::Machine& machine,
                         std::string_view more) {
  return fmt::format("lathe program, {} clamping, {}{} ({})", ordinal(setup),
                     turning::name(plan.setups[setup].clamping.side), more, machine.dialect);
}

tl::expected<void, Failure> add_trials(Turned& t) {
  const auto& m = t.job.machine;
  turning::WriteOptions options;
  options.lift_mm = lift_of(t.plan);
  options.feed_factor = air_feed;
  auto w = write_all(t.plan, m, options);
  for (std::size_t i = 0; i < w.runs.size() && w.problems.empty(); ++i) {
    turning::Proof air;
    air.failures = turning::prove_in_air(w.runs[i], t.job.tools, m, air_mm);
    for (auto& p : problems_of(air)) {
      p.place.file = fmt::format("lathe program in the air, {} clamping", ordinal(i));
      w.problems.push_back(std::move(p));
    }
  }
  if (!w.problems.empty()) return unproven(std::move(w.problems));
  for (std::size_t i = 0; i < w.texts.size(); ++i)
    t.files.push_back({fmt::format("-{}-in-the-air{}", ordinal(i), turning::file_extension(m.dialect)),
                       program_kind(t.plan, i, m, ", trial in the air"), std::move(w.texts[i])});
  return {};
}

/// In a file of its own a picture says over its head what it shows.
figure::Figure titled(figure::Figure f) {
  constexpr double size = 3, room = 6;
  f.view.y -= room;
  f.view.height += room;
  const double width = f.view.width - 4;
  f.words({{f.view.x + 2, f.view.y + 5}, f.says, std::min(size, size * width / figure::text_width(f.says, size))});
  return f;
}

void add_picture_files(Turned& t) {
  for (const auto& p : t.pictures) {
    const auto setup = static_cast<std::size_t>(p.run);
    t.files.push_back({fmt::format("-{}-step-{:02}.svg", ordinal(setup), p.call),
                       fmt::format("picture, {} clamping, after tool call {}", ordinal(setup), p.call),
                       figure::to_svg(titled(p.figure))});
  }
}

} // namespace

std::string_view ordinal(std::size_t setup) {
  return setup == 0 ? "first" : "second";
}

turning::Job turning_job(const Spec& spec, const solve::Fit& fit, const shapes::Insert& insert,
                         const TurnOptions& options) {
  turning::Job job;
  job.title = fmt::format("{} rev {}", spec.name, spec.revision);
  job.material = spec.material;
  job.chamber = shapes::chain_of(fit.chamber);
  for (const auto role : fit.chamber.roles) job.names.emplace_back(shapes::name(role));
  job.plug_hole_radius_mm = insert.hole_radius_mm;
  job.height_mm = insert.height_mm;
  auto plain = spec.task.body;
  plain.face_grooves.clear();
  plain.radial_grooves.clear();
  // The grooved insert stands already, so the plain one does.
  const auto whole = shapes::assemble(fit.chamber, plain, spec.task.plug).value();
  for (const auto& n : whole.outline) {
    if (n.face == "plug hole") break;
    job.outside.push_back(n.segment);
    job.outside_names.push_back(n.face);
  }
  job.grooves = grooves_of(spec.task.body);
  job.thread = thread_of(spec.task.plug);
  job.inner_corner_mm = spec.inner_corner_mm;
  job.allowance_mm = spec.finish_allowance_mm;
  job.roughness_um = spec.roughness_um;
  job.leave_tight_rounds = spec.leave_tight_rounds;
  job.nose_by_control = spec.nose_by_control || options.nose_by_control;
  job.measure_stops = options.measure_stops;
  job.tools = spec.tools;
  job.machine = spec.machine;
  job.stock = {spec.blank_diameter_mm, spec.blank_length_mm, spec.pilot_bore_mm};
  job.chucking = spec.chucking;
  return job;
}

tl::expected<Turned, Failure> turn(turning::Job job, const TurnOptions& options) {
  const auto start = std::chrono::steady_clock::now();
  Turned t;
  t.job = std::move(job);
  const auto& m = t.job.machine;
  auto plan = turning::plan(t.job);
  if (!plan) return unproven({plan.error()});
  t.plan = std::move(*plan);
  auto w = write_all(t.plan, m, {});
  turning::Work work = t.job;
  work.chamber = t.plan.finished;
  if (w.problems.empty()) {
    const bool draw = options.step_pictures || options.keep_pictures;
    t.proof = turning::prove(w.runs, work, t.job.tools, m, draw ? &t.pictures : nullptr);
    w.problems = problems_of(t.proof);
  }
  if (!w.problems.empty()) {
    if (!options.write_anyway) return unproven(std::move(w.problems));
    t.unproven = std::move(w.problems);
    turning::WriteOptions warned;
    warned.warning = "NOT PROVEN, WRITTEN ON DEMAND. " + t.unproven.front().message;
    w.texts = write_all(t.plan, m, warned).texts;
  }
  for (std::size_t i = 0; i < w.texts.size(); ++i)
    t.files.push_back({fmt::format("-{}{}", ordinal(i), turning::file_extension(m.dialect)),
                       program_kind(t.plan, i, m, ""), std::move(w.texts[i])});
  if (options.in_the_air)
    if (auto ok = add_trials(t); !ok) return tl::unexpected(ok.error());
  if (options.step_pictures) add_picture_files(t);
  for (auto& r : w.runs) t.programs.push_back(std::move(r.program));
  t.ms = std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - start).count();
  return t;
}

tl::expected<Turned, Failure> turn_trim(const turning::Trim& trim, double& change_cc) {
  Turned t;
  t.job = trim.job;
  const auto& m = t.job.machine;
  auto plan = turning::plan_trim(trim);
  if (!plan) return unproven({plan.error()});
  t.plan = std::move(plan->plan);
  auto w = write_all(t.plan, m, {});
  if (w.problems.empty()) {
    t.proof = turning::prove(w.runs, plan->work, t.job.tools, m, &t.pictures);
    w.problems = problems_of(t.proof);
  }
  if (!w.problems.empty()) return unproven(placed(std::move(w.problems), "trim program"));
  change_cc = t.proof.volume_left_cc - plan->before_cc;
  t.files.push_back({fmt::format("-trim{}", turning::file_extension(m.dialect)),
                     fmt::format("lathe program, trim ({})", m.dialect), std::move(w.texts.front())});
  for (auto& r : w.runs) t.programs.push_back(std::move(r.program));
  return t;
}

} // namespace chamber::job
