#include "chamber/turning/compensate.hpp"
#include <algorithm>
#include <array>
#include <cmath>
#include <fmt/format.h>
#include <optional>

namespace chamber::turning::detail {

using namespace sweep;
using profile::Kind;

P to_centre(int orientation) {
  constexpr std::array<std::array<int, 2>, 10> shift = {
      {{0, 0}, {1, 1}, {1, -1}, {-1, -1}, {-1, 1}, {0, 1}, {1, 0}, {0, -1}, {-1, 0}, {0, 0}}};
  const auto& s = shift[static_cast<std::size_t>(std::clamp(orientation, 0, 9))];
  return {static_cast<double>(s[0]), static_cast<double>(s[1])};
}

bool has_nose(const Tool& t) {
  return t.kind == ToolKind::boring || t.kind == ToolKind::turning || t.kind == ToolKind::threading;
}

namespace {

constexpr double tangent_rad = 1e-6;
constexpr double flat_mm = 5e-3;  ///< a roll shorter than this strays less than 0.0001 mm from its chord
constexpr double joint_mm = 0.01; ///< parallels of neighbours that rounding keeps from meeting may miss by this

/// Program axes (Z right, X up) are (r, w) turned a quarter: senses stay.
P in_clamping(const XZ& p) {
  return {p.x, -p.z};
}

Path path_of(const Motion& m) {
  const Kind kind = m.kind == MotionKind::arc_ccw ? Kind::ccw : m.kind == MotionKind::arc_cw ? Kind::cw : Kind::line;
  return {kind, in_clamping(m.from), in_clamping(m.to), in_clamping(m.centre), m.radius};
}

Path moved(Path p, const P& by) {
  return {p.kind, p.from + by, p.to + by, p.centre + by, p.radius};
}

P direction(const Path& p, const P& at) {
  if (p.kind == Kind::line) return profile::unit(p.to - p.from);
  const P left = profile::left_of(profile::unit(at - p.centre));
  return p.kind == Kind::ccw ? left : left * -1.0;
}

/// Where the carriers of two paths cross nearest to a point.
std::optional<P> crossing(const Path& a, const Path& b, const P& near) {
  const auto nearer = [&](const P& p, const P& q) {
    return profile::length(p - near) <= profile::length(q - near) ? p : q;
  };
  if (a.kind == Kind::line && b.kind == Kind::line) {
    const P d = a.to - a.from, e = b.to - b.from;
    const double den = profile::cross(d, e);
    if (std::abs(den) < 1e-12) return std::nullopt;
    return a.from + d * (profile::cross(b.from - a.from, e) / den);
  }
  if (a.kind != Kind::line && b.kind != Kind::line) {
    const P d = b.centre - a.centre;
    const double gap = profile::length(d);
    if (gap < 1e-9) return std::nullopt;
    const double along = (gap * gap + a.radius * a.radius - b.radius * b.radius) / (2 * gap);
    const double h2 = a.radius * a.radius - along * along;
    if (h2 < 0) return std::nullopt;
    const P u = d * (1 / gap), mid = a.centre + u * along, side = profile::left_of(u) * std::sqrt(h2);
    return nearer(mid + side, mid - side);
  }
  const Path& l = a.kind == Kind::line ? a : b;
  const Path& c = a.kind == Kind::line ? b : a;
  const P u = profile::unit(l.to - l.from), mid = l.from + u * profile::dot(c.centre - l.from, u);
  const double h2 = c.radius * c.radius - profile::dot(mid - c.centre, mid - c.centre);
  if (h2 < 0) return std::nullopt;
  return nearer(mid + u * std::sqrt(h2), mid - u * std::sqrt(h2));
}

/// Whether p comes before q along the path's carrier.
bool before(const Path& c, const P& p, const P& q) {
  if (c.kind == Kind::line) return profile::dot(q - p, c.to - c.from) > 0;
  const double turned = profile::angle_between(p - c.centre, q - c.centre);
  return c.kind == Kind::ccw ? turned > 0 : turned < 0;
}

class Compensator {
public:
  Compensator(const Program& program, std::span<const Tool> tools, int run, std::vector<Failure>& failures)
      : program_(program), tools_(tools), run_(run), failures_(failures) {}

