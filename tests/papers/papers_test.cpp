// The page as text: nothing a customer typed becomes markup, no two pictures share an id, the model arrives whole. What
// a browser makes of it: tests/external/page_chromium.mjs.
#include "chamber/papers/charts.hpp"
#include "chamber/papers/section.hpp"
#include "chamber/papers/svg.hpp"
#include "chamber/papers/traveller.hpp"
#include <catch2/catch.hpp>
#include <limits>
#include <zlib.h>

using namespace chamber;

namespace {

std::size_t count(const std::string& text, const std::string& what) {
  std::size_t n = 0;
  for (std::size_t at = 0; (at = text.find(what, at)) != std::string::npos; at += what.size()) ++n;
  return n;
}

const std::string hostile = "</script><img src=x onerror=\"boom()\" alt='&'>{{job}}{{{style}}}";
const std::string harmless = "&lt;/script&gt;&lt;img src=x onerror=&quot;boom()&quot; alt=&apos;&amp;&apos;&gt;";
papers::Picture pictured(const std::string& words) {
  papers::Picture p{words, {{0, 0, 2, 1}, words}, words};
  p.figure.words({{0, 1}, words});
  return p;
}
const std::string square = R"(<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 2 1"></svg>)";

} // namespace

// HTML standard, 13.1.2: "<" and "&" start markup.
TEST_CASE("texts are text in every field, whatever they hold", "[traveller]") {
  papers::Traveller t;
  t.job = t.revision = t.customer = t.material = t.note = t.made_by = t.spec_hash = hostile;
  const papers::Fact fact{hostile, hostile, hostile};
  const auto picture = pictured(hostile);
  t.headline = t.answer = {fact};
  t.measured = {{hostile, {fact}}};
  t.reasons = t.notes = t.cautions = {hostile};
  t.section = picture;
  t.charts = {picture};
  t.drawings = {{hostile, square, hostile}};
  t.setups = {{hostile,
               hostile,
               hostile,
               {fact},
               {hostile},
               {{hostile, hostile, hostile, hostile, hostile, hostile, hostile, hostile, hostile, hostile, hostile}},
               {picture},
               {hostile}}};
  t.inspection = {{hostile, hostile, hostile, hostile}};
  t.burette = papers::BuretteTest{hostile, hostile, hostile};
  t.programs = {{hostile, hostile, hostile}};
  const auto html = papers::to_html(t);
  CHECK(html.find("<img src=x") == std::string::npos);
  CHECK(html.find("onerror=\"") == std::string::npos);
  // Title and heading 9; facts 4 x 3; a group 1; sentences 5; pictures 7 (a chart shows no title), what figures show
  // and say 3 x 2; setup 3, tool 11; inspection 4, burette 3, program 3. A setup's and a drawing's title also name
  // what moves sideways: 2.
  CHECK(count(html, harmless) == 9 + 12 + 1 + 5 + 7 + 6 + 3 + 11 + 4 + 3 + 3 + 2);
  CHECK(count(html, "{{job}}") == count(html, harmless)); // not taken for a tag of the template
}

TEST_CASE("what is not there leaves no heading behind", "[traveller]") {
  papers::Traveller t;
  t.job = "plain";
  const auto html = papers::to_html(t);
  CHECK(count(html, "<h2>") == 0);
  CHECK(count(html, "<small>") == 0);
  CHECK(html.find("id=\"glb\"") == std::string::npos);
  CHECK(html.size() < 30000); // nor the viewer, twenty times that
}

// RFC 4648, section 4: the alphabet; zlib unpacks what comes of it.
TEST_CASE("the model arrives whole", "[traveller]") {
  const std::string alphabet = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  for (const std::size_t size : {1u, 2u, 3u, 4u, 5u, 6u, 1000u, 70000u}) {
    papers::Traveller t;
    for (std::size_t i = 0; i < size; ++i) t.glb += static_cast<char>(i * i * 37 + i / 251);
    const auto html = papers::to_html(t);
    const auto from = html.find("id=\"glb\">") + 9, to = html.find("</script>", from);
    std::string packed;
    unsigned bits = 0, held = 0;
    for (const char c : html.substr(from, to - from)) {
      if (c == '=') continue;
      REQUIRE(alphabet.find(c) != std::string::npos);
      bits = bits << 6 | static_cast<unsigned>(alphabet.find(c));
      if ((held += 6) >= 8) packed += static_cast<char>(bits >> (held -= 8));
    }
    CHECK((to - from) % 4 == 0);
    std::string out(size + 1, 0);
    uLongf length = out.size();
    REQUIRE(uncompress(reinterpret_cast<Bytef*>(out.data()), &length, reinterpret_cast<const Bytef*>(packed.data()),
                       packed.size()) == Z_OK);
    CHECK(out.substr(0, length) == t.glb);
  }
}

