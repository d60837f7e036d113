#include "chamber/turning/read_words.hpp"
#include <array>

namespace chamber::turning::detail {
namespace {

using M = Meaning;

constexpr std::array rs274_codes = {
    Code{'G', 0, M::rapid},
    Code{'G', 10, M::line},
    Code{'G', 20, M::arc_cw},
    Code{'G', 30, M::arc_ccw},
    Code{'G', 330, M::thread},
    Code{'G', 331, M::rigid_tap},
    Code{'G', 70, M::diameter_words},
    Code{'G', 80, M::radius_words},
    Code{'G', 180, M::plane},
    Code{'G', 200, M::inch},
    Code{'G', 210, M::millimetre},
    Code{'G', 400, M::nose_off},
    Code{'G', 410, M::nose_left},
    Code{'G', 420, M::nose_right},
    Code{'G', 430, M::length_offset},
    Code{'G', 540, M::work_offset},
    Code{'G', 800, M::cycles_off},
    Code{'G', 900, M::absolute},
    Code{'G', 950, M::feed_per_rev},
    Code{'G', 960, M::constant_speed},
    Code{'G', 970, M::fixed_speed},
    Code{'M', 0, M::stop},
    Code{'M', 30, M::spindle_forward},
    Code{'M', 40, M::spindle_backward},
    Code{'M', 50, M::spindle_stop},
    Code{'M', 60, M::tool_change},
    Code{'M', 80, M::coolant_on},
    Code{'M', 90, M::coolant_off},
    Code{'M', 300, M::end},
    Code{'G', 980, M::refused, "G98 and G99 are canned-cycle words here, not feed modes.",
         "write G95 for feed per revolution."},
    Code{'G', 990, M::refused, "G98 and G99 are canned-cycle words here, not feed modes.",
         "write G95 for feed per revolution."},
    Code{'G', 500, M::refused, "G50 does not clamp the spindle here.", "write the clamp as D beside G96."},
    Code{'G', 320, M::refused, "G32 is no thread here.", "write G33 with K for the lead."},
};

// Common practice on controls of this kind, no source.
constexpr std::array type_a_codes = {
    Code{'G', 0, M::rapid},
    Code{'G', 10, M::line},
    Code{'G', 20, M::arc_cw},
    Code{'G', 30, M::arc_ccw},
    Code{'G', 320, M::thread},
    Code{'G', 200, M::inch},
    Code{'G', 210, M::millimetre},
    Code{'G', 400, M::nose_off},
    Code{'G', 410, M::nose_left},
    Code{'G', 420, M::nose_right},
    Code{'G', 500, M::clamp},
    Code{'G', 540, M::work_offset},
    Code{'G', 800, M::cycles_off},
    Code{'G', 960, M::constant_speed},
    Code{'G', 970, M::fixed_speed},
    Code{'G', 990, M::feed_per_rev},
    Code{'M', 0, M::stop},
    Code{'M', 30, M::spindle_forward},
    Code{'M', 40, M::spindle_backward},
    Code{'M', 50, M::spindle_stop},
    Code{'M', 80, M::coolant_on},
    Code{'M', 90, M::coolant_off},
    Code{'M', 300, M::end},
    Code{'G', 70, M::refused, "G7 does not say what X words mean here.",
         "set diameter or radius in the machine's data."},
    Code{'G', 80, M::refused, "G8 does not say what X words mean here.",
         "set diameter or radius in the machine's data."},
    Code{'G', 180, M::refused, "G18 has no place in this dialect.", "remove it."},
    Code{'G', 330, M::refused, "G33 is no thread here.", "write G32 with F for the lead."},
    Code{'G', 331, M::refused, "G33.1 is no tapping cycle here.", "write G32 in, M5, M4, G32 out."},
    Code{'G', 430, M::refused, "G43 has no place here: the tool word carries its offset.", "write T0101."},
    Code{'G', 900, M::refused, "G90 is a turning cycle here.", "remove it: X and Z are absolute by themselves."},
    Code{'G', 920, M::refused, "G92 is a threading cycle here.", "write G32 passes."},
    Code{'G', 940, M::refused, "G94 is a facing cycle here.", "write G99 for feed per revolution."},
    Code{'G', 950, M::refused, "G95 is no feed mode here.", "write G99 for feed per revolution."},
    Code{'G', 980, M::refused, "G98 is feed per minute.", "write G99 for feed per revolution."},
    Code{'M', 60, M::refused, "M6 has no place here: the tool word changes the tool.", "write T0101."},
};

constexpr std::array dialects = {
    Words{"rs274", rs274_codes, true, true, false, true, false, "G95",
          "G18, G7 or G8, G20 or G21, G40, G80, G90, G54, G97 S"},
    Words{"type-a", type_a_codes, false, false, true, false, true, "G99", "G20 or G21, G40, G80, G54, G97 S"},
};

} // namespace

const Words* words_of(std::string_view dialect) {
  for (const auto& w : dialects)
    if (w.dialect == dialect) return &w;
  return nullptr;
}

} // namespace chamber::turning::detail
