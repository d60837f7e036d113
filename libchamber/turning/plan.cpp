#include "chamber/turning/plan.hpp"
#include "chamber/profile/distance.hpp"
#include "chamber/turning/plan_bore.hpp"
#include "chamber/turning/plan_outside.hpp"
#include "chamber/turning/plan_path.hpp"
#include "chamber/turning/plan_thread.hpp"
#include "chamber/units/quantity.hpp"
#include "chamber/units/tolerance.hpp"
#include <algorithm>
#include <fmt/format.h>

namespace chamber::turning {

using namespace detail;
using namespace profile;

double feed_for_roughness(double roughness_um, double nose_radius_mm) {
  return std::sqrt(8 * nose_radius_mm * roughness_um * 1e-3);
}
double roughness_of_feed(double feed_mm_per_rev, double nose_radius_mm) {
  return feed_mm_per_rev * feed_mm_per_rev / (8 * nose_radius_mm) * 1e3;
}

std::string_view name(Cut cut) {
  static constexpr std::string_view names[] = {"face", "turn", "drill", "rough", "finish", "groove", "thread", "tap"};
  return names[static_cast<std::size_t>(cut)];
}

namespace {

std::optional<Problem> refuse(std::string message, std::string cure) {
  return Problem{{}, std::move(message), std::move(cure)};
}

/// Tools that stick out farther than the one in use come nearer to the work when the post is indexed.
std::optional<Problem> check_change(const Job& job) {
  double longest = 0, shortest = 1e9;
  for (const auto& t : job.tools) {
    if (t.kind == ToolKind::turning || t.kind == ToolKind::grooving) continue; // these stick out across
    longest = std::max(longest, t.reach_mm);
    shortest = std::min(shortest, t.reach_mm);
  }
  const double surplus = job.outside.empty() ? 0 : job.stock.thickness_mm - job.height_mm;
  const double need = surplus + clear_mm + std::max(0.0, longest - shortest);
  if (job.machine.change_z_mm >= need) return std::nullopt;
  return refuse(fmt::format("tools are changed {} in front of the work; the longest sticks out {} farther than the "
                            "shortest, so that {} are needed.",
                            in_words(job.machine, job.machine.change_z_mm, 1),
                            in_words(job.machine, std::max(0.0, longest - shortest), 1),
                            least_in_words(job.machine.inch, need, 1)),
                "write a larger change_z in the lathe file.");
}

std::optional<Problem> check_job(const Job& job) {
  if (job.chamber.empty() || broken_at(job.chamber))
    return refuse("the chamber's meridian is empty or broken.", "give one unbroken chain from rim to axis.");
  if (std::abs(job.chamber.front().start.z) > tolerance::point_mm ||
      std::abs(job.chamber.back().end.r) > tolerance::point_mm)
    return refuse("the chamber's meridian must run from the sealing face (z = 0) to the axis (r = 0).",
                  "check the profile's ends.");
  if (!falls_in_r(job.chamber))
    return refuse("the chamber is undercut: somewhere it is wider inside than nearer the piston.",
                  "this program turns chambers that open towards the piston everywhere.");
  const auto& m = job.machine;
  if (!(m.clamp_rpm > 0) || !(m.rapid_mm_per_min > 0) || m.change_z_mm < 10 || m.max_line_length < 40 ||
      coordinate_decimals(m) < 2 || coordinate_decimals(m) > 6)
    return refuse(
        "the machine lacks a spindle clamp, a rapid rate, a tool-change Z of 10 mm or more, 2 to 6 decimals or "
        "40 characters a line.",
        "complete the machine's data.");
  if (auto why = check_change(job)) return why;
  const auto box = bounding_box(job.chamber);
  if (!(job.stock.outside_diameter_mm / 2 > box.r_max) || !(job.stock.thickness_mm > box.z_max))
    return refuse(fmt::format("the blank ({} diameter, {} thick) does not hold the chamber (radius {}, depth {}).",
                              in_words(job.machine, job.stock.outside_diameter_mm),
                              in_words(job.machine, job.stock.thickness_mm), in_words(job.machine, box.r_max),
                              in_words(job.machine, box.z_max)),
                  "take a larger blank.");
  if (job.stock.thickness_mm < job.height_mm - tolerance::point_mm)
    return refuse(fmt::format("the blank is {} thick, the insert {} high.",
                              in_words(job.machine, job.stock.thickness_mm), in_words(job.machine, job.height_mm)),
                  "take a thicker blank.");
  if (!(job.allowance_mm > 0) || !(job.semi_finish_mm >= 0) || !(job.roughness_um > 0))
    return refuse("the finishing allowance and the wanted roughness must be above 0.", "give both.");
  return std::nullopt;
}

Bore chamber_of(const Job& job, double front_mm) {
  return {"chamber", job.chamber, job.names,       job.plug_hole_radius_mm, job.stock.outside_diameter_mm / 2,
          0,         front_mm,    job.machine.inch};
}

/// How far in the face is finished before the bore is, so that what stands of it comes off with the bore's rim.
double face_end(const Job& job, double rim) {
  return std::max(0.0, rim - job.allowance_mm - 1.0);
}

/// What should be read before the last pass, which takes this much.
std::vector<std::string> chamber_figures(const Job& job, double left) {
  const auto box = bounding_box(job.chamber);
  return {fmt::format("pocket roof {} behind the sealing face now, {} finished",
                      in_words(job.machine, box.z_max - left), in_words(job.machine, box.z_max))};
}

/// Adds what a bore needs: its roughing and its finishing. `measured`: with a stop before the last pass.
Result<void> add_bore(const Job& job, const Bore& bore, double pilot, bool measured, std::vector<Operation>& rough,
                      std::vector<Operation>& finish, Finished& done) {
  Operation first, last;
  const auto cut = [&](const Bore& roughly) -> Result<void> {
    Roughed roughed{{pilot, bore.outside_radius_mm, bore.front_mm}, 0};
    auto r = rough_bore(job, roughly, pilot, roughed);
    if (!r) return tl::unexpected(r.error());
    roughed.standing.face(face_end(job, bore.chain.front().start.r));
    done = {};
    auto f = finish_bore(job, bore, pilot, roughed, measured, done);
    if (!f) return tl::unexpected(f.error());
    first = std::move(*r);
    last = std::move(*f);
    return {};
  };
  auto ok = cut(bore);
  if (ok && done.tight_left_cc > 0) { // what the finishing nose leaves standing no slimmer roughing nose may take
    Bore reached = bore;
    reached.chain = done.chain;
    reached.names.clear();
    ok = cut(reached);
  }
  if (!ok) return ok;
  rough.push_back(std::move(first));
  if (!done.before_mm.empty()) {
    auto before = passes_before(bore, pilot, last, done.before_mm, measured);
    if (!before) return tl::unexpected(before.error());
    if (measured) last.stop = chamber_figures(job, done.before_mm.back());
    finish.push_back(std::move(*before));
  }
  finish.push_back(std::move(last));
  return {};
}

/// The hole that is there already, or the drilling of it; sets the pilot's radius.
Result<void> add_pilot(const Job& job, double depth, double& pilot, std::vector<Operation>& ops) {
  pilot = job.stock.bore_mm / 2;
  const auto& t = job.thread;
  if (pilot > job.plug_hole_radius_mm + tolerance::point_mm)
    return fail(fmt::format("the blank's bore of {} is larger than the plug hole of {}.",
                            in_words(job.machine, job.stock.bore_mm),
                            in_words(job.machine, 2 * job.plug_hole_radius_mm)),
                "take another blank.");
  if (pilot > 0 && (t.name.empty() || 2 * pilot >= t.minor_low_mm - tolerance::point_mm)) return {};
  auto op = drill(job, depth);
  if (!op) return tl::unexpected(op.error());
  pilot = op->tool.diameter_mm / 2;
  if (job.stock.bore_mm <= 0)
    if (auto mark = centre(job, op->tool.diameter_mm)) ops.push_back(std::move(*mark));
  ops.push_back(std::move(*op));
  return {};
}

void take(Plan& out, Finished&& done, bool chamber) {
  for (auto& n : done.notes) out.notes.push_back(std::move(n));
  if (!chamber) return;
  out.finished = std::move(done.chain);
  out.tight_left_cc = done.tight_left_cc;
}

/// Empty where no whole diameter is turned.
std::vector<std::string> outside_figures(const Job& job, const Task& task) {
  std::vector<std::string> out;
  for (const auto& s : task.outside)
    if (!s.is_arc() && std::abs(s.start.r - s.end.r) < tolerance::point_mm)
      out.push_back(fmt::format("diameter {} now, {} finished", in_words(job.machine, 2 * s.start.r + job.allowance_mm),
                                in_words(job.machine, 2 * s.start.r)));
  return out;
}

Result<Setup> plan_setup(const Job& job, const Task& task, bool first, double& pilot, Plan& out) {
  Setup setup;
  setup.clamping = task.clamping;
  setup.notes = task.notes;
  auto& ops = setup.operations;
  auto outside = rough_outside(job, task, first ? job.stock.bore_mm / 2 : pilot);
  if (!outside) return tl::unexpected(outside.error());
  ops = std::move(*outside);
  const double behind = task.clamping.length_mm - task.clamping.front_mm;
  if (first)
    if (auto ok = add_pilot(job, behind, pilot, ops); !ok) return tl::unexpected(ok.error());

  const bool chamber = task.clamping.side == Side::chamber;
  const double front = std::min(task.clamping.front_mm, job.allowance_mm);
  Bore bore = chamber_of(job, front);
  if (!chamber)
    bore = {"plug seat", seat_cavity(job), {}, job.plug_hole_radius_mm, task.outside.front().start.r, job.height_mm,
            front,       job.machine.inch};
  std::vector<Operation> finish;
  const double rim = bore.chain.empty() ? pilot : bore.chain.front().start.r;
  if (!bore.chain.empty()) {
    Finished done;
    if (auto ok = add_bore(job, bore, pilot, job.measure_stops && chamber, ops, finish, done); !ok)
      return tl::unexpected(ok.error());
    take(out, std::move(done), chamber);
  }
  auto turned = finish_outside(job, task, face_end(job, rim));
  if (!turned) return tl::unexpected(turned.error());
  if (const auto figures = outside_figures(job, task); job.measure_stops && !figures.empty()) {
    auto half = measure_outside(job, task, turned->front());
    if (!half) return tl::unexpected(half.error());
    turned->front().stop = figures;
    ops.push_back(std::move(*half));
  }
  for (auto& t : *turned) ops.push_back(std::move(t));
  for (auto& f : finish) ops.push_back(std::move(f));
  auto slots = grooves(job, task);
  if (!slots) return tl::unexpected(slots.error());
  if (!slots->empty())
    setup.notes.push_back(
        fmt::format("By hand: break the edges of the grooves, about {}.", job.machine.inch ? "0.004 in" : "0.1 mm"));
  for (auto& g : *slots) ops.push_back(std::move(g));
  if (!chamber && !job.thread.name.empty()) {
    auto thread = cut_thread(job, task, pilot);
    if (!thread) return tl::unexpected(thread.error());
    ops.push_back(std::move(*thread));
    setup.notes.push_back("By hand: the burr where the thread comes out in the pocket.");
  }
  return setup;
}

Result<Plan> chamber_only(const Job& job, Plan out) {
  Setup setup;
  setup.clamping.length_mm = job.stock.thickness_mm;
  setup.clamping.diameter_mm = job.stock.outside_diameter_mm;
  setup.clamping.bore_mm = job.stock.bore_mm;
  double pilot = 0;
  if (auto ok = add_pilot(job, job.stock.thickness_mm, pilot, setup.operations); !ok) return tl::unexpected(ok.error());
  std::vector<Operation> finish;
  Finished done;
  if (auto ok = add_bore(job, chamber_of(job, 0), pilot, job.measure_stops, setup.operations, finish, done); !ok)
    return tl::unexpected(ok.error());
  take(out, std::move(done), true);
  for (auto& f : finish) setup.operations.push_back(std::move(f));
  setup.notes.push_back("The sealing face is taken as finished.");
  out.setups.push_back(std::move(setup));
  return out;
}

} // namespace

Result<Plan> plan(const Job& job) {
  if (const auto why = check_job(job)) return tl::unexpected(*why);
  Plan out;
  out.title = job.title;
  out.material = job.material;
  out.stock = job.stock;
  out.height_mm = job.height_mm;
  if (job.outside.empty()) return chamber_only(job, std::move(out));
  const auto tasks = share_out(job);
  if (!tasks) return tl::unexpected(tasks.error());
  double pilot = 0;
  for (std::size_t i = 0; i < tasks->size(); ++i) {
    Task task = (*tasks)[i];
    if (i > 0) task.clamping.bore_mm = 2 * pilot;
    auto setup = plan_setup(job, task, i == 0, pilot, out);
    if (!setup) return tl::unexpected(setup.error());
    if (i == 0) setup->clamping.bore_mm = job.stock.bore_mm;
    out.setups.push_back(std::move(*setup));
  }
  return out;
}

} // namespace chamber::turning
