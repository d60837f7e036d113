// The reader: a program written by hand with its meaning worked out by hand, what it must refuse, hostile text.
#include "chamber/turning/read.hpp"
#include "whole_samples.hpp"
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
  const auto r = read(text, Machine{});
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
  const auto r = read(hand, Machine{});
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
                      "G0 X0.5 Z0.1\nG1 X0.5 Z-1. F0.01\nG0 X0.5 Z2.\nG0 X4.\nM5\nM30\n%\n",
                      Machine{});
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
  refused(with("G1 X10. Z-10.", "G41.1 X10. Z-10."), "G41.1 has no place");
  refused(with("G1 X10. Z-10.", "G1 U-5. Z-10."), "the word U");
  refused(with("G1 X10. Z-10.", "G1 X10. Z-10. (HOME)"), "beside words");
  refused(with("(JOB: BY HAND)", "(JOB (BY HAND))"), "nested");
  refused(with("(JOB: BY HAND)", "(MSG, BY HAND)"), "act on");
  refused(with("X30. Z-5. I-5. K0.", "X40. Z0. I-5. K0."), "full circle");
}

namespace {

const std::string hand_a =
    "%\nO1001\nG21\nG40 G80\nG54\nG97 S500\nG0 Z50.\nG0 X100.\nT0202\nG50 S2000\nG96 S150 M3\nM8\nG99\n"
    "G0 X40. Z2.\nG1 X40. Z0. F0.15\nG3 X30. Z-5. I-5. K0.\nG0 X12. Z4.\nG97 S800\n"
    "G32 X12. Z-20. F1.25\nG0 X10. Z-20.\nG1 X10. Z-21. F0.1\nG0 X10. Z50.\nG0 X100.\nM9\nM5\n"
    "M0\nM30\n%\n";

Machine type_a() {
  Machine m;
  m.dialect = "type-a";
  return m;
}

void refused_a(std::string_view from, std::string_view to, std::string_view what, int line = 0) {
  std::string text = hand_a;
  const auto at = text.find(from);
  REQUIRE(at != std::string::npos);
  const auto r = read(text.replace(at, from.size(), to), type_a());
  INFO(to << ": " << what);
  REQUIRE_FALSE(r);
  bool found = false;
  for (const auto& p : r.error()) {
    UNSCOPED_INFO(to_text(p));
    found = found || (p.message.find(what) != std::string::npos && (line == 0 || p.place.line == line));
  }
  CHECK(found);
}

} // namespace

TEST_CASE("a type-A program by hand is read as it is meant") {
  const auto r = read(hand_a, type_a());
  REQUIRE(r);
  CHECK(r->number == 1001);
  CHECK(r->diameter);
  CHECK(r->stops == std::vector<int>{26});
  const auto& m = r->motions;
  REQUIRE(m.size() == 11);
  CHECK(m[3].tool == 2);
  CHECK(m[3].call == 1);
  CHECK(m[3].constant_speed);
  CHECK(m[3].clamp_rpm == 2000);
  CHECK(m[4].kind == MotionKind::arc_ccw);
  CHECK(m[6].kind == MotionKind::thread);
  CHECK(m[6].feed_mm_per_rev == Approx(1.25));
  CHECK(m[6].to.x == Approx(6));
  CHECK_FALSE(m[6].constant_speed);
  CHECK(m[8].feed_mm_per_rev == Approx(0.1));

  auto machine = type_a();
  machine.diameter_mode = false;
  auto straight = hand_a;
  straight.replace(straight.find("G3 X30. Z-5. I-5. K0."), 21, "G1 X30. Z-5.");
  CHECK(read(straight, machine).value().motions[2].to.x == Approx(40));
  // At a front toolpost, seen from above, the same word turns the other way; in the axes it is the other arc.
  machine = type_a();
  machine.toolpost = Toolpost::front;
  machine.arcs_from_above = true;
  CHECK(read(hand_a, machine).value().motions[4].kind == MotionKind::arc_cw);
  machine.dialect = "type-z";
  CHECK_FALSE(read(hand_a, machine));
}