  std::vector<ReferencePath> run() {
    for (const auto& m : program_.motions) {
      const auto tool = std::find_if(tools_.begin(), tools_.end(), [&](const Tool& t) { return t.number == m.tool; });
      if (!m.from_known || tool == tools_.end()) {
        at_.reset();
        continue;
      }
      const P shift = has_nose(*tool) ? to_centre(tool->orientation) * tool->nose_radius_mm : P{0, 0};
      Path path = moved(path_of(m), shift);
      if (m.nose == Compensation::none || !has_nose(*tool)) {
        if (m.nose != Compensation::none) complain(m, "nose compensation with a tool that has no nose.", "write G40.");
        if (at_) path.from = *at_; // the way out of compensation starts where the nose stands
        at_.reset();
        leading_ = true;
        out_.push_back({&m, path});
        continue;
      }
      aside(m, tool->nose_radius_mm * (m.nose == Compensation::left ? 1 : -1), shift);
    }
    return std::move(out_);
  }

private:
  void complain(const Motion& m, std::string what, std::string cure) {
    failures_.push_back({FailureKind::compensation, run_, m.line, m.to.x, -m.to.z,
                         fmt::format("line {}: {}", m.line, what), std::move(cure)});
  }

  void aside(const Motion& m, double left, const P& shift) {
    const Path drawn = path_of(m);
    const double nose = std::abs(left);
    if (drawn.kind == Kind::line && profile::length(drawn.to - drawn.from) < 1e-9) return;
    const auto beside = [&](const P& p) { return p + profile::left_of(direction(drawn, p)) * left; };
    Path path{drawn.kind, beside(drawn.from), beside(drawn.to), drawn.centre, 0};
    if (drawn.kind != Kind::line) {
      path.radius = drawn.radius + (drawn.kind == Kind::ccw ? -left : left);
      if (path.radius <= 0) {
        complain(m, fmt::format("an arc of {:.3f} mm is no larger than the nose.", drawn.radius),
                 "take a smaller nose.");
        path.radius = std::abs(path.radius);
      }
    }
    const Path parallel = path;
    if (leading_) {
      if (profile::length(drawn.to - drawn.from) <= nose)
        complain(m, "the way into compensation is no longer than the nose.", "lead in from farther away.");
      path.from = drawn.from + shift;
      leading_ = false;
    } else {
      join(m, drawn, path, left);
    }
    out_.push_back({&m, path});
    at_ = path.to;
    drawn_ = drawn;
    parallel_ = parallel;
  }

  /// Brings the end of the path before and the start of this one together.
  void join(const Motion& m, const Path& drawn, Path& path, double left) {
    Path& last = out_.back().path;
    const P d = direction(drawn_, drawn_.to), e = direction(drawn, drawn.from);
    const double turn = std::atan2(profile::cross(d, e), profile::dot(d, e));
    if (turn * left < 0 && std::abs(turn) > tangent_rad) { // away from the nose: roll round the corner
      // So short that rounding could turn its ends about: straight.
      const bool flat = profile::length(path.from - last.to) < flat_mm;
      const Kind kind = flat ? Kind::line : left > 0 ? Kind::cw : Kind::ccw;
      out_.push_back({&m, {kind, last.to, path.from, drawn.from, std::abs(left)}});
      return;
    }
    const auto meet = crossing(parallel_, path, last.to);
    if (meet && profile::length(*meet - last.to) < 1 + std::abs(left) && before(parallel_, last.from, *meet) &&
        before(path, *meet, path.to)) {
      last.to = path.from = *meet;
      return;
    }
    if (profile::length(path.from - last.to) < joint_mm) {
      path.from = last.to;
      return;
    }
    complain(m, "the nose does not fit into the corner before it.", "take a smaller nose.");
    path.from = last.to;
  }

  const Program& program_;
  std::span<const Tool> tools_;
  int run_;
  std::vector<Failure>& failures_;
  std::vector<ReferencePath> out_;
  std::optional<P> at_;   ///< nose centre, under compensation
  Path drawn_, parallel_; ///< of the motion before; of a lead-in the parallel counts where it is cut short
  bool leading_ = true;
};

} // namespace

std::vector<ReferencePath> reference_paths(const Program& program, std::span<const Tool> tools, int run,
                                           std::vector<Failure>& failures) {
  return Compensator(program, tools, run, failures).run();
}

} // namespace chamber::turning::detail
