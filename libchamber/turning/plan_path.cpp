#include "chamber/turning/plan_path.hpp"
#include "chamber/profile/distance.hpp"
#include "chamber/profile/offset.hpp"
#include "chamber/units/tolerance.hpp"

namespace chamber::turning::detail {

using namespace profile;
using tolerance::point_mm;

double grid_ease_mm(const Machine& machine) {
  return machine.inch ? 2e-4 : 0;
}

bool falls_in_r(ChainView chain) {
  for (const auto& s : chain) {
    if (s.end.r > s.start.r + point_mm) return false;
    const auto box = bounding_box(std::span(&s, 1));
    if (box.r_max > s.start.r + point_mm || box.r_min < s.end.r - point_mm) return false;
  }
  return true;
}

namespace {

/// The point of an r-falling segment at this radius, which must lie within it.
P at_radius(const S& s, double r) {
  if (!s.is_arc()) return s.start + (s.end - s.start) * ((r - s.start.r) / (s.end.r - s.start.r));
  const double x = r - s.centre.r;
  const double y = std::sqrt(std::max(0.0, s.radius * s.radius - x * x));
  const P up{r, s.centre.z + y}, down{r, s.centre.z - y};
  // An r-falling arc lies wholly above its centre (ccw) or below it (cw).
  return s.kind == Kind::ccw ? up : down;
}

} // namespace

Chain between(ChainView chain, double outer, double inner) {
  Chain out;
  for (S s : chain) {
    if (s.start.r <= inner + point_mm && s.end.r <= inner + point_mm) continue;
    if (s.end.r >= outer - point_mm && s.start.r > outer + point_mm) continue;
    if (s.start.r > outer + point_mm) s.start = at_radius(s, outer);
    if (s.end.r < inner - point_mm) s.end = at_radius(s, inner);
    if (arc_length(s) > point_mm) out.push_back(s);
  }
  return out;
}

namespace {

/// The chamber with a run of sealing face before its rim.
Chain with_face(ChainView chamber, double run) {
  const P rim = chamber.front().start;
  Chain whole{line(P{rim.r + run, rim.z}, rim)};
  whole.insert(whole.end(), chamber.begin(), chamber.end());
  return whole;
}

/// Drops the run along the face, or along a parallel to it at z.
void drop_face(Chain& chain, double z) {
  const S& first = chain.front();
  if (chain.size() > 1 && !first.is_arc() && std::abs(first.start.z - z) < 10 * point_mm &&
      std::abs(first.end.z - z) < 10 * point_mm)
    chain.erase(chain.begin());
}

} // namespace

Result<Chain> contour_at(ChainView chamber, double distance) {
  auto contour = offset_left(with_face(chamber, 4 * distance), distance);
  if (!contour) return contour;
  drop_face(*contour, chamber.front().start.z - distance);
  if (!falls_in_r(*contour)) return fail("the tool's contour doubles back.", "use a smaller nose radius or allowance.");
  return contour;
}

Result<Chain> reached_by(ChainView chamber, double nose) {
  auto contour = contour_at(chamber, nose);
  if (!contour) return contour;
  // The contour is a true parallel, so each piece goes straight back; where it turns towards the cavity, the nose stood
  // still and left a round of its own.
  Chain out;
  for (std::size_t i = 0; i < contour->size(); ++i) {
    const S& s = (*contour)[i];
    const auto back = [&](double u) { return point_at(s, u) - left_of(direction_at(s, u)) * nose; };
    if (i > 0 && cross(direction_at((*contour)[i - 1], 1), direction_at(s, 0)) > 1e-7)
      out.push_back(arc(Kind::ccw, out.empty() ? chamber.front().start : out.back().end, back(0), s.start, nose));
    const double radius = s.kind == Kind::ccw ? s.radius + nose : s.radius - nose;
    if (!s.is_arc())
      out.push_back(line(back(0), back(1)));
    else if (radius > 10 * point_mm)
      out.push_back(arc(s.kind, back(0), back(1), s.centre, radius));
  }
  for (std::size_t i = 1; i < out.size(); ++i) out[i].start = out[i - 1].end;
  return out;
}

namespace {

/// Where a contour pass begins: the roll round the rim's edge is cut short, so that the way in is a tangent that keeps
/// clear of the face.
Chain without_rim_roll(Chain contour) {
  S& roll = contour.front();
  if (roll.kind != Kind::cw || contour.size() < 2) return contour;
  const P out = direction_at(roll, 1);
  const bool goes_on = dot(out, direction_at(contour[1], 0)) > 1 - 1e-9;
  if (goes_on) {
    contour.erase(contour.begin());
    return contour;
  }
  constexpr double clear_angle = 0.26; // 15 degrees: beyond it the tangent runs well clear of the face
  const double u = clear_angle / std::abs(sweep(roll));
  if (u < 1) roll.start = point_at(roll, u);
  return contour;
}

} // namespace

Chain contour_pass(ChainView contour, double inner, double nose) {
  Chain out = between(contour, contour.front().start.r, inner);
  if (out.empty()) return out;
  out = without_rim_roll(std::move(out));
  const P first = out.front().start;
  P back = direction_at(out.front(), 0) * -1.0;
  // Along a band that lies in the sealing face a tangent start would rub on it: come in at a slant.
  constexpr double slant = 0.2588;
  if (back.z > -slant && back.r > 0.5) back = {0.9659, -slant};
  const P away = first + back * (nose + clear_mm);
  out.insert(out.begin(), line(away, first));
  if (away.z > -(nose + clear_mm)) out.insert(out.begin(), line(P{away.r, -(nose + clear_mm)}, away));
  const P last = out.back().end;
  out.push_back(line(last, P{last.r, last.z - retract_mm}));
  return out;
}

namespace {

/// Off the surface along its normal, as long as nothing else of the contour lies in front of that and it stays where
/// nose and bar have room; else straight back.
P retreat(const S& tail, ChainView contour, double innermost, double outermost) {
  for (const double t : {retract_mm, retract_mm / 2, retract_mm / 4}) {
    const P p = tail.end + left_of(direction_at(tail, 1)) * t;
    if (p.r < innermost || p.r > outermost) continue;
    const auto h = heights_at(contour, p.r);
    if (!h || p.z < h->low) return p;
  }
  return {tail.end.r, tail.end.z - retract_mm};
}

constexpr double sliver_mm = 0.1; ///< of raw metal before the face, left to the pass along the contour

} // namespace

std::vector<Chain> stepped_passes(ChainView contour, double pilot_radius, double nose, double step, double bar,
                                  double inner, double front_mm) {
  std::vector<Chain> passes;
  const double innermost = pilot_radius - nose;
  const double outermost = contour.front().start.r - point_mm;
  if (outermost <= innermost) return passes;
  const int n = static_cast<int>(std::ceil((outermost - innermost) / step));
  const double width = (outermost - innermost) / n;
  for (int k = 1; k <= n; ++k) {
    const double here = innermost + k * width, before = innermost + (k - 1) * width;
    // A pass never runs outwards: one that begins inside `inner` goes as far as any.
    const double to = std::max(before, contour.back().end.r);
    Chain pass = between(contour, here, inner < here - point_mm ? std::max(to, inner) : to);
    if (pass.empty()) continue;
    const auto box = bounding_box(pass);
    if (box.z_max + nose <= std::min(0.0, sliver_mm - front_mm)) continue; // in front of the metal, or hardly in it
    const P bottom = pass.front().start;
    pass.insert(pass.begin(), line(P{bottom.r, -(nose + clear_mm)}, bottom));
    pass.push_back(line(pass.back().end, retreat(pass.back(), contour, bar - bottom.r - 2 * nose, bottom.r)));
    passes.push_back(std::move(pass));
  }
  return passes;
}

Shift control_shift(int orientation) {
  switch (orientation) {
  case 1:
    return {-1, 1};
  case 2:
    return {-1, -1};
  case 3:
    return {1, -1};
  case 4:
    return {1, 1};
  case 5:
    return {0, 1};
  case 6:
    return {-1, 0};
  case 7:
    return {0, -1};
  case 8:
    return {1, 0};
  default:
    return {0, 0};
  }
}

void append(Operation& op, const Chain& path, double feed, double front_mm) {
  if (path.empty()) return;
  const auto shift = control_shift(op.tool.orientation);
  const double nose = op.tool.nose_radius_mm;
  const double dx = shift.x * nose, dz = shift.z * nose;
  const auto put = [&](Move::Kind kind, const P& p, const P& centre, double f) {
    op.moves.push_back({kind, p.r + dx, -p.z + dz, centre.r + dx, -centre.z + dz, f});
  };
  const double front = -(nose + clear_mm + front_mm);
  const P start = path.front().start;
  put(Move::Kind::rapid, {start.r, front}, {}, 0);
  if (start.z > front + point_mm) put(Move::Kind::line, start, {}, feed);
  for (const auto& s : path) {
    // z turns over between profile and program, r -> z becomes X -> -Z: ccw stays ccw seen with Z right, X up.
    const auto kind = s.kind == Kind::line ? Move::Kind::line
                      : s.kind == Kind::cw ? Move::Kind::arc_cw
                                           : Move::Kind::arc_ccw;
    put(kind, s.end, s.centre, feed);
  }
  put(Move::Kind::rapid, {path.back().end.r, front}, {}, 0);
}

void append_by_control(Operation& op, const P& from, const Chain& path, const P& to, double feed, double front_mm) {
  const double front = -(op.tool.nose_radius_mm + clear_mm + front_mm);
  const auto put = [&](Move::Kind kind, const P& p, const P& centre, double f) {
    op.moves.push_back({kind, p.r, -p.z, centre.r, -centre.z, f});
  };
  put(Move::Kind::rapid, {from.r, std::min(front, from.z)}, {}, 0);
  if (from.z > front + point_mm) put(Move::Kind::rapid, from, {}, 0);
  put(Move::Kind::line, path.front().start, {}, feed);
  for (const auto& s : path) {
    const auto kind = s.kind == Kind::line ? Move::Kind::line
                      : s.kind == Kind::cw ? Move::Kind::arc_cw
                                           : Move::Kind::arc_ccw;
    put(kind, s.end, s.centre, feed);
  }
  put(Move::Kind::line, to, {}, feed);
  put(Move::Kind::rapid, {to.r, std::min(front, to.z)}, {}, 0);
}

} // namespace chamber::turning::detail
