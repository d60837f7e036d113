// Type-A G codes, as most turning centres with a turret read them. G90, G92 and G94 are cycles there and never written.
#include "chamber/turning/write_dialect.hpp"
#include <array>

namespace chamber::turning::detail {
namespace {

using Lines = std::string_view;
constexpr std::array<Lines, 4> start{"{units}", "G40 G80", "G54", "G97 S{rpm}"};
constexpr std::array<Lines, 2> constant_speed{"G50 S{clamp}", "G96 S{speed} M3"};
constexpr std::array<Lines, 2> back{"M5", "M4"};
constexpr std::array<Lines, 1> done{"M5"};

} // namespace

const Dialect dialect_type_a{
    .name = "type-a",
    .file_extension = ".nc",
    .about = "TYPE-A G CODES: G50 IS THE CLAMP, G99 FEED PER REVOLUTION",
    .start = start,
    .diameter = {},
    .radius = {},
    // Usual numbering of these controls (from memory): outside tools towards the chuck 3, boring bars 2.
    .tip = {0, 4, 3, 2, 1, 5, 8, 7, 6, 9},
    .tool_call = "T{tool:02}{tool:02}",
    .constant_speed = constant_speed,
    .feed_per_revolution = "G99",
    .thread = "G32 {x} {z} F{lead}",
    .tap = {},
    .tap_back = back,
    .tap_done = done,
    .tap_note = "tap in a floating holder: the spindle stops and turns back at the bottom",
};

} // namespace chamber::turning::detail
