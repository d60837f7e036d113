// volume FILE: what a chamber holds that somebody drew as points (radius and depth, mm or inches).
#include <chamber/profile/integrals.hpp>
#include <chamber/profile/proposed.hpp>
#include <chamber/shapes/features.hpp>
#include <cstdio>
#include <fstream>

int main(int argc, char** argv) {
  using namespace chamber;
  if (argc != 2) return std::fprintf(stderr, "usage: volume FILE\n"), 2;
  std::ifstream file(argv[1]);
  const auto drawn = profile::read_points(file, argv[1], {});
  if (!drawn) {
    for (const auto& problem : drawn.error()) std::fprintf(stderr, "%s\n", to_text(problem).c_str());
    return 3;
  }
  for (const auto& sentence : drawn->taken) std::printf("# %s\n", sentence.c_str());
  const auto seen = shapes::features(drawn->chain);
  std::printf("volume_cc %.5f\ndepth_mm %.3f\n", profile::swept_volume(drawn->chain) / 1000, seen.depth_mm);
  if (seen.band) std::printf("mouth_radius_mm %.3f\n", seen.band->mouth.r);
}