TEST_CASE("pictures keep their ids to themselves", "[svg]") {
  const std::string svg = R"x(<?xml version="1.0"?><svg viewBox="0 0 1 1"><g id="a"/><use xlink:href="#a"/>)x"
                          R"x(<use href="#a"/><path clip-path="url(#a)" width="5"/></svg>)x";
  CHECK(papers::inline_svg(svg, "p7-") == R"x(<svg viewBox="0 0 1 1"><g id="p7-a"/><use xlink:href="#p7-a"/>)x"
                                          R"x(<use href="#p7-a"/><path clip-path="url(#p7-a)" width="5"/></svg>)x");
  CHECK(papers::aspect(R"(<svg viewBox="-5 0 297 210"></svg>)") == Approx(297.0 / 210));
  for (const char* bad :
       {"<p>", "<svg><script>1</script></svg>", "<svg><SCRIPT>1</SCRIPT></svg>", "<svg onload=\"x()\"></svg>",
        "<svg><a href=\"javascript:x()\"/></svg>", "<svg><foreignObject/></svg>"})
    CHECK_THROWS_AS(papers::inline_svg(bad, ""), std::logic_error);
  // Words that only look like it.
  CHECK_NOTHROW(papers::inline_svg("<svg aria-label=\"gap only = 5\"><text>once = 1, script</text></svg>", ""));
  CHECK_THROWS_AS(papers::aspect("<svg></svg>"), std::logic_error);
}

TEST_CASE("a number that is none is drawn by no chart", "[chart]") {
  const double bad = std::numeric_limits<double>::quiet_NaN();
  papers::Chart c{"t", {"x", {}, {}}, {"y", {}, {}}, {}, {}, {{"s", {{0, 0}, {1, bad}}}}, {}};
  CHECK_THROWS_AS(papers::figure_of(c), std::logic_error);
  c.series.clear();
  CHECK_THROWS_AS(papers::figure_of(c), std::logic_error);
  CHECK_THROWS_AS(papers::figure_of(papers::BarChart{"t", "u", {{"a", -1, "-1 cc"}}}), std::logic_error);
  CHECK_THROWS_AS(papers::figure_of(papers::SectionView{}), std::logic_error);
}

TEST_CASE("a chart of one point, and of one value throughout, still has an axis", "[chart]") {
  papers::Chart c{"t", {"x", {}, {}}, {"y", {}, {}}, {}, {}, {{"s", {{5, 0}}, false, true}}, {}};
  CHECK(count(figure::to_svg(papers::figure_of(c)), "<text") >= 8);
  c.series[0].points = {{0, 1e-3}, {1e-3, 1e-3}};
  CHECK(figure::to_svg(papers::figure_of(c)).find("0.001") != std::string::npos);
}

TEST_CASE("labels are escaped in charts and sections", "[chart]") {
  papers::Chart c{
      hostile,         {hostile, {}, {}}, {hostile, {}, {}}, {{hostile, 0, 1}}, {}, {{hostile, {{0, 0}, {1, 1}}}},
      {{hostile, 0.5}}};
  CHECK(figure::to_svg(papers::figure_of(c)).find("<img") == std::string::npos);
  CHECK(figure::to_svg(papers::figure_of(papers::BarChart{hostile, hostile, {{hostile, 1, hostile}}})).find("<img") ==
        std::string::npos);
  const auto line = profile::line<double>({10, 0}, {0, 5});
  const auto svg = figure::to_svg(
      papers::figure_of(papers::SectionView{{line}, {line}, 20, {{5, 0, 1, hostile}}, hostile, hostile}));
  CHECK(svg.find("<img") == std::string::npos);
}
