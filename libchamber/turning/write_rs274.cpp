// The open rs274 dialect, as its interpreter documents it.
#include "chamber/turning/write_dialect.hpp"
#include <array>

namespace chamber::turning::detail {
namespace {

using Lines = std::string_view;
constexpr std::array<Lines, 6> start{"G18", "{x}", "{units}", "G40 G80 G90", "G54", "G97 S{rpm}"};
constexpr std::array<Lines, 1> constant_speed{"G96 D{clamp} S{speed} M3"};

} // namespace

const Dialect dialect_rs274{
    .name = "rs274",
    .file_extension = ".ngc",
    .about = "RS274, LATHE, TOOL TABLE WITH OFFSETS",
    .start = start,
    .diameter = "G7",
    .radius = "G8",
    .tip = {0, 1, 2, 3, 4, 5, 6, 7, 8, 9},
    .tool_call = "T{tool} M6 G43",
    .constant_speed = constant_speed,
    .feed_per_revolution = "G95",
    .thread = "G33 {x} {z} K{lead}",
    .tap = "G33.1 {z} K{lead}",
    .tap_back = {},
    .tap_done = {},
    .tap_note = {},
};

} // namespace chamber::turning::detail
