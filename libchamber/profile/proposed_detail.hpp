#pragma once
// What the readers of proposed profiles share.
#include "chamber/profile/distance.hpp"
#include "chamber/profile/proposed.hpp"
#include <istream>

namespace chamber::profile::detail {

/// The nearest two ends may come without touching and still be joined, mm: ten steps of a drawing's last digit.
inline constexpr double gap_mm = 0.01;
/// Coordinates beyond this are no chamber's, mm.
inline constexpr double most_mm = 1e6;

/// Lines of a text file, read in blocks: \n, \r\n and \r end them. What comes next says "binary" or "too long" once and
/// then ends.
class Lines {
public:
  enum class Next { line, end, binary, too_long };
  explicit Lines(std::istream& in) : in_(in) {}
  Next next(std::string_view& line);
  int number() const { return number_; }
  static constexpr std::size_t longest = 8192;

private:
  bool fill();
  std::istream& in_;
  std::string block_, line_;
  std::size_t at_ = 0;
  int number_ = 0;
  bool after_return_ = false;
};

/// Words for a file that begins like one of another kind, or empty.
std::string_view other_kind(std::string_view first_line);

/// Where the chain meets itself, passing over what lies within a hair of the drawing's own rounding. `tangled` when
/// that would take too long to find out.
struct Crossing {
  std::optional<Clash> clash;
  bool tangled = false;
};
Crossing find_crossing(ChainView chain);

/// x and y changed over; the sense of arcs flips.
Chain swapped(ChainView chain);
/// x -> -x; the sense of arcs flips.
Chain flipped_across(ChainView chain);
/// Moved across.
Chain moved_across(ChainView chain, double by);

/// How the file was understood before its profile is put in place.
struct Reading {
  bool unit_said = false;   ///< by the file or the options
  bool across_said = false; ///< radius or diameter
  bool diameter = false;    ///< if across_said
  bool points = false;      ///< a table, whose zero means something
};

/// A profile put in place, and what must be asked before it may be used: whether it is in inches.
struct Settled {
  Proposed profile;
  std::optional<Problem> doubt;
};

/// A chain drawn across (r) and along (z), in mm, put in place: one half of a full section, from the rim to the axis,
/// the right way up, z = 0 at the sealing face, plug hole capped.
Result<Settled> settle(Chain chain, const Reading& reading, const ProposedOptions& options);

bool wider_than_deep(const Proposed& p);
/// How near the rim comes to the engine's bore, off by an inch for a millimetre or not: 0 to 2; 0 without a bore.
int fits_bore(const Proposed& p, const ProposedOptions& options);

} // namespace chamber::profile::detail
