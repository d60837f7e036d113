#include "chamber/turning/plan_setup.hpp"
#include "chamber/profile/fillet.hpp"
#include "chamber/units/tolerance.hpp"
#include <algorithm>
#include <fmt/format.h>

namespace chamber::turning {

std::string_view name(Side side) {
  return side == Side::chamber ? "chamber side" : "top side";
}

namespace detail {

using namespace profile;
using tolerance::point_mm;

namespace {

constexpr double jaw_air_mm = 1.0;      ///< between the jaws and the deepest cut in front of them
constexpr double past_widest_mm = 1.0;  ///< how far the widest step is turned past its end
constexpr double least_grip_mm = 3.0;   ///< of soft jaws
constexpr double most_grip_mm = 12.0;   ///< what soft jaws need at most
constexpr double least_facing_mm = 0.3; ///< a sawn end that is to come clean
constexpr double least_skin_mm = 0.25;  ///< on the radius
constexpr double largest_nose_mm = 1.2; ///< of tools that turn towards the jaws
constexpr double most_overhang = 3;     ///< stick-out to grip, beyond which it is said (common practice, no source)
constexpr double least_recess_mm = 0.1; ///< of the plug seat below the top
constexpr double groove_air_mm = 0.5;   ///< between a groove and the jaws
constexpr double soft_jaw_air_mm = 1.5; ///< the way out of an edge break runs a little past it

bool upright(const S& s) {
  return !s.is_arc() && std::abs(s.end.r - s.start.r) < point_mm;
}

/// The widest cylinder of the outside, insert coordinates.
struct Widest {
  std::size_t segment = 0;
  double r = 0, low = 0, high = 0;
};

Result<Widest> widest(const Job& job) {
  const auto& o = job.outside;
  Widest w;
  for (std::size_t i = 0; i < o.size(); ++i)
    if (upright(o[i]) && o[i].end.r > w.r + point_mm) w = {i, o[i].start.r, o[i].start.z, o[i].end.z};
  const auto stuck = [&](std::size_t i) {
    const std::string what = i < job.outside_names.size() ? job.outside_names[i] : "part of the outside";
    return fail(fmt::format("the {} at r {}, z {} lies between wider steps: no clamping reaches it.", what,
                            in_words(job.machine, o[i].start.r), in_words(job.machine, o[i].start.z)),
                "let the steps widen up to one widest step and narrow from there, or make the waist a groove.");
  };
  for (std::size_t i = 0; i < o.size(); ++i) {
    if (i < w.segment && o[i].end.r < o[i].start.r - point_mm) return stuck(i);
    if (i > w.segment && o[i].end.r > o[i].start.r + point_mm) return stuck(i);
  }
  if (!(w.r > 0)) return fail("the outside has no cylinder.", "give at least one outside step.");
  return w;
}

/// A plug seat that is barely below the top is a slip of the body's height.
void say_shallow_seat(const Job& job, Task& top) {
  const double seat = std::max(job.outside.back().end.z, job.outside.back().start.z), below = job.height_mm - seat;
  if (below < point_mm || below >= least_recess_mm) return;
  top.notes.push_back(
      fmt::format("The plug seat lies only {} below the top face. A last outside step shorter by that much "
                  "would make them one face.",
                  in_words(job.machine, below, 3)));
}

Result<void> check_blank(const Job& job, const Widest& w) {
  const auto& c = job.chucking;
  const double need = job.height_mm + c.face_mm + least_facing_mm;
  if (job.stock.thickness_mm < need - point_mm)
    return fail(
        fmt::format(
            "the blank is {} long; the insert's {}, {} off the first end and at least {} off the other need {}.",
            in_words(job.machine, job.stock.thickness_mm), in_words(job.machine, job.height_mm),
            in_words(job.machine, c.face_mm), in_words(job.machine, least_facing_mm),
            least_in_words(job.machine.inch, need)),
        "take a longer blank, or less off the first end.");
  if (c.face_mm < least_facing_mm)
    return fail(
        fmt::format("{} off the first end leave it as it was sawn.", in_words(job.machine, c.face_mm)),
        fmt::format("write chucking.face of at least {}.", least_in_words(job.machine.inch, least_facing_mm, 1)));
  if (job.stock.outside_diameter_mm / 2 < w.r + least_skin_mm)
    return fail(fmt::format("the blank's {} leave less than {} to turn off the widest step of {}.",
                            in_words(job.machine, job.stock.outside_diameter_mm), in_words(job.machine, least_skin_mm),
                            in_words(job.machine, 2 * w.r)),
                "take a larger blank.");
  if (c.second == Chucking::Second::mandrel && (c.first != Side::top || job.thread.name.empty()))
    return fail("a mandrel in the plug thread needs the thread, and so the top side, first.",
                "turn the top side first, or hold the second end in soft jaws.");
  return {};
}

/// The side's part of the outside in its coordinates, from depth `from_w` of the widest step (or from that step's far
/// edge, if it is less deep) to the face's inner end.
Chain front_of(const Job& job, Side side, const Widest& w, double from_w) {
  Chain all = turned_round(side == Side::chamber ? ChainView(reversed(ChainView(job.outside))) : ChainView(job.outside),
                           side, job.height_mm);
  const std::size_t at = side == Side::chamber ? job.outside.size() - 1 - w.segment : w.segment;
  Chain out(all.begin() + static_cast<std::ptrdiff_t>(at), all.end());
  S& first = out.front();
  if (first.start.z > from_w) first.start.z = from_w;
  if (first.start.z - first.end.z < point_mm) out.erase(out.begin());
  return out;
}

/// Cuts the chain off where the top's face ends: the seat is a cavity of its own.
void end_at_face(Chain& chain, double& inner) {
  for (std::size_t i = 0; i < chain.size(); ++i)
    if (!chain[i].is_arc() && std::abs(chain[i].start.z) < point_mm && std::abs(chain[i].end.z) < point_mm) {
      chain.resize(i + 1);
      inner = chain.back().end.r;
      return;
    }
}

void share_grooves(const Job& job, std::vector<Task>& tasks) {
  for (const auto& g : job.grooves) {
    const bool with_first = [&] {
      if (g.in_face) return tasks[0].clamping.side == Side::chamber;
      const double deep = tasks[0].clamping.side == Side::chamber ? g.z_high_mm : job.height_mm - g.z_low_mm;
      for (const auto& s : tasks[0].outside)
        if (upright(s) && std::abs(s.start.r - g.r_outer_mm) < 1e-3 && deep < s.start.z + point_mm &&
            deep < tasks[0].reach_mm + point_mm)
          return true;
      return false;
    }();
    tasks[with_first ? 0 : 1].grooves.push_back(g);
  }
}

/// `near`, `far`: depths between which the widest step is finished, in the second clamping's coordinates.
Result<void> hold_second(const Job& job, const Widest& w, double near, double far, Task& second) {
  auto& c = second.clamping;
  c.bore_mm = 2 * job.plug_hole_radius_mm;
  if (job.chucking.second == Chucking::Second::mandrel) {
    c.mandrel = true;
    c.mandrel_mm = job.thread.major_mm;
    c.mandrel_end_mm = job.chamber.back().end.z + 1.0;
    second.reach_mm = job.height_mm - w.low;
    second.notes.push_back(fmt::format(
        "Screw the insert on a {} mandrel, greased, up to its plug seat; the mandrel must not come nearer than {} "
        "to Z0. Cutting tightens it; a hard stop of the spindle may loosen it. Leave flats on the mandrel.",
        job.thread.name, in_words(job.machine, c.mandrel_end_mm)));
    return {};
  }
  const double most = far - near - soft_jaw_air_mm;
  const double grip = job.chucking.second_grip_mm > 0 ? job.chucking.second_grip_mm : std::min(most, most_grip_mm);
  if (grip > most + point_mm || grip < least_grip_mm)
    return fail(
        fmt::format(
            "soft jaws would grip {} of the widest step; {} of it are finished and free, {} are the least that hold.",
            in_words(job.machine, grip, 1), most_in_words(job.machine.inch, std::max(0.0, most), 1),
            in_words(job.machine, least_grip_mm, 1)),
        most >= least_grip_mm
            ? fmt::format("write chucking.second_grip of {} to {}, or leave it out.",
                          least_in_words(job.machine.inch, least_grip_mm), most_in_words(job.machine.inch, most))
            : std::string(
                  "make the widest step longer, the blank longer, or hold the second end on a mandrel in the plug "
                  "thread ([chucking] first = \"top\", second = \"mandrel\")."));
  c.jaws_mm = far - grip;
  c.grip_diameter_mm = 2 * w.r;
  c.soft_jaws = true;
  return {};
}

std::string soft_jaw_note(const Machine& m, const Clamping& c) {
  return fmt::format("Bore soft jaws to {}, with a step for the finished end or its shoulder. Clock the work.",
                     in_words(m, c.grip_diameter_mm));
}

std::string grip_note(const Machine& m, const Clamping& c) {
  return fmt::format("CAUTION: sticks out {} on a grip of {}: see that it cannot be pulled out.",
                     in_words(m, c.stick_out_mm()), in_words(m, c.gripped_mm()));
}

/// Soft jaws stay behind the grooves that are still to be cut.
Result<void> clear_grooves(const Job& job, double far, Task& second) {
  auto& c = second.clamping;
  if (!c.soft_jaws) return {};
  for (const auto& g : second.grooves) {
    const double deep = (c.side == Side::top ? job.height_mm - g.z_low_mm : g.z_high_mm) + groove_air_mm;
    if (g.in_face || deep <= c.jaws_mm) continue;
    if (far - deep < least_grip_mm)
      return fail(
          fmt::format("the {} lies where the soft jaws of the second clamping grip, and the first clamping does "
                      "not reach it.",
                      g.name),
          "take a longer blank or less grip, so that the first clamping cuts it, or turn the other end first.");
    c.jaws_mm = std::max(c.jaws_mm, deep);
  }
  return {};
}

} // namespace

Chain turned_round(ChainView chain, Side side, double height) {
  if (side == Side::chamber) return {chain.begin(), chain.end()};
  return transformed(mirrored(chain), 1.0, height);
}

Result<std::vector<Task>> share_out(const Job& job) {
  const auto w = widest(job);
  if (!w) return tl::unexpected(w.error());
  if (auto ok = check_blank(job, *w); !ok) return tl::unexpected(ok.error());
  const auto& c = job.chucking;
  std::vector<Task> tasks(2);
  Task& first = tasks[0];
  Task& second = tasks[1];
  first.clamping.side = c.first;
  second.clamping.side = c.first == Side::chamber ? Side::top : Side::chamber;

  auto& a = first.clamping;
  a.front_mm = c.face_mm;
  a.length_mm = job.stock.thickness_mm;
  a.diameter_mm = job.stock.outside_diameter_mm;
  a.bore_mm = job.stock.bore_mm;
  a.jaws_mm = job.stock.thickness_mm - c.face_mm - c.grip_mm;
  a.grip_diameter_mm = job.stock.outside_diameter_mm;
  const double near = c.first == Side::chamber ? w->low : job.height_mm - w->high;
  const double far = c.first == Side::chamber ? w->high : job.height_mm - w->low;
  first.reach_mm = std::min(a.jaws_mm - jaw_air_mm - largest_nose_mm, far + past_widest_mm);
  const double need = c.second == Chucking::Second::mandrel ? 0.5 : least_grip_mm;
  if (first.reach_mm < near + need)
    return fail(fmt::format("the jaws begin {} behind the {}'s face, and the widest step {}: too little of it can be "
                            "turned in the first clamping.",
                            in_words(job.machine, a.jaws_mm, 1), name(c.first), in_words(job.machine, near, 1)),
                "take a longer blank, less grip, or turn the other end first.");
  first.outside = front_of(job, c.first, *w, first.reach_mm);
  // Past the step's own end the turned cylinder simply goes on.
  if (first.reach_mm > far) first.outside.front().start = {w->r, first.reach_mm};
  if (c.bar)
    first.notes.push_back(fmt::format("Bar: afterwards saw it off {} behind the finished face, and what the saw needs.",
                                      in_words(job.machine, a.length_mm - c.face_mm)));

  if (a.stick_out_mm() > most_overhang * c.grip_mm + point_mm) first.notes.push_back(grip_note(job.machine, a));

  auto& b = second.clamping;
  b.front_mm = job.stock.thickness_mm - c.face_mm - job.height_mm;
  b.length_mm = job.height_mm + b.front_mm;
  b.diameter_mm = job.stock.outside_diameter_mm;
  second.reach_mm = job.height_mm - std::min(first.reach_mm, far);
  if (auto ok = hold_second(job, *w, job.height_mm - std::min(first.reach_mm, far), job.height_mm - near, second); !ok)
    return tl::unexpected(ok.error());
  // A joint within the step is turned over a little way.
  const double joint = first.reach_mm < far ? job.height_mm - first.reach_mm + 0.3 : -1;
  second.outside = front_of(job, second.clamping.side, *w, joint);
  for (auto& t : tasks) {
    end_at_face(t.outside, t.inner_mm);
    if (t.clamping.side == Side::chamber) t.inner_mm = job.chamber.front().start.r;
  }
  share_grooves(job, tasks);
  say_shallow_seat(job, first.clamping.side == Side::top ? first : second);
  if (auto ok = clear_grooves(job, job.height_mm - near, second); !ok) return tl::unexpected(ok.error());
  if (second.clamping.soft_jaws) {
    auto& held = second.clamping;
    held.grip_mm = job.height_mm - near - held.jaws_mm; // what is left of the step between its broken edges
    second.notes.push_back(soft_jaw_note(job.machine, second.clamping));
    if (held.stick_out_mm() > most_overhang * held.grip_mm)
      second.notes.push_back(grip_note(job.machine, held) +
                             " Lighter passes; or a longer widest step; or the top turned first and this end on a "
                             "mandrel in the plug thread.");
  }
  return tasks;
}

Result<Task> hold_finished(const Job& job) {
  const auto w = widest(job);
  if (!w) return tl::unexpected(w.error());
  Task task;
  auto& c = task.clamping;
  c.side = Side::chamber;
  c.length_mm = job.height_mm;
  c.diameter_mm = 2 * w->r;
  if (auto ok = hold_second(job, *w, w->low, w->high, task); !ok) return tl::unexpected(ok.error());
  if (c.soft_jaws) {
    c.grip_mm = w->high - c.jaws_mm;
    task.notes.push_back(soft_jaw_note(job.machine, c));
  }
  return task;
}

Chain seat_cavity(const Work& work) {
  // From the top face's inner end to the hole's edge.
  const Chain all = turned_round(work.outside, Side::top, work.height_mm);
  std::size_t from = all.size();
  while (from > 0) {
    const S& s = all[from - 1];
    if (!s.is_arc() && std::abs(s.start.z) < point_mm && std::abs(s.end.z) < point_mm) break;
    --from;
  }
  Chain out;
  for (std::size_t i = from; i < all.size(); ++i) {
    S s = all[i];
    if (!out.empty() && profile::detail::turns_left(out.back(), s)) {
      auto f = fillet(out.back(), s, work.inner_corner_mm);
      if (f.before_left > point_mm && f.after_left > point_mm) {
        out.back() = f.before;
        out.push_back(f.round);
        s = f.after;
      } else if (const double depth = s.start.z; upright(out.back()) && depth < work.inner_corner_mm) {
        // Shallower than the round: it runs out into the seat's upper edge.
        const double round = work.inner_corner_mm, across = std::sqrt(depth * (2 * round - depth));
        const P to{s.start.r - across, depth};
        out.back() = arc(Kind::ccw, out.back().start, to, P{to.r, depth - round}, round);
        s.start = to;
      }
    }
    out.push_back(s);
  }
  if (out.empty()) return out;
  // Inside the hole there is nothing to cut: the last surface simply runs on to the axis.
  const P end = out.back().end, on = direction_at(out.back(), 1);
  out.back().end = end + on * (end.r / -on.r);
  return out;
}

} // namespace detail
} // namespace chamber::turning
