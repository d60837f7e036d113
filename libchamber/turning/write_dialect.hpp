#pragma once
// What a dialect says in its own way, as data. Numbers, arcs, comments, header and the order of things are shared
// (write.cpp). A new dialect is one file with one of these, and a line in all_dialects().
#include <array>
#include <span>
#include <string_view>

namespace chamber::turning::detail {

/// Lines are templates; in curly brackets stands what the writer fills in.
struct Dialect {
  std::string_view name;           ///< as the machine names it
  std::string_view file_extension; ///< with its dot
  std::string_view about;          ///< for the header: what the control must be set to

  /// {units} is G20 or G21; {x} diameter or radius, a line that comes out empty is left out; {rpm} a harmless speed.
  std::span<const std::string_view> start;
  std::string_view diameter, radius; ///< {x}; empty where the control's own setting says it

  /// The control's own number of a tip orientation, by ours (tools.hpp), 1 to 9.
  std::array<int, 10> tip;

  std::string_view tool_call;                       ///< {tool}: its number
  std::span<const std::string_view> constant_speed; ///< {clamp} rpm, {speed} m/min or ft/min
  std::string_view feed_per_revolution;
  std::string_view thread;                    ///< {x} {z} words, {lead}
  std::string_view tap;                       ///< {z} word, {lead}: in and out in one; empty: by the next three
  std::span<const std::string_view> tap_back; ///< spindle stopped and turned back, between thread in and out
  std::span<const std::string_view> tap_done;
  std::string_view tap_note;
};

std::span<const Dialect* const> all_dialects();
extern const Dialect dialect_rs274, dialect_type_a;

} // namespace chamber::turning::detail
