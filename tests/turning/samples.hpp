#pragma once
// Chambers of all four families with invented dimensions, jobs around them, and the way from a job to its proof.
#include "chamber/shapes/chamber.hpp"
#include "chamber/turning/plan.hpp"
#include "chamber/turning/prove.hpp"
#include "chamber/turning/write.hpp"
#include <random>

namespace samples {

using namespace chamber;

inline constexpr shapes::Family families[] = {shapes::Family::spherical, shapes::Family::flat_roof,
                                              shapes::Family::toroidal, shapes::Family::two_radius};

inline shapes::Frame frame_of(shapes::Family family) {
  shapes::Frame f;
  f.family = family;
  f.bore_radius = 33.2;
  f.rim_radius = 33.6;
  f.edge_height = 0.6;
  f.rim_round = 0.4;
  f.mouth_round = 1.0;
  f.pocket_radius = 7.2;
  f.pocket_edge = 0.5;
  f.pocket_corner = 0.4;
  f.draft_deg = 5;
  f.wall_radius = 6;
  f.boss_drop = 2;
  f.boss_round = 1.0;
  return f;
}

inline shapes::Dimensions<double> dimensions_of(shapes::Family family) {
  switch (family) {
  case shapes::Family::spherical:
    return {26, 0, 10, 2, 2};
  case shapes::Family::flat_roof:
    return {5, 9, 10, 2, 2};
  case shapes::Family::toroidal:
    return {6, 10, 10, 2, 1.5};
  case shapes::Family::two_radius:
    return {30, 0, 10, 2, 2};
  }
  return {};
}

inline turning::Job job_of(const shapes::Chamber<double>& c) {
  turning::Job job;
  job.title = "sample";
  job.material = "6061-T6";
  job.chamber = shapes::chain_of(c);
  for (std::size_t i = 0; i < c.chain.size(); ++i) job.names.emplace_back(shapes::name(c.roles[i]));
  job.plug_hole_radius_mm = 12.647 / 2; // M14x1.25 6H minor, low limit (ISO 965-1)
  job.height_mm = 40;
  job.stock = {90, 42, 0};
  job.tools = turning::example_tools();
  return job;
}

inline turning::Job job_of(shapes::Family family) {
  return job_of(shapes::build(frame_of(family), dimensions_of(family)));
}

/// What should come out: the drawing, its chamber as it is to be cut.
inline turning::Work work_of(const turning::Job& job, const turning::Plan& plan) {
  turning::Work work = job;
  work.chamber = plan.finished;
  return work;
}

struct ChamberJob {
  turning::Job job;
  shapes::Chamber<double> chamber;
};

/// A random feasible chamber whose rounds the nose can cut, with a random machine and bars that suit its plug.
inline ChamberJob random_chamber_job(unsigned seed) {
  std::mt19937 engine(seed);
  const auto in = [&](double a, double b) { return std::uniform_real_distribution<>(a, b)(engine); };
  const auto one_of = [&](int n) { return std::uniform_int_distribution<>(0, n - 1)(engine); };
  constexpr double noses[] = {0.2, 0.4, 0.8};
  // Pocket radius, drill, minor diameter and bar for M10x1, M12x1.25, M14x1.25 (minor: ISO 965-1; the rest invented).
  constexpr double plugs[][4] = {{5.2, 8.4, 8.917, 8}, {6.2, 10.2, 10.647, 9}, {7.2, 12.0, 12.647, 11}};
  for (;;) {
    shapes::Frame f;
    const double nose = noses[one_of(3)];
    const auto& plug = plugs[one_of(3)];
    f.family = families[one_of(4)];
    f.bore_radius = in(20, 45);
    f.rim_radius = f.bore_radius + (one_of(2) ? 0 : in(0, 0.8));
    f.edge_height = one_of(3) ? in(0, 1.2) : 0;
    f.rim_round = f.edge_height > 0 || one_of(2) ? nose + (one_of(2) ? in(0, 0.4) : 0) : 0;
    f.follow_crown = one_of(2) == 1;
    f.crown_radius = in(80, 250);
    f.mouth_round = in(0.3, 2);
    f.pocket_radius = plug[0];
    f.pocket_edge = in(0.2, 1);
    f.pocket_corner = nose + (one_of(2) ? in(0, 0.3) : 0);
    f.draft_deg = in(0, 12);
    f.wall_radius = in(4, 10);
    f.boss_drop = in(0.5, 2);
    f.boss_round = in(0.5, 2);
    const bool arc_family = f.family == shapes::Family::spherical || f.family == shapes::Family::two_radius;
    const shapes::Dimensions<double> d{arc_family ? in(15, 45) : in(3, 10), in(4, 14), in(4, 16), in(0, 6), in(0.8, 3)};
    const auto chamber = shapes::build(f, d);
    if (shapes::tightest(chamber).room < 0 || chamber.roof_z > 30) continue;

    auto job = job_of(chamber);
    job.plug_hole_radius_mm = plug[2] / 2;
    job.stock = {2 * f.rim_radius + 20, chamber.roof_z + 20, one_of(4) ? 0 : plug[1]};
    job.height_mm = chamber.roof_z + 18;
    job.machine.inch = one_of(4) == 0;
    job.machine.diameter_mode = one_of(5) != 0;
    job.allowance_mm = in(0.15, 0.4);
    job.semi_finish_mm = in(0, 0.3);
    job.tools[0].diameter_mm = plug[1];
    for (std::size_t i = 1; i < 3; ++i) {
      auto& t = job.tools[i];
      t.nose_radius_mm = nose;
      t.min_bore_mm = plug[3];
      t.shank_mm = plug[3] - 1;
      t.carbide_shank = true;
      t.reach_mm = 6 * t.shank_mm;
      t.edge_length_mm = one_of(2) ? 6 : 0;
      t.max_depth_mm = in(0.5, 1.5);
      if (f.family == shapes::Family::toroidal) t.end_edge_angle_deg = 70;
    }
    return {job, chamber};
  }
}

inline turning::Job random_job(unsigned seed) {
  return random_chamber_job(seed).job;
}

} // namespace samples
