#include "chamber/profile/settle_parts.hpp"
#include "chamber/profile/integrals.hpp"
#include "chamber/profile/proposed_detail.hpp"
#include "chamber/units/tolerance.hpp"
#include <algorithm>
#include <fmt/format.h>

namespace chamber::profile::detail {
namespace {

/// mm. The widest plug hole a profile may end at.
constexpr double widest_hole = 12;
/// mm. A line is level or upright when its ends differ by no more than a drawing's last digit.
constexpr double level = 1e-3;

bool on_axis(const P& p) {
  return std::abs(p.r) <= gap_mm;
}
bool is_closed(ChainView c) {
  return c.size() > 1 && length(c.back().end - c.front().start) <= gap_mm;
}
bool is_level(const S& s) {
  return !s.is_arc() && std::abs(s.end.z - s.start.z) <= level;
}
bool is_upright(const S& s) {
  return !s.is_arc() && std::abs(s.end.r - s.start.r) <= level;
}
bool along_axis(const S& s) {
  return !s.is_arc() && on_axis(s.start) && on_axis(s.end);
}

/// Segments cut where they cross the axis.
Chain cut_at_axis(ChainView chain) {
  const auto box = bounding_box(chain);
  const S axis = line(P{0, box.z_min - 1}, P{0, box.z_max + 1});
  Chain out;
  for (const auto& s : chain) {
    auto at = crossings(s, axis);
    const auto sort_key = [&](const P& p) {
      if (!s.is_arc()) return length(p - s.start);
      S part = s;
      part.end = p;
      return std::abs(sweep(part));
    };
    std::sort(at.begin(), at.end(), [&](const P& a, const P& b) { return sort_key(a) < sort_key(b); });
    S rest = s;
    for (const auto& p : at) {
      if (length(p - rest.start) <= gap_mm || length(p - rest.end) <= gap_mm) continue;
      S piece = rest;
      piece.end = rest.start = {0, p.z};
      out.push_back(piece);
    }
    out.push_back(rest);
  }
  return out;
}

/// Runs of the cut chain on one side of the axis; of a closed one, runs go round its end.
std::vector<Chain> runs(const Chain& pieces, bool closed, double side) {
  std::vector<Chain> out;
  bool open = false;
  for (const auto& s : pieces) {
    const double r = point_at(s, 0.5).r;
    const bool here = r * side > 0 && !along_axis(s);
    if (here && !open) out.emplace_back();
    if (here) out.back().push_back(s);
    open = here;
  }
  if (closed && out.size() > 1 && length(out.back().back().end - out.front().front().start) <= gap_mm) {
    out.back().insert(out.back().end(), out.front().begin(), out.front().end());
    out.front() = std::move(out.back());
    out.pop_back();
  }
  return out;
}

Chain rotated(ChainView loop, std::size_t first) {
  Chain out(loop.begin() + static_cast<std::ptrdiff_t>(first), loop.end());
  out.insert(out.end(), loop.begin(), loop.begin() + static_cast<std::ptrdiff_t>(first));
  return out;
}

/// How many level segments lead away from the start, and how far out they come.
struct Lead {
  std::size_t count = 0;
  double reach = 0;
};
Lead level_lead(ChainView c) {
  Lead l;
  while (l.count < c.size() && is_level(c[l.count]) && std::abs(c[l.count].end.z - c.front().start.z) <= level)
    l.reach = std::max(l.reach, c[l.count++].end.r);
  return l;
}

/// Both ends on the axis: the cavity's outline without its axis. The level line that comes out furthest is the face.
Result<Chain> drop_face(Chain c, Proposed& out) {
  Lead front = level_lead(c);
  const Lead back = level_lead(reversed(c));
  if (back.reach > front.reach) {
    c = reversed(c);
    front = back;
  }
  if (front.count == 0 || front.count == c.size())
    return fail("both ends of the profile lie on the axis and no line of it is the sealing face.",
                "draw the chamber alone, from its rim to the axis.");
  out.taken.push_back("A closed outline: its line on the sealing face and its axis were left out.");
  return Chain(c.begin() + static_cast<std::ptrdiff_t>(front.count), c.end());
}

/// A closed outline clear of the axis is the insert's metal: from the face's inner edge in to the plug hole.
Result<Chain> out_of_metal(ChainView loop, Proposed& out) {
  const auto box = bounding_box(loop);
  double rim = -1, face = 0;
  for (const double z : {box.z_min, box.z_max}) {
    double inner = 1e300;
    for (const auto& s : loop)
      if (is_level(s) && std::abs(s.start.z - z) <= level) inner = std::min({inner, s.start.r, s.end.r});
    if (inner < 1e300 && inner > rim) rim = inner, face = z;
  }
  const auto refuse = [] {
    return fail("the closed outline neither touches the axis nor shows a sealing face and a plug hole.",
                "draw the chamber alone, from its rim to the axis, or say where the axis lies with --axis.");
  };
  if (rim < 0 || box.r_min > widest_hole) return refuse();
  Chain c;
  for (const bool turned : {false, true}) {
    const Chain walk = turned ? reversed(loop) : Chain(loop.begin(), loop.end());
    for (std::size_t i = 0; i < walk.size(); ++i)
      if (length(walk[i].start - P{rim, face}) <= gap_mm && !(is_level(walk[i]) && walk[i].end.r > rim))
        c = rotated(walk, i);
  }
  const auto hole = std::find_if(
      c.begin(), c.end(), [&](const S& s) { return is_upright(s) && std::abs(s.start.r - box.r_min) <= gap_mm; });
  if (hole == c.end()) return refuse();
  c.erase(hole + 1, c.end());
  out.taken.push_back(
      fmt::format("The outline is the insert's: the chamber was taken from its sealing face, radius {:.3f} "
                  "mm, to its plug hole, radius {:.3f} mm.",
                  rim, box.r_min));
  return c;
}

Chain without_axis(ChainView chain) {
  Chain c(chain.begin(), chain.end());
  if (is_closed(c)) {
    const auto axis = std::find_if(c.begin(), c.end(), along_axis);
    if (axis != c.end()) c = rotated(c, static_cast<std::size_t>(axis - c.begin()));
  }
  while (!c.empty() && along_axis(c.back())) c.pop_back();
  const auto first = std::find_if(c.begin(), c.end(), [](const S& s) { return !along_axis(s); });
  return {first, c.end()};
}

void close_on_axis(Chain& c, const std::string& why, Proposed& out) {
  const P end = c.back().end;
  if (end.r == 0) return;
  if (std::abs(end.r) < tolerance::point_mm) {
    c.back().end.r = 0;
    return;
  }
  c.push_back(line(end, P{0, end.z}));
  if (!why.empty()) out.taken.push_back(why);
}

} // namespace

Result<Chain> one_half(ChainView chain, Proposed& out) {
  const auto box = bounding_box(chain);
  if (box.r_min >= -gap_mm) return Chain(chain.begin(), chain.end());
  if (box.r_max <= gap_mm) {
    out.taken.push_back("Drawn on the negative side of its axis: turned over.");
    return flipped_across(chain);
  }
  const auto pieces = cut_at_axis(chain);
  const auto right = runs(pieces, is_closed(chain), 1), left = runs(pieces, is_closed(chain), -1);
  if (right.size() != 1 || left.size() != 1)
    return fail("the profile crosses the axis more than once.", "draw one half of the section only.");
  const double a = std::abs(swept_volume(ChainView(right[0]))), b = std::abs(swept_volume(ChainView(left[0])));
  out.taken.push_back("A full section: its half at positive radius was taken.");
  if (std::abs(a - b) > 1e-4 * std::max(a, b))
    out.cautions.push_back(fmt::format("The section's two halves differ by {:.3f} cc.", std::abs(a - b) / 1000));
  return right[0];
}

Result<Chain> rim_to_axis(ChainView chain, Proposed& out) {
  if (is_closed(chain) && std::none_of(chain.begin(), chain.end(), [](const S& s) { return along_axis(s); }))
    return out_of_metal(chain, out);
  Chain c = without_axis(chain);
  if (c.size() < 1 || std::any_of(c.begin(), c.end(), [](const S& s) { return along_axis(s); }))
    return fail("the profile leaves the axis and comes back to it.", "draw it from the rim to the axis once.");
  const bool starts = on_axis(c.front().start), ends = on_axis(c.back().end);
  if (starts && ends) return drop_face(c, out);
  if (c.back().end.r > c.front().start.r) {
    c = reversed(c);
    out.taken.push_back("Drawn from the axis to the rim: taken the other way round.");
  }
  if (const P end = c.back().end; end.r > widest_hole)
    return fail(
        fmt::format("the profile is open: it ends at radius {:.3f}, height {:.3f} mm and does not reach the axis.",
                    end.r, end.z),
        "draw it to the axis; a plug hole's edge may take its place.");
  return c;
}

Result<Chain> cap(ChainView chain, const ProposedOptions& o, Proposed& out) {
  Chain c(chain.begin(), chain.end());
  if (o.roof_mm) {
    const double z = *o.roof_mm;
    const S level_line = line(P{-1, z}, P{widest_hole, z});
    for (std::size_t i = c.size(); i-- > 0;)
      if (const auto at = crossings(c[i], level_line); !at.empty() && at[0].r > gap_mm) {
        c.resize(i + 1);
        c.back().end = at[0];
        if (length(at[0] - c.back().start) < 1e-6) c.pop_back();
        close_on_axis(c, fmt::format("The plug hole was capped {:.3f} mm above the sealing face, as told.", z), out);
        return c;
      }
    if (!on_axis(c.back().end) || std::abs(c.back().end.z - z) > gap_mm)
      return fail(fmt::format("the profile has no plug hole at the roof height given, {:.3f} mm.", z),
                  "give a height within the hole, or leave it out.");
  }
  const P end = c.back().end;
  if (on_axis(end)) {
    close_on_axis(c, end.r < 1e-6 ? "" : fmt::format("The profile ends {:.4f} mm from the axis: closed.", end.r), out);
    return c;
  }
  while (c.size() > 1 && is_upright(c.back()) && std::abs(c.back().start.r - end.r) <= level) c.pop_back();
  const bool wall_dropped = c.size() < chain.size();
  if (!wall_dropped && !is_level(c.back()))
    return fail(
        fmt::format("the profile is open: it ends at radius {:.3f}, height {:.3f} mm and does not reach the axis.",
                    end.r, end.z),
        "draw it to the axis; where it ends at a plug hole, say with --roof at what height to cap it.");
  close_on_axis(c,
                fmt::format("The profile ends at a plug hole of radius {:.3f} mm: capped at the pocket roof, {:.3f} mm "
                            "above the sealing face.",
                            end.r, c.back().end.z),
                out);
  return c;
}

} // namespace chamber::profile::detail
