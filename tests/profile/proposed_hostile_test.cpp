// Files nobody means well with: whatever comes, one problem or a sound chain, quickly.
#include "../processor_time.hpp"
#include "chamber/profile/distance.hpp"
#include "proposed_samples.hpp"
#include <catch2/catch.hpp>
#include <cmath>
#include <fmt/format.h>
#include <functional>
#include <random>

using namespace chamber;
using namespace chamber::profile;
using namespace chamber::profile::testing;

namespace {

/// Either a chain that can be worked with or one problem with words.
void check_sane(const Results<Proposed>& p) {
  if (!p) {
    REQUIRE(p.error().size() == 1);
    CHECK(!p.error()[0].message.empty());
    CHECK(!p.error()[0].cure.empty());
    return;
  }
  REQUIRE(!p->chain.empty());
  CHECK_FALSE(broken_at(p->chain));
  CHECK(std::isfinite(volume(*p)));
  CHECK(volume(*p) > 0);
  CHECK(p->chain.front().start.z == Approx(0).margin(1e-9));
  CHECK(std::abs(p->chain.back().end.r) < 0.011);
}

std::string mutated(std::string text, std::mt19937& random) {
  static const std::string spice = "0123456789.-+eE,;\t \n\r#nanINF\xff\x01";
  const int changes = 1 + static_cast<int>(random() % 6);
  for (int k = 0; k < changes && !text.empty(); ++k) {
    const auto at = random() % text.size();
    switch (random() % 4) {
    case 0:
      text[at] = spice[random() % spice.size()];
      break;
    case 1:
      text.erase(at, 1 + random() % 20);
      break;
    case 2:
      text.insert(at, 1, spice[random() % spice.size()]);
      break;
    default: {
      const auto piece = text.substr(at, random() % 60);
      text.insert(random() % text.size(), piece);
    }
    }
  }
  return text;
}

double seconds_of(const std::function<void()>& f) {
  const double from = processor_s();
  f();
  return processor_s() - from;
}

} // namespace

TEST_CASE("hostile: cut short anywhere", "[proposed]") {
  for (const bool bulges : {true, false}) {
    const auto text = write_dxf(plain_chamber(), {bulges, false, "0"});
    for (std::size_t n = 0; n < text.size(); ++n) {
      const auto p = dxf(text.substr(0, n));
      check_sane(p);
      // Only its very last lines, which hold nothing, may be missing.
      if (n < text.rfind("ENDSEC") + 6) CHECK_FALSE(p);
    }
  }
  PointsStyle style;
  style.chord_error_mm = 0.05;
  const auto text = write_points(plain_chamber(), style);
  for (std::size_t n = 0; n < text.size(); ++n) check_sane(points(text.substr(0, n)));
}

TEST_CASE("hostile: changed at random", "[proposed]") {
  std::mt19937 random(20);
  const std::string drawings[] = {write_dxf(plain_chamber(), {true, false, "0"}),
                                  write_dxf(plain_chamber(), {false, true, "0"})};
  PointsStyle style;
  style.chord_error_mm = 0.05;
  const auto table = write_points(plain_chamber(), style);
  int refused = 0, taken = 0;
  for (int k = 0; k < 4000; ++k) {
    const auto p = k % 2 ? dxf(mutated(drawings[(k / 2) % 2], random)) : points(mutated(table, random));
    check_sane(p);
    ++(p ? taken : refused);
  }
  CHECK(refused > 400); // neither all the same
  CHECK(taken > 200);
}

TEST_CASE("hostile: blocks within blocks", "[proposed]") {
  const auto insert = [](const std::string& name) {
    return "  0\nINSERT\n  8\n0\n  2\n" + name + "\n 10\n0\n 20\n0\n";
  };
  const std::string end = "  0\nENDSEC\n  0\nSECTION\n  2\nENTITIES\n" + insert("B0") + "  0\nENDSEC\n  0\nEOF\n";
  std::string bomb = "  0\nSECTION\n  2\nBLOCKS\n";
  for (int i = 0; i < 8; ++i) {
    bomb += fmt::format("  0\nBLOCK\n  8\n0\n  2\nB{}\n 10\n0\n 20\n0\n", i);
    for (int k = 0; k < 50; ++k) bomb += insert(fmt::format("B{}", i + 1));
    bomb += "  0\nENDBLK\n";
  }
  bomb +=
      "  0\nBLOCK\n  8\n0\n  2\nB8\n 10\n0\n 20\n0\n  0\nLINE\n  8\n0\n 10\n0\n 20\n0\n 11\n1\n 21\n1\n  0\nENDBLK\n";
  CHECK(seconds_of([&] { CHECK_FALSE(dxf(bomb + end)); }) < 5);
  const auto circle =
      "  0\nSECTION\n  2\nBLOCKS\n  0\nBLOCK\n  8\n0\n  2\nB0\n 10\n0\n 20\n0\n" + insert("B0") + "  0\nENDBLK\n";
  CHECK_FALSE(dxf(circle + end));
}

#if defined(CHAMBER_SANITIZED)
constexpr double most_seconds = 120; // instrumented, and beside other tests
#else
constexpr double most_seconds = 20;
#endif

TEST_CASE("hostile: many segments that come close", "[proposed]") {
  // Slanting zigzags side by side: every box overlaps thousands of others.
#if defined(CHAMBER_SANITIZED)
  constexpr int many = 3000; // instrumented, and thousands squared
#else
  constexpr int many = 15000;
#endif
  std::string zigzag = "r,z\n90,0\n";
  for (int i = 0; i < many; ++i)
    zigzag += fmt::format("{},{}\n", i % 2 ? 90 - i * 0.003 : 40 - i * 0.0025, i % 2 ? 60 + i * .001 : 10 + i * .001);
  CHECK(seconds_of([&] { check_sane(points(zigzag)); }) < most_seconds);
  // A cloud in no order.
  std::mt19937 random(5);
  std::string cloud;
  for (int i = 0; i < 200000; ++i)
    cloud += fmt::format("{},{}\n", random() % 60000 / 1000.0, random() % 60000 / 1000.0);
  CHECK(seconds_of([&] { CHECK_FALSE(points(cloud)); }) < 10);
  // Thousands of loose lines in a drawing, many through one place.
  std::string star = "  0\nSECTION\n  2\nENTITIES\n";
  for (int i = 0; i < 20000; ++i)
    star += fmt::format("  0\nLINE\n  8\n0\n 10\n0\n 20\n0\n 11\n{}\n 21\n{}\n", random() % 60000 / 1000.0,
                        random() % 60000 / 1000.0);
  star += "  0\nENDSEC\n  0\nEOF\n";
  CHECK(seconds_of([&] { check_sane(dxf(star)); }) < most_seconds);
}
