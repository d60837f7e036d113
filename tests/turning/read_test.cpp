// The reader: a program written by hand with its meaning worked out by hand, what it must refuse, hostile text.
#include "chamber/turning/read.hpp"
#include "samples.hpp"
#include <catch2/catch.hpp>
#include <rapidcheck/catch.h>

using namespace chamber;
using namespace chamber::turning;

namespace {

const std::string hand = "%\n"
                         "O0042\n"
                         "(JOB: BY HAND)\n"
                         "G18\n"
                         "G7\n"
                         "G21\n"
                         "G40 G80 G90\n"
                         "G54\n"
                         "G97 S500\n"
                         "G0 Z50.\n"
                         "G0 X100.\n"
                         "T2 M6 G43\n"
                         "G96 D2000 S150 M3\n"
                         "M8\n"
                         "G95\n"
                         "G0 X40. Z2.\n"
                         "G1 X40. Z0. F0.15\n"
                         "G3 X30. Z-5. I-5. K0.\n"
                         "G2 X20. Z-10. I0. K-5.\n"
                         "G1 X10. Z-10.\n"
                         "G0 X10. Z50.\n"
                         "G0 X100.\n"
                         "G97 S500\n"
                         "M9\n"
                         "M5\n"
                         "M30\n"
                         "%\n";

std::string with(std::string_view from, std::string_view to) {
  std::string text = hand;
  const auto at = text.find(from);
  REQUIRE(at != std::string::npos);
  return text.replace(at, from.size(), to);
}

void refused(const std::string& text, std::string_view what, int line = 0) {
  const auto r = read(text);
  INFO(what);
  REQUIRE_FALSE(r);
  bool found = false;
  for (const auto& p : r.error()) {
    UNSCOPED_INFO(to_text(p));
    CHECK_FALSE(p.cure.empty());
    found = found || (p.message.find(what) != std::string::npos && (line == 0 || p.place.line == line));
  }
  CHECK(found);
}

} // namespace

TEST_CASE("a program by hand is read as it is meant") {
  const auto r = read(hand);
  REQUIRE(r);
  CHECK(r->number == 42);
  CHECK(r->diameter);
  CHECK_FALSE(r->inch);
  REQUIRE(r->motions.size() == 9);
  const auto& m = r->motions;
  CHECK_FALSE(m[0].from_known);
  CHECK_FALSE(m[1].from_known);
  CHECK(m[2].line == 16);
  CHECK(m[2].kind == MotionKind::rapid);
  CHECK(m[2].tool == 2);
  CHECK(m[2].to.x == Approx(20)); // 40 is a diameter
  CHECK(m[2].to.z == Approx(2));
  CHECK(m[3].kind == MotionKind::line);
  CHECK(m[3].feed_mm_per_rev == Approx(0.15));
  CHECK(m[3].constant_speed);
  CHECK(m[3].speed == Approx(150));
  CHECK(m[3].clamp_rpm == Approx(2000));
  // A quarter circle of 5 mm about (15, 0), I counted on the radius.
  CHECK(m[4].kind == MotionKind::arc_ccw);
  CHECK(m[4].from.x == Approx(20));
  CHECK(m[4].to.x == Approx(15));
  CHECK(m[4].to.z == Approx(-5));
  CHECK(m[4].centre.x == Approx(15));
  CHECK(m[4].centre.z == Approx(0).margin(1e-12));
  CHECK(m[4].radius == Approx(5));
  // And one about (15, -10) the other way round.
  CHECK(m[5].kind == MotionKind::arc_cw);
  CHECK(m[5].centre.x == Approx(15));
  CHECK(m[5].centre.z == Approx(-10));
  CHECK(m[6].to.x == Approx(5));
}

TEST_CASE("inches and radius words") {
  const auto r = read("%\nO1\nG18\nG8\nG20\nG40 G80 G90\nG54\nG97 S500\nG0 Z2.\nG0 X4.\nT1 M6 G43\nG97 S1000 M3\nG95\n"
                      "G0 X0.5 Z0.1\nG1 X0.5 Z-1. F0.01\nG0 X0.5 Z2.\nG0 X4.\nM5\nM30\n%\n");
  REQUIRE(r);
  CHECK_FALSE(r->diameter);
  CHECK(r->motions[3].to.x == Approx(12.7));
  CHECK(r->motions[3].to.z == Approx(-25.4));
  CHECK(r->motions[3].feed_mm_per_rev == Approx(0.254));
}

