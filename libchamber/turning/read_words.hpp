#pragma once
// What the G and M words of each dialect mean: data.
#include <span>
#include <string_view>

namespace chamber::turning::detail {

enum class Meaning {
  rapid,
  line,
  arc_cw,
  arc_ccw,
  thread,    ///< straight, in step with the spindle
  rigid_tap, ///< in and out again, the spindle turning round by itself
  diameter_words,
  radius_words,
  inch,
  millimetre,
  plane,
  nose_off,
  nose_left,
  nose_right,
  cycles_off,
  absolute,
  work_offset,
  clamp, ///< highest spindle speed, by the S beside it
  constant_speed,
  fixed_speed,
  feed_per_rev,
  length_offset,
  tool_change,
  spindle_forward,
  spindle_backward,
  spindle_stop,
  coolant_on,
  coolant_off,
  stop,
  end,
  refused,
};

/// One G or M word; `why` and `cure` where it is refused.
struct Code {
  char letter;
  int tenfold; ///< ten times its number
  Meaning meaning;
  std::string_view why = {}, cure = {};
};

struct Words {
  std::string_view dialect;
  std::span<const Code> codes;
  bool says_x_meaning;     ///< G7 or G8 have to be said; else the machine fixes it
  bool says_plane;         ///< G18 and G90 have to be said
  bool tool_with_offset;   ///< T0101, alone on its line; else T1 M6 G43
  bool clamp_beside_speed; ///< D beside G96; else the clamp's own line before it
  bool lead_is_feed;       ///< a thread's lead is F, and no feed afterwards; else K
  std::string_view feed_word, safe_start;
};

/// Null where the dialect is not known.
const Words* words_of(std::string_view dialect);

} // namespace chamber::turning::detail
