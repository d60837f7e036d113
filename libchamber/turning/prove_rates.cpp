// Speeds, feeds and the tool-change position: what no sweep of metal shows.
#include "chamber/turning/prove_detail.hpp"
#include "chamber/units/quantity.hpp"
#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <set>

namespace chamber::turning::detail {
namespace {

constexpr double slack = 1.05;      ///< words are rounded, and a hole is not the drill's nominal size
constexpr double speed_step = 1;    ///< m/min
constexpr double place_step = 0.02; ///< mm

class Rates {
public:
  Rates(const Run& run, int index, std::span<const Tool> tools, const Machine& machine, Proof& proof)
      : run_(run), index_(index), tools_(tools), machine_(machine), proof_(proof) {}

  void look() {
    change_position();
    for (const auto& m : run_.program.motions) {
      const auto it = std::find_if(tools_.begin(), tools_.end(), [&](const Tool& t) { return t.number == m.tool; });
      if (it == tools_.end() || !m.from_known) continue;
      spindle(m, *it);
      if (m.kind == MotionKind::thread)
        lead(m);
      else if (m.kind != MotionKind::rapid)
        feed(m, *it);
    }
  }

private:
  void change_position() {
    const auto& c = run_.program.change;
    if (!c) return;
    if (c->x >= machine_.change_x_mm / 2 - place_step && c->z >= machine_.change_z_mm - place_step) return;
    add_failure(proof_,
                {FailureKind::unsafe_start, index_, 0, c->x, c->z,
                 fmt::format("tools are changed at X {:.2f} (radius), Z {:.2f} mm, nearer than the lathe's change "
                             "position of {:.2f} and {:.2f} mm.",
                             c->x, c->z, machine_.change_x_mm / 2, machine_.change_z_mm),
                 "send the tool post to the lathe's change position first."});
  }

  void complain(const Motion& m, int what, std::string message, std::string cure) {
    if (!said_.insert({m.call, what}).second) return;
    add_failure(proof_, {FailureKind::rate, index_, m.line, m.to.x, 0,
                         fmt::format("line {}: ", m.line) + std::move(message), std::move(cure)});
  }

  void spindle(const Motion& m, const Tool& t) {
    if (const double top = m.constant_speed ? m.clamp_rpm : m.speed; top > machine_.clamp_rpm + 0.5)
      complain(m, 0,
               fmt::format("the spindle may turn at {:.0f} rpm, the lathe's limit is {:.0f}.", top, machine_.clamp_rpm),
               "write the lathe's clamp, or a slower speed.");
    if (m.kind == MotionKind::rapid) return;
    const bool on_axis = t.kind == ToolKind::drill || t.kind == ToolKind::tap;
    const double diameter = on_axis ? t.diameter_mm : 2 * std::max(std::abs(m.from.x), std::abs(m.to.x));
    const double speed = m.constant_speed ? m.speed : units::pi * diameter * m.speed / 1000;
    // A centring drill only cuts with its point.
    if (t.purpose == Purpose::centring && !m.constant_speed) return;
    if (speed > slack * t.cutting_speed_m_per_min + speed_step)
      complain(m, 1,
               fmt::format("tool {} cuts at {:.0f} m/min, it is made for {:.0f}.", t.number, speed,
                           t.cutting_speed_m_per_min),
               "check S.");
  }

  void feed(const Motion& m, const Tool& t) {
    if (m.feed_mm_per_rev > slack * t.feed_mm_per_rev)
      complain(m, 2,
               fmt::format("tool {} feeds {:.3f} mm/rev, it is made for {:.3f}.", t.number, m.feed_mm_per_rev,
                           t.feed_mm_per_rev),
               "check F.");
  }

  void lead(const Motion& m) {
    if (m.feed_mm_per_rev * m.speed > machine_.rapid_mm_per_min)
      complain(m, 3,
               fmt::format("the thread asks for {:.0f} mm/min, the slides do {:.0f}.", m.feed_mm_per_rev * m.speed,
                           machine_.rapid_mm_per_min),
               "turn slower.");
    if (m.call == thread_call_ && m.speed != thread_rpm_)
      complain(m, 4, "the speed changes between passes of one thread.",
               "keep one S: the start of the thread moves with it.");
    thread_call_ = m.call;
    thread_rpm_ = m.speed;
  }

  const Run& run_;
  int index_;
  std::span<const Tool> tools_;
  const Machine& machine_;
  Proof& proof_;
  std::set<std::pair<int, int>> said_;
  int thread_call_ = 0;
  double thread_rpm_ = 0;
};

} // namespace

void check_rates(std::span<const Run> runs, std::span<const Tool> tools, const Machine& machine, Proof& proof) {
  for (std::size_t i = 0; i < runs.size(); ++i) Rates(runs[i], static_cast<int>(i), tools, machine, proof).look();
}

} // namespace chamber::turning::detail
