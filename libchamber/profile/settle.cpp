#include "chamber/profile/integrals.hpp"
#include "chamber/profile/proposed_detail.hpp"
#include "chamber/profile/settle_parts.hpp"
#include <algorithm>
#include <fmt/format.h>

namespace chamber::profile::detail {
namespace {

constexpr double inch = 25.4;
/// mm. Nobody turns a chamber narrower or wider than this.
constexpr double least_rim = 5, most_rim = 250;

bool between(double x, double low, double high) {
  return x >= low && x <= high;
}

/// Refuses what is off by an inch for a millimetre, unless the unit was asked for by name.
std::optional<Problem> wrong_unit(double rim, const Reading& reading, const ProposedOptions& o, Proposed& out) {
  const auto ask = [&](bool is_inch, std::string why) -> std::optional<Problem> {
    const auto message = fmt::format("the profile would be {:.3f} mm in radius at its widest, {}.", rim, why);
    if (o.unit != LengthUnit::automatic) {
      out.cautions.push_back("With the unit you gave, " + message);
      return std::nullopt;
    }
    return Problem{{},
                   message,
                   fmt::format("is the file in {}? Say --unit {}; if not, say --unit {}.",
                               is_inch ? "inches" : "millimetres", is_inch ? "in" : "mm", is_inch ? "mm" : "in")};
  };
  if (o.bore_radius_mm) {
    const double ratio = rim / *o.bore_radius_mm;
    const auto off = fmt::format("where the bore says {:.3f} mm: off by about 25.4", *o.bore_radius_mm);
    for (const double times : {1.0, 2.0}) {
      if (between(ratio * inch / times, 0.8, 1.25)) return ask(true, off);
      if (between(ratio / inch / times, 0.8, 1.25)) return ask(false, off);
    }
    if (!between(ratio, 0.9, 1.2))
      out.cautions.push_back(
          fmt::format("The profile is {:.3f} mm in radius at its widest and the bore {:.3f} mm: is it "
                      "the chamber of this engine?",
                      rim, *o.bore_radius_mm));
    return std::nullopt;
  }
  if (reading.unit_said && o.unit == LengthUnit::automatic && between(rim, 1, 1000)) return std::nullopt;
  if (rim < least_rim) return ask(true, "which is less than any chamber");
  if (rim > most_rim) return ask(false, "which is more than any chamber");
  return std::nullopt;
}

double widest(ChainView chain) {
  const auto box = bounding_box(chain);
  return std::max(box.r_max, -box.r_min);
}

void halve_diameters(Chain& chain, const Reading& reading, const ProposedOptions& o, Proposed& out) {
  if (!reading.points) return;
  bool diameter = reading.diameter;
  if (!reading.across_said && o.bore_radius_mm) {
    const double ratio = widest(chain) / *o.bore_radius_mm;
    for (const double unit : {1.0, inch, 1 / inch}) diameter = diameter || between(ratio * unit, 1.6, 2.5);
    out.taken.push_back(diameter ? "The numbers across are about twice the bore's radius: diameters."
                                 : "Nothing says radius or diameter, and the bore does not say diameter: radii.");
  } else if (!reading.across_said) {
    out.taken.push_back("Nothing says radius or diameter: the numbers across were taken as radii.");
  }
  if (!diameter) return;
  for (auto& s : chain) s.start.r /= 2, s.end.r /= 2;
}

/// The right way up. Above the rim the swept volume is positive.
Result<bool> turn_up(Chain& chain, const ProposedOptions& o, Proposed& out) {
  const double volume = swept_volume(ChainView(chain));
  const bool down = o.depth == Depth::automatic ? volume < 0 : o.depth == Depth::down;
  if (down) {
    chain = mirrored(chain);
    if (o.depth == Depth::automatic)
      out.taken.push_back("Depth counts away from zero downwards in the file: turned over.");
  }
  if ((down ? -volume : volume) <= 0)
    return fail(volume == 0 ? "the profile holds nothing: it has no depth."
                            : "with depth as you gave it the profile holds less than nothing.",
                volume == 0 ? "check that the two columns or directions are radius and depth."
                            : "turn --depth over, or leave it out.");
  return true;
}

Result<bool> put_on_face(Chain& chain, const Reading& reading, const ProposedOptions& o, Proposed& out) {
  const P rim = chain.front().start;
  if (std::abs(rim.z) < 1e-6) {
    chain = transformed(chain, 1, -rim.z);
    return true;
  }
  const bool near = rim.z > 0 && rim.z < 0.2 * rim.r;
  const bool zero = o.face == Face::zero || (o.face == Face::automatic && reading.points && near);
  if (!zero) {
    chain = transformed(chain, 1, -rim.z);
    out.taken.push_back(
        fmt::format("The rim lies at {:.3f} mm along the axis in the file: taken as the sealing face.", rim.z));
    return true;
  }
  if (rim.z < 0)
    return fail(
        fmt::format("the rim lies {:.3f} mm below the file's zero, which was given as the sealing face.", -rim.z),
        "say --face rim, or move the profile.");
  chain.insert(chain.begin(), line(P{rim.r, 0}, rim));
  out.taken.push_back(
      fmt::format("The profile begins {:.3f} mm above zero: zero was taken as the sealing face and a recess "
                  "wall added up to it (--face rim takes the rim instead).",
                  rim.z));
  return true;
}

std::optional<Problem> unsound(ChainView chain, Proposed& out) {
  const auto [clash, tangled] = find_crossing(chain);
  if (tangled) return Problem{{}, "the profile is too tangled to follow.", "draw it as one clean line."};
  if (clash)
    return Problem{
        {},
        fmt::format("the profile crosses itself near radius {:.3f}, height {:.3f} mm.", clash->at.r, clash->at.z),
        "mend it there; points must follow the profile from the rim to the axis."};
  const auto box = bounding_box(chain);
  const P rim = chain.front().start;
  if (box.z_min < -gap_mm)
    out.cautions.push_back(fmt::format("The profile reaches {:.3f} mm below the sealing face.", -box.z_min));
  if (box.r_max > rim.r + gap_mm)
    out.cautions.push_back(
        fmt::format("Inside, the chamber is wider ({:.3f} mm) than at its rim ({:.3f} mm).", box.r_max, rim.r));
  return std::nullopt;
}

} // namespace

Chain swapped(ChainView chain) {
  Chain out(chain.begin(), chain.end());
  for (auto& s : out) {
    for (P* p : {&s.start, &s.end, &s.centre}) std::swap(p->r, p->z);
    if (s.is_arc()) s.kind = s.kind == Kind::ccw ? Kind::cw : Kind::ccw;
  }
  return out;
}

Chain flipped_across(ChainView chain) {
  Chain out(chain.begin(), chain.end());
  for (auto& s : out) {
    for (P* p : {&s.start, &s.end, &s.centre}) p->r = p->r == 0 ? 0 : -p->r;
    if (s.is_arc()) s.kind = s.kind == Kind::ccw ? Kind::cw : Kind::ccw;
  }
  return out;
}

Chain moved_across(ChainView chain, double by) {
  Chain out(chain.begin(), chain.end());
  for (auto& s : out) {
    s.start.r += by, s.end.r += by;
    if (s.is_arc()) s.centre.r += by;
  }
  return out;
}

Result<Settled> settle(Chain chain, const Reading& reading, const ProposedOptions& o) {
  Settled settled;
  auto& out = settled.profile;
  if (chain.empty()) return fail("there is no profile in the file.", "check that it is the right file.");
  halve_diameters(chain, reading, o, out);
  auto half = one_half(chain, out);
  if (!half) return tl::unexpected(half.error());
  auto open = rim_to_axis(*half, out);
  if (!open) return tl::unexpected(open.error());
  chain = *std::move(open);
  if (const auto r = turn_up(chain, o, out); !r) return tl::unexpected(r.error());
  if (const auto r = put_on_face(chain, reading, o, out); !r) return tl::unexpected(r.error());
  auto capped = cap(chain, o, out);
  if (!capped) return tl::unexpected(capped.error());
  out.chain = *std::move(capped);
  if (!(swept_volume(ChainView(out.chain)) > 0))
    return fail("the profile holds nothing below its plug hole.",
                "check that the chamber is in it, not the hole alone.");
  if (const auto problem = unsound(out.chain, out)) return tl::unexpected(*problem);
  settled.doubt = wrong_unit(widest(out.chain), reading, o, out);
  return settled;
}

bool wider_than_deep(const Proposed& p) {
  return p.chain.front().start.r >= bounding_box(p.chain).z_max;
}

int fits_bore(const Proposed& p, const ProposedOptions& o) {
  if (!o.bore_radius_mm) return 0;
  double off = 1;
  for (const double unit : {1.0, inch, 1 / inch})
    off = std::min(off, std::abs(p.chain.front().start.r / *o.bore_radius_mm * unit - 1));
  return off < 0.1 ? 2 : off < 0.3 ? 1 : 0;
}

} // namespace chamber::profile::detail
