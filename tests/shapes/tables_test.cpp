// Thread and O-ring tables against the standards' own figures and rules.
#include "chamber/shapes/body.hpp"
#include "chamber/shapes/oring.hpp"
#include <catch2/catch.hpp>

using namespace chamber::shapes;

// Internal minor diameter limits 6H: ASME B1.13M / ISO 965-1. Basic diameters: ISO 724 (quoted from memory).
TEST_CASE("plug threads") {
  struct Row {
    const char* name;
    double major, pitch, minor_low, minor_high, basic_pitch, basic_minor;
  };
  constexpr Row rows[] = {{"M14x1.25", 14, 1.25, 12.647, 12.912, 13.188, 12.647},
                          {"M12x1.25", 12, 1.25, 10.647, 10.912, 11.188, 10.647},
                          {"M10x1", 10, 1, 8.917, 9.153, 9.350, 8.917}};
  CHECK(plug_threads().size() == std::size(rows));
  for (const auto& row : rows) {
    INFO(row.name);
    const auto* t = find_thread(row.name);
    REQUIRE(t);
    CHECK(t->major_mm == row.major);
    CHECK(t->pitch_mm == row.pitch);
    CHECK(t->minor_low_mm == row.minor_low);
    CHECK(t->minor_high_mm == row.minor_high);
    CHECK(pitch_diameter_mm(*t) == Approx(row.basic_pitch).margin(0.0005));
    CHECK(basic_minor_diameter_mm(*t) == Approx(row.basic_minor).margin(0.0005));
    // 6H has no allowance: the lower limit is the basic minor diameter.
    CHECK(t->minor_low_mm == Approx(basic_minor_diameter_mm(*t)).margin(0.0005));
    // ISO 965-1 grade 6 minor diameter tolerance: 433 P - 190 P^1.22 um up to 0.8 mm, 230 P^0.7 um from 1 mm on (quoted
    // from memory; the standard rounds the result to its number series).
    CHECK(t->minor_high_mm - t->minor_low_mm == Approx(0.230 * std::pow(t->pitch_mm, 0.7)).margin(0.007));
    // A drilled hole must leave the thread within its limits.
    CHECK(t->tap_drill_mm > t->minor_low_mm);
    CHECK(t->tap_drill_mm < t->minor_high_mm);
  }
  CHECK(find_thread("M14") == nullptr);
  CHECK(find_thread("m14x1.25") == nullptr);
}

// Sections and tolerances: AS568. Groove depths and widths, static face seal, liquids: Parker O-Ring Handbook (from
// memory).
TEST_CASE("O-ring sections and their face grooves") {
  struct Row {
    const char* name;
    double section, tolerance, depth_low, depth_high, width_low, width_high; // inches
  };
  constexpr Row rows[] = {{"0.070", 0.070, 0.003, 0.050, 0.054, 0.101, 0.107},
                          {"0.103", 0.103, 0.003, 0.074, 0.080, 0.136, 0.142},
                          {"0.139", 0.139, 0.004, 0.101, 0.107, 0.177, 0.187},
                          {"0.210", 0.210, 0.005, 0.152, 0.162, 0.270, 0.290}};
  CHECK(o_ring_sizes().size() == std::size(rows));
  for (const auto& row : rows) {
    INFO(row.name);
    const auto* o = find_o_ring(row.name);
    REQUIRE(o);
    CHECK(o->section_mm / 25.4 == Approx(row.section).epsilon(1e-12));
    CHECK(o->tolerance_mm / 25.4 == Approx(row.tolerance).epsilon(1e-12));
    CHECK(o->depth_low_mm / 25.4 == Approx(row.depth_low).epsilon(1e-12));
    CHECK(o->depth_high_mm / 25.4 == Approx(row.depth_high).epsilon(1e-12));
    CHECK(o->width_low_mm / 25.4 == Approx(row.width_low).epsilon(1e-12));
    CHECK(o->width_high_mm / 25.4 == Approx(row.width_high).epsilon(1e-12));
    // The nominal groove squeezes the ring by 19 to 32 per cent, the usual static range (common practice, no source).
    for (const double depth : {o->depth_low_mm, o->depth_high_mm}) {
      const auto fill = groove_fill("g", *o, o->width_low_mm, depth);
      CHECK(fill.squeeze > 0.19);
      CHECK(fill.squeeze < 0.32);
    }
  }
  CHECK(find_o_ring("0.071") == nullptr);
}

// By hand: a 0.103 in ring at its largest, 0.106 in, is pi/4 0.106^2 = 0.0088247 in2; a groove 0.140 x 0.077 in is
// 0.01078 in2.
TEST_CASE("how full a groove is") {
  const auto fill = groove_fill("face groove", *find_o_ring("0.103"), 0.140 * 25.4, 0.077 * 25.4);
  CHECK(fill.fill == Approx(0.0088247 / 0.01078).margin(1e-5));
  CHECK(fill.squeeze == Approx(1 - 0.077 / 0.103));
  CHECK(fill.groove == "face groove");
}