TEST_CASE("the type-A reader refuses what means something else there") {
  refused_a("G50 S2000\n", "", "G96 without a clamp", 10);
  refused_a("T0202", "T0203", "offset is not its tool's", 9);
  refused_a("T0202", "T2 M6 G43", "M6 has no place", 9);
  refused_a("T0202", "T0202 M8", "beside others", 9);
  refused_a("G99", "G98", "feed per minute", 13);
  refused_a("G99", "G95", "no feed mode", 13);
  refused_a("G99\n", "", "F before G99");
  refused_a("G40 G80", "G40 G80 G90", "turning cycle", 4);
  refused_a("G21\n", "G18\nG21\n", "G18", 3);
  refused_a("G21\n", "G7\nG21\n", "G7 does not say", 3);
  refused_a("G32 X12. Z-20. F1.25", "G33 X12. Z-20. K1.25", "G33 is no thread", 19);
  refused_a("G32 X12. Z-20. F1.25", "G92 X12. Z-20. F1.25", "threading cycle", 19);
  refused_a("G32 X12. Z-20. F1.25", "G32 X12. Z-20.", "without a lead", 19);
  refused_a("G32 X12. Z-20. F1.25", "G32 X12. Z-20. F12.5", "without a lead", 19);
  refused_a("G97 S800\n", "", "a thread under G96", 18);
  refused_a("Z-21. F0.1", "Z-21.", "last thread", 21); // the lead is no feed
  refused_a("G1 X40. Z0.", "G1 U40. Z0.", "the word U", 15);
  refused_a("S150 M3", "S150 M4", "turning backwards", 15);
  refused_a("M5\nM0", "M0\nM5", "M0 with the spindle turning", 25);
  refused_a("G0 X10. Z50.\nG0 X100.\nM9\nM5\nM0", "M9\nM5\nM0\nG0 X10. Z50.\nG0 X100.", "M0 with the tool at the work");
  refused_a("M30", "M3\nM4\nM5\nM30", "turned round while it runs");
  refused_a("G1 X40. Z0. F0.15", "G41\nG1 X40. Z0. F0.15", "a rapid or a thread under nose compensation");
  refused_a("G1 X40. Z0. F0.15\n", "G1 X40. Z0. F0.15\nG41\n", "goes on or off with an arc");
}

TEST_CASE("several problems are reported at once, each with its line") {
  std::string text = with("G96 D2000 S150 M3", "G96 S150 M3");
  text.replace(text.find("G1 X10."), 7, "G1 Q10.");
  const auto r = read(text, Machine{});
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
    const auto r = read(text, Machine{});
    REQUIRE_FALSE(r);
    CHECK(r.error().size() <= 50);
  }
}

TEST_CASE("random bytes and mangled programs never crash reader or proof") {
  for (const auto dialect : {"rs274", "type-a"}) {
    auto job = samples::whole_job(shapes::Family::spherical);
    job.machine.dialect = dialect;
    job.nose_by_control = dialect[0] == 't';
    const auto p = plan(job).value();
    std::vector<std::string> texts;
    std::vector<Run> runs;
    for (std::size_t i = 0; i < p.setups.size(); ++i) {
      texts.push_back(write(p, i, job.machine));
      runs.push_back({read(texts.back(), job.machine).value(), p.setups[i].clamping});
    }
    const auto work = samples::work_of(job, p);
    rc::prop(std::string("mangled ") + dialect, [&] {
      const auto side = *rc::gen::inRange<std::size_t>(0, texts.size());
      std::string s = texts[side];
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
      if (const auto program = read(s, job.machine)) {
        auto with = runs;
        with[side].program = *program;
        std::vector<StepPicture> pictures;
        const auto proof = prove(with, work, job.tools, job.machine, &pictures);
        RC_ASSERT(proof.failures.size() <= 50u);
        RC_ASSERT(std::isfinite(proof.volume_left_cc));
        prove_in_air(with[side], job.tools, job.machine, 5);
      }
    });
  }
}

TEST_CASE("rs274's threads are read: passes, and a rigid tap that comes back by itself") {
  const auto r =
      read(with("G1 X10. Z-10.\n", "G0 X0. Z4.\nG97 S300\nG33 X0. Z-8. K1.5\nG33.1 X0. Z-20. K1.25\nG1 X10. Z-20.\n"),
           Machine{});
  REQUIRE(r);
  const auto& m = r->motions;
  REQUIRE(m.size() == 13);
  CHECK(m[7].kind == MotionKind::thread);
  CHECK(m[7].feed_mm_per_rev == Approx(1.5));
  CHECK_FALSE(m[7].backwards);
  CHECK(m[8].to.z == Approx(-20));
  CHECK_FALSE(m[8].backwards);
  CHECK(m[9].from.z == Approx(-20));
  CHECK(m[9].to.z == Approx(-8));
  CHECK(m[9].backwards);
  CHECK(m[10].from.z == Approx(-8));
  CHECK(m[10].feed_mm_per_rev == Approx(0.15));
  refused(with("G1 X10. Z-10.", "G32 X10. Z-10. F1.25"), "G32 is no thread", 20);
  refused(with("G1 X10. Z-10.", "G97 S9\nG33 X10. Z-10. F1.25"), "F on a thread", 21);
}
