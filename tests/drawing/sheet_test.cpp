#include "chamber/units/quantity.hpp"
#include "collisions.hpp"
#include "samples.hpp"
#include <catch2/catch.hpp>
#include <map>

using namespace chamber;
using namespace chamber::drawing;

namespace {

std::vector<std::string> words_of(const Picture& p) {
  std::vector<std::string> out;
  for (const auto& i : p.items)
    if (const auto* t = std::get_if<Text>(&i)) out.push_back(t->words);
  return out;
}

bool has(const std::vector<std::string>& words, const std::string& wanted) {
  for (const auto& w : words)
    if (w.find(wanted) != std::string::npos) return true;
  return false;
}

} // namespace

#if defined(CHAMBER_SANITIZED)
constexpr unsigned inserts = 10; // instrumented, each takes ten times as long
#else
constexpr unsigned inserts = 200;
#endif

TEST_CASE("nothing lies over anything on 200 random inserts") {
  std::map<double, int> scales;
  int refused = 0, crossed = 0; // two leaders may cross where nothing else goes
  for (unsigned seed = 1; seed <= inserts; ++seed) {
    INFO("seed " << seed);
    const auto sheet = insert_sheet(testing::random_input(seed));
    if (!sheet) {
      WARN(to_text(sheet.error()));
      ++refused;
      continue;
    }
    ++scales[sheet->scales[0]];
    for (const auto& page : sheet->pages)
      for (const auto& what : testing::collisions(page)) {
        if (what == "two lines of LEADER cross")
          ++crossed;
        else
          FAIL_CHECK(what);
      }
  }
  CHECK(crossed <= 30); // of some 4,000
  CHECK(refused == 0);
  CHECK(scales.size() >= 2); // the paper is used: not all went on at the smallest scale
}

TEST_CASE("what lies over something else is found") { // the check above, checked
  Picture p{"", 210, 297, {}};
  p.add(Text{{50, 50}, "66.4"});
  CHECK(testing::collisions(p).empty());
  auto q = p;
  q.add(Text{{52, 51}, "37"});
  CHECK(testing::collisions(q).size() == 1);
  q = p;
  q.add(Line{{40, 51}, {80, 51}, pen(Layer::hatching)});
  CHECK(testing::collisions(q).size() == 1);
  q = p;
  q.add(Line{{40, 40}, {80, 42}, pen(Layer::dimension)});
  q.add(Line{{60, 30}, {61, 60}, pen(Layer::dimension)});
  CHECK(testing::collisions(q).size() == 1);
  q = p;
  q.add(Text{{5, 50}, "out"});
  CHECK(testing::collisions(q).size() == 1);
}

TEST_CASE("both views give every dimension the body is made of") {
  for (unsigned seed = 1; seed <= 40; ++seed) {
    INFO("seed " << seed);
    auto in = testing::random_input(seed);
    in.style.units = Units::mm;
    const auto sheet = insert_sheet(in);
    REQUIRE(sheet);
    const auto first = words_of(sheet->pages[0]), second = words_of(sheet->pages[1]);
    const auto two = [](double v) { // trailing zeros left out
      auto s = units::fixed(v, 2);
      while (s.back() == '0') s.pop_back();
      if (s.back() == '.') s.pop_back();
      return s;
    };
    for (const auto& s : in.body.steps) CHECK(has(first, "⌀" + two(s.diameter_mm)));
    for (const auto& g : in.body.radial_grooves) CHECK(has(first, two(g.width_mm) + " wide"));
    for (const auto& g : in.body.face_grooves) CHECK(has(first, two(g.depth_mm) + " deep"));
    CHECK(has(first, two(in.insert.height_mm)));
    CHECK(has(first, " – 6H"));
    CHECK(has(second, two(in.chamber.roof_z)));
    for (const auto& seg : in.chamber.chain) CHECK(has(second, units::fixed(2 * seg.start.r, 3)));
  }
}

TEST_CASE("roughness of an ideally turned surface") {
  // Parabolic cusp of height h: mean h/3, mean departure 4 h / (9 sqrt 3) = 0.2566 h (derived by hand).
  CHECK(ra_of_turned_um(6.3) == Approx(1.617).margin(0.001));
}
