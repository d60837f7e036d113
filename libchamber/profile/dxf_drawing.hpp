#pragma once
// What an ASCII DXF holds that a profile can be made of.
#include "chamber/profile/segment.hpp"
#include "chamber/units/result.hpp"
#include <istream>
#include <string>

namespace chamber::profile::detail {

/// Lines and arcs that hang together as drawn: one LINE, ARC or polyline. x is r, y is z; the file's units.
struct Piece {
  Chain chain;
  std::string layer;
  bool centre_line = false; ///< by its line type
  int line = 0;             ///< where it stands in the file
};

/// An entity that cannot be taken, with what to do about it.
struct Unusable {
  std::string what, cure, layer;
  int line = 0;
};

struct Drawing {
  std::vector<Piece> pieces; ///< of model space, on visible layers, blocks laid open
  std::vector<Unusable> unusable;
  std::vector<std::string> hidden; ///< layers off or frozen that hold something
  int units = 0;                   ///< $INSUNITS; 0 = not said
  int measurement = -1;            ///< $MEASUREMENT: 0 imperial, 1 metric; -1 = not said
  bool complete = false;           ///< ended with EOF
};

/// Reads the whole file. Fails where it is no ASCII DXF, is cut short or not flat.
Result<Drawing> read_drawing(std::istream& in);

} // namespace chamber::profile::detail
