#include "chamber/figure/figure.hpp"
#include "chamber/units/markup.hpp"
#include <catch2/catch.hpp>
#include <cmath>
#include <cstdio>
#include <limits>
#include <rapidcheck/catch.h>

using namespace chamber;
using figure::Figure;
using figure::Fill;
using figure::Path;

namespace {

Figure square() {
  Figure f{{0, 0, 20, 10}, "a square"};
  f.shape(Path().rectangle({1, 2, 3, 4}), Fill{{"#aabbcc", "var(--metal, #aabbcc)"}});
  return f;
}

std::string decimal(double value, int decimals) {
  std::string out;
  units::append_decimal(out, value, decimals);
  return out;
}

} // namespace

// The C library reads back what was written, and rounds as it does itself.
TEST_CASE("coordinates are short and read back") {
  CHECK(decimal(0, 2) == "0");
  CHECK(decimal(-0.001, 2) == "0"); // not "-0"
  CHECK(decimal(12.5, 2) == "12.5");
  CHECK(decimal(-0.07, 2) == "-0.07");
  CHECK(decimal(100, 2) == "100");
  CHECK(decimal(0.009, 3) == "0.009");
  CHECK_THROWS_AS(decimal(std::numeric_limits<double>::quiet_NaN(), 2), std::logic_error);
  CHECK_THROWS_AS(decimal(1e300, 2), std::logic_error);
  rc::prop("three decimals", [] {
    const double value = *rc::gen::inRange(-2000000, 2000000) / 1234.5;
    const auto text = decimal(value, 3);
    RC_ASSERT(std::abs(std::strtod(text.c_str(), nullptr) - value) < 0.000501);
    RC_ASSERT(text.find('.') == text.npos || text.back() != '0');
    RC_ASSERT(text.find('e') == text.npos);
  });
}

// XML 1.0, 2.4 and 4.6: the five predefined entities.
TEST_CASE("words and what a figure says are escaped") {
  auto f = square();
  f.says = "<&>\"'\n";
  f.words({{1, 1}, "<&>\"'\n"});
  const auto svg = figure::to_svg(f);
  CHECK(svg.find("aria-label=\"&lt;&amp;&gt;&quot;&apos; \"") != svg.npos);
  CHECK(svg.find(">&lt;&amp;&gt;&quot;&apos; </text>") != svg.npos);
}

TEST_CASE("several figures stand in one page without sharing an id") {
  auto f = square();
  f.clip = {0, 0, 5, 5};
  f.shape(Path().rectangle({0, 0, 9, 9}), Fill{{}, 1, figure::Hatching{2, 0.1}}, {}, true);
  f.shape(Path().rectangle({0, 0, 9, 9}), Fill{{}, 1, figure::Hatching{2, 0.1}});
  f.shape(Path().rectangle({0, 0, 9, 9}), Fill{{}, 1, figure::Hatching{3, 0.1}});
  const auto svg = figure::to_svg(f, "p7-");
  CHECK(svg.find("id=\"p7-clip\"") != svg.npos);
  CHECK(svg.find("url(#p7-clip)") != svg.npos);
  CHECK(svg.find("id=\"p7-hatching2\"") != svg.npos);
  CHECK(svg.find("id=\"p7-hatching3\"") == svg.npos); // the same hatching is defined once
  for (auto at = svg.find("id=\""); at != svg.npos; at = svg.find("id=\"", at + 1))
    CHECK(svg.compare(at, 7, "id=\"p7-") == 0);
}

TEST_CASE("the screen's colours are the page's, where a page has some") {
  const auto svg = figure::to_svg(square());
  CHECK(svg.find("fill=\"var(--metal, #aabbcc)\"") != svg.npos);
  CHECK(svg.find("<defs>") == svg.npos);
}

TEST_CASE("nothing that is not finite is drawn, and no figure without an extent") {
  CHECK_THROWS_AS(Path().move(0, std::numeric_limits<double>::infinity()), std::logic_error);
  CHECK_THROWS_AS(Path().move(0, 0).arc(std::nan(""), false, false, 1, 1), std::logic_error);
  CHECK_THROWS_AS(figure::aspect(Figure{}), std::logic_error);
  CHECK(figure::aspect(square()) == 2);
}
