#pragma once
// Which clamping reaches what: the outside split between them, in each clamping's own coordinates.
#include "chamber/turning/plan.hpp"

namespace chamber::turning::detail {

/// What one clamping has to do. Clamping coordinates (r, w), w = 0 its finished face, growing towards the chuck.
struct Task {
  Clamping clamping;
  profile::Chain outside; ///< outermost -> face's inner end, r falling, air on the left; begins where the reach ends
  double inner_mm = 0;    ///< radius of the face's inner end: the chamber's rim, the plug seat's wall
  double reach_mm = 0;    ///< how deep the widest step is turned
  std::vector<Groove> grooves;
  std::vector<std::string> notes;
};

/// Insert coordinates to a clamping's, and back (it is its own inverse).
profile::Chain turned_round(profile::ChainView chain, Side side, double height_mm);

/// Both clampings in order, or why something is out of reach.
Result<std::vector<Task>> share_out(const Job& job);

/// How a finished insert is held with the chamber side out: soft jaws on its widest step, or the mandrel in its plug
/// thread. No face, no outside and no grooves are asked for.
Result<Task> hold_finished(const Job& job);

/// The plug seat with the thread's chamfer as a cavity of the top side, in its clamping's coordinates: wall, seat,
/// chamfer, run on to the axis inside the hole; square corners rounded by inner_corner_mm. Empty: nothing to bore.
profile::Chain seat_cavity(const Work& work);

} // namespace chamber::turning::detail
