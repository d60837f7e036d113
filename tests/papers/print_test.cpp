// How the PDF's pages are filled. What an outside reader makes of the file: tests/external/papers_files.py.
#include "chamber/papers/print/document.hpp"
#include "chamber/papers/print/pages.hpp"
#include "chamber/papers/print/table.hpp"
#include "chamber/papers/svg.hpp"
#include <algorithm>
#include <catch2/catch.hpp>
#include <future>
#include <rapidcheck.h>

using namespace chamber;
using namespace chamber::papers;

namespace {

print::Blocks random_blocks() {
  print::Blocks out;
  const auto head = std::make_shared<const print::Block>(print::Block{12, 0, nullptr, true, nullptr, ""});
  for (int i = 0, n = *rc::gen::inRange(1, 60); i < n; ++i) {
    print::Block b;
    b.height = *rc::gen::inRange(0, *rc::gen::inRange(0, 12) == 0 ? 900 : 120);
    b.before = *rc::gen::inRange(0, 15);
    b.keeps_next = *rc::gen::inRange(0, 3) == 0;
    if (*rc::gen::inRange(0, 4) == 0) b.again = head;
    out.push_back(b);
  }
  return out;
}

Traveller simple() {
  Traveller t;
  t.job = "plain";
  t.revision = "B";
  t.cautions = {"Detonation destroys motors."};
  return t;
}

} // namespace

TEST_CASE("every block stands once and in order and whole on a page that has room for it", "[pages]") {
  CHECK(rc::check([] {
    const auto blocks = random_blocks();
    constexpr double first = 420, next = 400;
    const auto pages = print::paginated(blocks, first, next);
    std::size_t i = 0;
    for (const auto& page : pages) {
      const double height = &page == &pages.front() ? first : next;
      double end = 0;
      RC_ASSERT(!page.empty());
      for (const auto& p : page) {
        RC_ASSERT(p.y >= end - 1e-9);
        end = p.y + p.block->height * p.scale;
        RC_ASSERT(end <= height + 1e-9);
        if (&p == &page.front() && i < blocks.size() && p.block == blocks[i].again.get()) continue; // the head again
        RC_ASSERT(p.block == &blocks[i]);
        ++i;
        // Shrunk only where no page is high enough.
        if (p.scale < 1) RC_ASSERT(p.block->height + (p.block->again ? 12 : 0) > next);
      }
    }
    RC_ASSERT(i == blocks.size());
  }));
}

TEST_CASE("no page ends with a heading and a table goes on under its head", "[pages]") {
  const auto block = [](double height, bool keeps) { return print::Block{height, 0, nullptr, keeps, nullptr, ""}; };
  print::Blocks blocks{block(380, false), block(15, true), block(10, true), block(40, false), block(300, false)};
  blocks[4].again = std::make_shared<const print::Block>(blocks[2]);
  const auto pages = print::paginated(blocks, 400, 340);
  REQUIRE(pages.size() == 3);
  CHECK(pages[0].size() == 1);
  CHECK(pages[1].size() == 3);
  REQUIRE(pages[2].size() == 2);
  CHECK(pages[2][0].block == blocks[4].again.get());
  CHECK(pages[2][1].y == 10);
}

TEST_CASE("columns are read down and nearly level", "[pages]") {
  const auto blocks = print::Blocks(9, print::Block{10, 2, nullptr, false, nullptr, ""});
  CHECK(print::columns(blocks, 3, 300, 5).height == Approx(34).margin(1));
  CHECK(print::columns(blocks, 1, 300, 5).height == Approx(9 * 10 + 8 * 2));
}

TEST_CASE("a cell's words break inside it whatever their length", "[table]") {
  REQUIRE(print::fonts_ready());
  const print::Press press(false);
  print::Table t;
  t.columns = {{"T"}, {"Tool", {}, true}, {"Speed"}};
  t.rows = {{"T1", std::string(400, 'x'), "300 m/min"}, {"", "", ""}};
  const auto rows = print::table(press, t, 200);
  REQUIRE(rows.size() == 3);
  CHECK(rows[1].height > 8 * rows[2].height);
  CHECK(rows[1].again->height == rows[0].height);
  CHECK(rows[0].keeps_next);
  CHECK_FALSE(rows[2].keeps_next);
  t.columns[1].wraps = false; // nothing that gives way by itself
  CHECK(print::table(press, t, 200)[1].height > 8 * rows[2].height);
  t.rows = {{"", "", ""}};
  for (auto& c : t.columns) c.head.clear();
  CHECK(print::table(press, t, 200).size() == 1);
}

TEST_CASE("a character of a script of its own is looked for in all fonts", "[text]") {
  REQUIRE(print::fonts_ready());
  const print::Press press(false);
  const print::Paragraph known(press, {{"Ω ⌀ ± − × · •", {}}});
  CHECK_FALSE(press.lacking());
  const print::Paragraph unknown(press, {{"\xe6\x97\xa5\xe6\x9c\xac", {}}});
  CHECK(press.lacking());
  auto t = simple();
  t.job = "\xe6\x97\xa5\xe6\x9c\xac \xff";
  CHECK(print::to_pdf(t, Paper::a4, {}));
}

TEST_CASE("the same traveller gives the same bytes on any thread", "[pdf]") {
  auto t = simple();
  SetupSheet setup;
  setup.title = "one", setup.facts = {{"stock", "5 mm", "bar"}}, setup.order = {"clamp"};
  setup.tools.emplace_back().name = "bar";
  t.setups = {setup};
  t.section = Picture{"s", {{0, 0, 20, 10}, "s"}};
  t.section->figure.words({{0, 5}, "words", 3});
  t.section->figure.shape(figure::Path().circle({10, 5}, 4), figure::Fill{{}, 0.5, figure::Hatching{2, 0.1}});
  const auto once = print::to_pdf(t, Paper::a4, {});
  REQUIRE(once);
  std::vector<std::future<Result<std::string>>> more;
  for (int i = 0; i < 4; ++i)
    more.push_back(std::async(std::launch::async, [&] { return print::to_pdf(t, Paper::a4, {}); }));
  for (auto& m : more) CHECK(*m.get() == *once);
  CHECK(*print::to_pdf(t, Paper::letter, {}) != *once);
}

TEST_CASE("a page of somebody else's keeps its size and is painted in points", "[pdf]") {
  double scale = 0;
  const Sheet sheet{"a sheet", 297, 210, 10, [&](cairo_t* c) {
                      double none = 0;
                      scale = 1;
                      cairo_user_to_device_distance(c, &scale, &none);
                    }};
  const auto pdf = print::to_pdf(simple(), Paper::a4, {sheet});
  REQUIRE(pdf);
  CHECK(scale == Approx(1)); // a PDF's unit is 1/72 inch (ISO 32000-1, 8.3.2.3)
  CHECK(pdf->find("/MediaBox [ 0 0 841.889764 595.275591 ]") != std::string::npos);
}

TEST_CASE("a figure that shows nothing stops the job", "[pdf]") {
  auto t = simple();
  t.section = Picture{"s", {}};
  CHECK_THROWS_AS(print::to_pdf(t, Paper::a4, {}), std::logic_error);
}