TEST_CASE("the reader refuses what a careful operator would") {
  refused(with("G96 D2000 S150 M3", "G96 S150 M3"), "without a clamp", 13);
  refused(with(" F0.15", ""), "without F", 17);
  refused(with("G95\n", ""), "F before G95", 16);
  refused(with("K0.", "K0.05"), "radii", 18);
  refused(with(" K-5.", ""), "without both I and K", 19);
  refused(with("G95", "G99"), "G98 and G99", 15);
  refused(with("G96 D2000", "G50 S2000 G96 D2000"), "two S words", 13);
  refused(with("G0 X40. Z2.", "G0 G1 X40. Z2."), "two motion words", 16);
  refused(with("X40. Z0.", "X40 Z0."), "no decimal point", 17);
  refused(with("%\nO0042", "O0042"), "before the first %");
  refused(with("M30\n%\n", "M30\n"), "not wrapped");
  refused(with("M30\n", ""), "M30");
  refused(with("G54\n", ""), "safe start");
  refused(with("G18\n", ""), "safe start");
  refused(with("G7\n", ""), "safe start");
  refused(with("G97 S500\nM9", "M9"), "under G96");
  refused(with("G97 S500\nG0", "G0"), "safe start");
  refused(with("M5\n", ""), "spindle turning");
  refused(with("M9\n", ""), "coolant on");
  refused(with(" M3", ""), "spindle still");
  refused(with("T2 M6 G43", "T2 M6"), "T, M6 and G43 together");
  refused(with("T2 M6 G43", "T0202"), "T, M6 and G43 together");
  refused(with("G0 Z50.\nG0 X100.\nT2", "G0 X100.\nG0 Z50.\nT2"), "Z alone");
  refused(with("G0 X10. Z50.\nG0 X100.\n", "G0 X10. Z50.\n"), "still at the work");
  refused(with("G1 X10. Z-10.", "G41 X10. Z-10."), "G41 has no place");
  refused(with("G1 X10. Z-10.", "G1 U-5. Z-10."), "the word U");
  refused(with("G1 X10. Z-10.", "G1 X10. Z-10. (HOME)"), "beside words");
  refused(with("(JOB: BY HAND)", "(JOB (BY HAND))"), "nested");
  refused(with("(JOB: BY HAND)", "(MSG, BY HAND)"), "act on");
  refused(with("X30. Z-5. I-5. K0.", "X40. Z0. I-5. K0."), "full circle");
}

TEST_CASE("several problems are reported at once, each with its line") {
  std::string text = with("G96 D2000 S150 M3", "G96 S150 M3");
  text.replace(text.find("G1 X10."), 7, "G1 Q10.");
  const auto r = read(text);
  REQUIRE_FALSE(r);
  CHECK(r.error().size() >= 2);
}

TEST_CASE("hostile text is refused, not crashed on") {
  for (const std::string& text :
       {std::string(), std::string("%"), std::string("%\n%\n"), std::string("%\n%\n%\n%\n"), std::string("\0\0\0", 3),
        std::string(300, 'X'), "%\nO1\n" + std::string(255, 'G') + "\n%\n", std::string("%\nO1\nX1e999\n%\n"),
        std::string("%\nO1\nG0 X999999999999999999999. Z1.\n%\n"), std::string("%\nO1\nG0 X-. Z.\n%\n"),
        std::string("%\nO1\nGnan\n%\n"), std::string("%\nO1\nG0 Xinf\n%\n"), std::string("%\nO1\n(((((((\n%\n"),
        std::string("%\nO1\nT99999 M6 G43\n%\n"), std::string(longest_text + 1, '\n'), std::string("%\n\xff\xfe\n%\n"),
        std::string("%\nO1\nM30\nM30\nG0\n%\n")}) {
    const auto r = read(text);
    REQUIRE_FALSE(r);
    CHECK(r.error().size() <= 50);
  }
}

TEST_CASE("random bytes and mangled programs never crash reader or proof") {
  const auto job = samples::job_of(shapes::Family::spherical);
  const auto p = plan(job).value();
  const auto text = write(p, job.machine);
  rc::prop("mangled", [&] {
    std::string s = text;
    const int n = *rc::gen::inRange(1, 6);
    for (int i = 0; i < n; ++i) {
      const auto at = *rc::gen::inRange<std::size_t>(0, s.size());
      switch (*rc::gen::inRange(0, 3)) {
      case 0:
        s[at] = *rc::gen::elementOf(std::string("0123456789.-GXZIKMFST%()\n \xff"));
        break;
      case 1:
        s.erase(at, *rc::gen::inRange<std::size_t>(1, 40));
        break;
      default:
        s.insert(at, s.substr(*rc::gen::inRange<std::size_t>(0, s.size()), 30));
        break;
      }
      if (s.empty()) s = "%";
    }
    if (const auto program = read(s)) {
      const auto proof = prove(*program, samples::part_of(job, p), job.tools, job.machine);
      RC_ASSERT(proof.failures.size() <= 50u);
      RC_ASSERT(std::isfinite(proof.volume_left_cc));
    }
  });
}
