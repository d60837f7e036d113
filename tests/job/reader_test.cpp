#include "chamber/job/reader.hpp"
#include <catch2/catch.hpp>
#include <cmath>

using namespace chamber;
using namespace chamber::job;
using units::Dimension;

TEST_CASE("reader: every kind of mistake is reported with its place", "[reader]") {
  Reader r("bore = \"66.4 mm\"\n"
           "stroke = 72\n"
           "rod = \"130\"\n"
           "deck = \"0.35 psi\"\n"
           "crown = \"inf mm\"\n"
           "lenght = \"3 mm\"\n"
           "huge = \"664 mm\"\n",
           "a.toml");
  auto s = r.root();
  CHECK(s.need("bore", Dimension::length, {20, 200}).value == Approx(66.4));
  CHECK(std::isnan(s.need("stroke", Dimension::length, {20, 200}).value));
  CHECK(std::isnan(s.need("rod", Dimension::length, {20, 200}).value));
  CHECK(std::isnan(s.need("deck", Dimension::length, {-5, 5}).value));
  CHECK(std::isnan(s.need("crown", Dimension::length, {0, 200}).value));
  CHECK(std::isnan(s.need("huge", Dimension::length, {20, 200}).value));
  CHECK(std::isnan(s.need("length", Dimension::length, {0, 200}).value));
  s.finish();
  const auto problems = r.sorted();
  REQUIRE(problems.size() == 7);
  // In the order of the file: the missing key stands at the table's head (line 1).
  CHECK(problems[0].message.find("length is missing") != std::string::npos);
  const int lines[] = {1, 2, 3, 4, 5, 6, 7};
  const char* words[] = {"missing", "bare number", "no unit", "pressure", "finite", "not a key", "between"};
  for (std::size_t i = 0; i < 7; ++i) {
    CAPTURE(i, to_text(problems[i]));
    CHECK(problems[i].place.file == "a.toml");
    CHECK(problems[i].place.line == lines[i]);
    CHECK(problems[i].place.column >= 1);
    CHECK(problems[i].message.find(words[i]) != std::string::npos);
    CHECK_FALSE(problems[i].cure.empty());
  }
  CHECK(problems[5].cure.find("\"length\"") != std::string::npos); // did you mean
}

TEST_CASE("reader: text that is not TOML", "[reader]") {
  Reader r("bore = \"66.4 mm\nstroke = 2", "b.toml");
  REQUIRE(r.problems().size() == 1);
  CHECK(r.problems()[0].place.line == 1);
  CHECK(r.problems()[0].message.find("not TOML") != std::string::npos);
}

TEST_CASE("reader: words, whole numbers, switches, tables", "[reader]") {
  Reader r("kind = \"gaskit\"\nnumber = 4.5\nyes = \"true\"\nbody = 3\nstep = \"x\"\n[[list]]\n[[list]]\n", "c.toml");
  auto s = r.root();
  static constexpr std::string_view kinds[] = {"o-ring", "gasket"};
  s.word("kind", kinds, std::nullopt);
  s.whole("number", 1, 99, std::nullopt);
  s.yes("yes", false);
  s.section("body", true);
  s.sections("step", 4);
  CHECK(s.sections("list", 4).size() == 2);
  CHECK(s.sections("list", 1).empty()); // too many: refused whole
  s.finish();
  REQUIRE(r.problems().size() == 6);
  CHECK(r.sorted()[0].cure.find("gasket") != std::string::npos);
}
