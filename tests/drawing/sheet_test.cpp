#include "chamber/units/quantity.hpp"
#include "collisions.hpp"
#include "samples.hpp"
#include <algorithm>
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

/// A decimal fraction in words with one decimal less, halves away from zero (ISO 80000-1, annex B, rule B, from
/// memory).
std::string rounded_half_up(std::string words) {
  const bool up = words.back() >= '5';
  words.pop_back();
  for (auto i = words.size(); up && i-- > 0;) {
    if (words[i] == '.' || words[i] == '-') continue;
    if (words[i] != '9') {
      ++words[i];
      break;
    }
    words[i] = '0';
    if (i == 0 || words[i - 1] == '-') words.insert(i, "1");
  }
  return words;
}

std::string without_zeros(std::string s) {
  while (s.back() == '0') s.pop_back();
  if (s.back() == '.') s.pop_back();
  return s;
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
    CHECK(sheet->scales[1] >= 1); // shown larger, as the sheet's purpose is: never smaller than the part
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
  q.add(Area{{{52, 51}, {60, 50}, {60, 52}}});
  CHECK(testing::collisions(q).size() == 1);
  q = p;
  q.add(Arc{{50, 50}, 20, 1, 1, pen(Layer::dimension)}); // about the words, clear of them
  CHECK(testing::collisions(q).empty());
  q.add(Line{{50, 60}, {50, 80}, pen(Layer::outline)});
  CHECK(testing::collisions(q).size() == 1);
  q = p;
  q.add(Arc{{50, 51}, 1, 0, 1, pen(Layer::dimension)});
  CHECK(testing::collisions(q).size() >= 1);
  q = p;
  q.add(Text{{5, 50}, "out"});
  CHECK(testing::collisions(q).size() == 1);
}

TEST_CASE("both views give every dimension the body is made of") {
  for (unsigned seed = 1; seed <= 40; ++seed) {
    INFO("seed " << seed);
    auto in = testing::random_input(seed);
    in.style.units = Units::mm;
    const bool limited = seed % 2 == 0;
    if (!limited) in.limits.clear();
    const auto sheet = insert_sheet(in);
    REQUIRE(sheet);
    const auto first = words_of(sheet->pages[0]), second = words_of(sheet->pages[1]);
    const auto two = [](double v) { return without_zeros(units::fixed(v, 2)); };
    for (const auto& s : in.body.steps) CHECK(has(first, "⌀" + two(s.diameter_mm)));
    // With its limits before "wide" and "deep", or without.
    for (const auto& g : in.body.radial_grooves) CHECK(has(first, two(g.width_mm) + (limited ? " " : " wide")));
    for (const auto& g : in.body.face_grooves) {
      CHECK(has(first, two(g.width_mm) + (limited ? " " : " wide")));
      CHECK(has(first, two(g.depth_mm) + (limited ? " " : " deep")));
    }
    CHECK(has(first, two(in.insert.height_mm)));
    CHECK(has(first, " – 6H"));
    auto roof = two(in.chamber.roof_z);
    if (const auto* l = shapes::find(in.limits, shapes::Size::roof)) { // to the digits of its limits
      const auto p = shapes::printed(*l, false);
      roof = p.fine ? units::fixed(p.nominal, p.decimals) : two(p.nominal);
    }
    CHECK(has(second, roof));
    for (const auto& seg : in.chamber.chain) CHECK(has(second, units::fixed(2 * seg.start.r, 3)));
  }
}

TEST_CASE("a radius on the sheet is the table's, rounded or in full") {
  CHECK(rounded_half_up("162.455") == "162.46");
  CHECK(rounded_half_up("162.454") == "162.45");
  CHECK(rounded_half_up("9.995") == "10.00");
  int twice = 0; // figures whose rounding in one go says something else
  for (unsigned seed = 1; seed <= inserts; ++seed) {
    INFO("seed " << seed);
    auto in = testing::random_input(seed);
    in.style.units = Units::mm;
    const auto sheet = insert_sheet(in);
    REQUIRE(sheet);
    const auto words = words_of(sheet->pages[1]);
    std::vector<std::string> allowed;
    for (const auto& w : words) // "R 162.455 hollow" in the table
      if (w.starts_with("R ")) {
        const auto figure = w.substr(2, w.find(' ', 2) - 2);
        allowed.push_back("R" + without_zeros(rounded_half_up(figure)));
        if (figure.back() == '5' ||
            figure == units::fixed(in.dimensions.bowl_radius, 3)) // the one that closes the volume
          allowed.push_back("R" + without_zeros(figure));
      }
    for (const auto& s : in.chamber.chain)
      if (s.is_arc() && rounded_half_up(units::fixed(s.radius, 3)) != units::fixed(s.radius, 2)) ++twice;
    for (const auto& w : words)
      if (w.size() > 1 && w[0] == 'R' && w[1] >= '0' && w[1] <= '9') {
        INFO(w);
        CHECK(std::find(allowed.begin(), allowed.end(), w) != allowed.end());
      }
  }
  CHECK((twice > 0 || inserts < 100)); // one in some hundred has such a radius
}

TEST_CASE("roughness of an ideally turned surface") {
  // Parabolic cusp of height h: mean h/3, mean departure 4 h / (9 sqrt 3) = 0.2566 h (derived by hand).
  CHECK(ra_of_turned_um(6.3) == Approx(1.617).margin(0.001));
}
