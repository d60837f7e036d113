// A whole insert whose two programs were written by hand, in both dialects, with figures worked out by hand, and every
// kind of failure provoked in it.
#include "chamber/turning/prove.hpp"
#include "chamber/units/quantity.hpp"
#include <algorithm>
#include <catch2/catch.hpp>

using namespace chamber;
using namespace chamber::turning;
using profile::Kind;
using profile::line;
using profile::P;

namespace {

struct Words {
  std::string dialect, head, feed, thread, lead;
};
const Words rs274{"rs274", "%\nO1\nG18\nG7\nG21\nG40 G80 G90\nG54\nG97 S500\n", "G95\n", "G33", "K"};
const Words type_a{"type-a", "%\nO1\nG21\nG40 G80\nG54\nG97 S500\n", "G99\n", "G32", "F"};

const std::string home = "G0 Z80.\nG0 X120.\n";

std::string xz(double x_diameter, double z) {
  return " X" + units::fixed(x_diameter, 3) + " Z" + units::fixed(z, 3);
}
std::string go(double x, double z) {
  return "G0" + xz(x, z) + "\n";
}
std::string cut(double x, double z, const std::string& f = "") {
  return "G1" + xz(x, z) + f + "\n";
}

std::string call(const Words& w, int tool, bool constant) {
  const auto n = std::to_string(tool);
  std::string out = w.dialect == "rs274" ? "T" + n + " M6 G43\n" : "T0" + n + "0" + n + "\n";
  if (!constant)
    out += "G97 S1000 M3\n";
  else
    out += w.dialect == "rs274" ? "G96 D2000 S150 M3\n" : "G50 S2000\nG96 S150 M3\n";
  return out + w.feed;
}
std::string done(bool constant) {
  return home + (constant ? "G97 S500\n" : "") + "M5\n";
}

/// Cup 40 mm across and 6 mm deep with a bottom round of 0.4 mm; flange 60 x 8 mm, top 48 mm across, 20 mm high; a
/// groove round the flange, one in the sealing face; M14x1.25 through.
Work insert() {
  Work w;
  w.chamber = {line(P{20, 0}, P{20, 5.6}), profile::arc(Kind::ccw, P{20, 5.6}, P{19.6, 6}, P{19.6, 5.6}, 0.4),
               line(P{19.6, 6}, P{0, 6})};
  w.plug_hole_radius_mm = 12.647 / 2; // M14x1.25 6H minor, low limit (ISO 965-1)
  w.height_mm = 20;
  w.outside = {line(P{20, 0}, P{30, 0}), line(P{30, 0}, P{30, 8}), line(P{30, 8}, P{24, 8}), line(P{24, 8}, P{24, 20}),
               line(P{24, 20}, P{12.647 / 2, 20})};
  w.grooves = {{"flange groove", false, 28, 30, 3, 5}, {"face groove", true, 23, 25.5, 0, 1.5}};
  w.thread = {"M14x1.25", 14, 1.25, 12.647, 12.912};
  return w;
}

std::vector<Tool> tools() {
  auto t = example_whole_tools();
  t[0].max_depth_mm = 30; // drills in one stroke
  t[1].max_depth_mm = 1.5;
  return t;
}

struct Both {
  std::string first, second;
};

Both programs(const Words& w) {
  Both b;
  b.first = w.head + home;
  // Face 1 mm off, then the flange, 1 mm deep, to 9 mm.
  b.first += call(w, 4, true) + go(66, 2) + go(66, 0) + cut(-0.8, 0, " F0.1") + go(-0.8, 2) + go(60, 2) + cut(60, -9) +
             cut(64, -9) + go(64, 2) + done(true);
  b.first += call(w, 1, false) + go(0, 2) + cut(0, -28, " F0.1") + go(0, 2) + done(false);
  b.first += call(w, 2, true);
  for (int k = 1; k <= 24; ++k) {
    const double x = std::min(40.0, 12 + 1.2 * k);
    b.first += go(x, 2) + cut(x, k < 24 ? -5.8 : -6, k == 1 ? " F0.1" : "");
    if (k < 24) b.first += go(x - 0.2, -5.5) + go(x - 0.2, 2);
  }
  b.first += cut(11.6, -6) + go(11.6, 2) + done(true);
  b.first += call(w, 6, true) + go(46, 2) + cut(46, -1.5, " F0.05") + go(46, 2) + done(true);
  b.first += call(w, 5, true) + go(66, 2) + go(66, -5) + cut(56, -5, " F0.05") + go(66, -5) + done(true);
  b.first += "M30\n%\n";

  b.second = w.head + home;
  b.second += call(w, 4, true) + go(66, 5) + go(66, 1.5) + cut(10, 1.5, " F0.1") + go(10, 5) + go(66, 5) + go(66, 0) +
              cut(10, 0) + go(10, 2);
  for (const double x : {58.5, 55.0, 51.5}) b.second += go(x, 2) + cut(x, -11.9) + cut(x + 4, -11.9) + go(x + 4, 2);
  b.second += go(48, 2) + cut(48, -12) + cut(64, -12) + go(64, 2) + done(true);
  b.second += call(w, 7, false) + go(12, 4);
  for (const double x : {13.0, 13.3, 13.6, 13.8, 14.0})
    b.second += go(x, 4) + w.thread + xz(x, -15) + " " + w.lead + "1.25\n" + go(12, -15) + go(12, 4);
  b.second += done(false) + "M30\n%\n";
  return b;
}

/// Everything that goes into a proof, to be spoilt.
struct Case {
  Words words = rs274;
  Work work = insert();
  std::vector<Tool> tools = ::tools();
  Both text;
  Clamping first, second;

  explicit Case(const Words& w = rs274) : words(w), text(programs(w)) {
    first = {Side::chamber, 1, 24, 62, 0, 15, 62, false, false, 0, 0};
    second = {Side::top, 3, 23, 62, 12.7, 13, 60, true, false, 0, 0};
  }

  std::vector<Run> runs() const {
    Machine machine;
    machine.dialect = words.dialect;
    std::vector<Run> out;
    for (const auto& [t, c] : {std::pair{&text.first, &first}, std::pair{&text.second, &second}}) {
      const auto program = read(*t, machine);
      if (!program) UNSCOPED_INFO(to_text(program.error().front()));
      REQUIRE(program);
      out.push_back({*program, *c});
    }
    return out;
  }
  Proof proof() const {
    Machine lathe;
    lathe.change_z_mm = 80; // as the texts have it
    return prove(runs(), work, tools, lathe);
  }
};

void replace(std::string& text, std::string_view from, std::string_view to) {
  const auto at = text.find(from);
  INFO(from);
  REQUIRE(at != std::string::npos);
  text.replace(at, from.size(), to);
}

/// A failure of that kind is found, its message holds the words.
void fails(const Case& c, FailureKind kind, std::string_view words, int run = -1) {
  const auto proof = c.proof();
  bool found = false, cured = true;
  for (const auto& f : proof.failures) {
    UNSCOPED_INFO(name(f.kind) << ": " << f.message);
    cured = cured && !f.cure.empty();
    found = found || (f.kind == kind && f.message.find(words) != std::string::npos && (run < 0 || f.run == run));
  }
  INFO(words);
  CHECK((found && cured));
}

void passes(const Case& c) {
  const auto proof = c.proof();
  for (const auto& f : proof.failures) UNSCOPED_INFO(name(f.kind) << ": " << f.message);
  CHECK(proof.passed());
}

} // namespace

TEST_CASE("a whole insert by hand is cut as worked out by hand, in both dialects") {
  for (const auto& words : {rs274, type_a}) {
    INFO(words.dialect);
    const auto proof = Case(words).proof();
    for (const auto& f : proof.failures) UNSCOPED_INFO(f.message);
    CHECK(proof.passed());
    // The cylinder less the ring its bottom round leaves: section (1 - pi/4) R^2, first moment about the corner
    // (5/6 - pi/4) R^3 (Pappus).
    constexpr double pi = units::pi, r = 0.4;
    const double by_hand =
        (pi * 400 * 6 - 2 * pi * ((1 - pi / 4) * r * r * 20 - (5.0 / 6 - pi / 4) * r * r * r)) / 1000;
    CHECK(proof.volume_left_cc == Approx(by_hand).margin(1e-7));
    CHECK(proof.largest_gouge_mm < 1e-9);
    CHECK(proof.largest_left_mm < 1e-9);
    REQUIRE(proof.calls.size() == 7);
    // Drill: 30 mm at 0.1 mm x 1000 rpm = 18 s; rapids from X120 Z80 to X0 Z2, 30 mm back, 78 and 60 mm home.
    CHECK(proof.calls[1].time_s == Approx(18 + (std::hypot(60, 78) + 30 + 78 + 60) / 5000 * 60).epsilon(1e-6));
    // The flange: 1 mm; the face as deep. The top: 1.75 mm a pass.
    CHECK(proof.calls[0].deepest_cut_mm == Approx(1).margin(0.05));
    CHECK(proof.calls[5].deepest_cut_mm == Approx(1.75).margin(0.05));
    // Thread: five passes of 19 mm at 1.25 mm x 1000 rpm.
    CHECK(proof.calls[6].time_s > 5 * 19 / 1250.0 * 60);
    CHECK(proof.calls[6].run == 1);
    CHECK(proof.calls[6].call == 2);
  }
}

TEST_CASE("what is cut too deep or left anywhere on the insert has the size it has") {
  struct Slip {
    int run;
    std::string_view from, to;
    FailureKind kind;
    double mm;
  };
  for (const auto& slip : {
           Slip{0, "G0 X60.000 Z2.000\nG1 X60.000", "G0 X59.940 Z2.000\nG1 X59.940", FailureKind::gouge,
                0.03}, // flange
           Slip{0, "G0 X60.000 Z2.000\nG1 X60.000", "G0 X60.060 Z2.000\nG1 X60.060", FailureKind::metal_left, 0.03}, //
           Slip{0, "G1 X46.000 Z-1.5", "G1 X46.000 Z-1.53", FailureKind::gouge, 0.03}, // face groove's floor
           Slip{0, "G1 X46.000 Z-1.5", "G1 X46.000 Z-1.47", FailureKind::metal_left, 0.03},
           Slip{0, "G0 X46.000 Z2.000\nG1 X46.000", "G0 X46.060 Z2.000\nG1 X46.060", FailureKind::gouge, 0.03}, // wall
           Slip{0, "G1 X56.000 Z-5", "G1 X55.940 Z-5", FailureKind::gouge, 0.03}, // flange groove's floor
           Slip{0, "Z-5.000\nG1 X56.000 Z-5.000", "Z-5.030\nG1 X56.000 Z-5.030", FailureKind::gouge, 0.03}, // wall
           Slip{0, "Z0.000\nG1 X-0.800 Z0.000", "Z0.030\nG1 X-0.800 Z0.030", FailureKind::metal_left,
                0.03}, // sealing face
           Slip{1, "Z0.000\nG1 X10.000 Z0.000", "Z-0.030\nG1 X10.000 Z-0.030", FailureKind::gouge, 0.03}, // top
           Slip{1, "G0 X48.000 Z2.000\nG1 X48.000 Z-12", "G0 X47.940 Z2.000\nG1 X47.940 Z-12", FailureKind::gouge,
                0.03},                                                                          // top's step
           Slip{1, "G1 X64.000 Z-12.000", "G1 X58.000 Z-12.000", FailureKind::metal_left, 0.1}, // shoulder, half of it
       }) {
    Case c;
    auto& text = slip.run == 0 ? c.text.first : c.text.second;
    // Where the approach names the same place it moves along.
    replace(text, slip.from, slip.to);
    INFO(slip.from << " -> " << slip.to);
    const auto proof = c.proof();
    CHECK(
        std::any_of(proof.failures.begin(), proof.failures.end(), [&](const auto& f) { return f.kind == slip.kind; }));
    const double figure = slip.kind == FailureKind::gouge ? proof.largest_gouge_mm : proof.largest_left_mm;
    CHECK(figure == Approx(slip.mm).margin(1e-6));
    if (slip.kind == FailureKind::gouge) CHECK(proof.gouge_run == slip.run);
  }
}

TEST_CASE("jaws and mandrel stay untouched") {
  Case c;
  c.second.jaws_mm = 11.5;
  fails(c, FailureKind::chuck_contact, "into the jaws", 1);
  Case first;
  first.first.jaws_mm = 4;
  fails(first, FailureKind::chuck_contact, "tool 5", 0); // the blade, which is wider than where it cuts
  Case mandrel;
  mandrel.second.jaws_mm = 0;
  mandrel.second.mandrel = true;
  mandrel.second.mandrel_mm = 14;
  mandrel.second.mandrel_end_mm = 3;
  fails(mandrel, FailureKind::chuck_contact, "into the mandrel", 1);
  mandrel.second.mandrel_end_mm = 16;
  passes(mandrel);
}

TEST_CASE("a thread is cut as drawn or not at all") {
  const auto spoilt = [](std::string_view from, std::string_view to, std::string_view words) {
    Case c;
    for (auto at = c.text.second.find(from); at != std::string::npos; at = c.text.second.find(from, at + to.size()))
      c.text.second.replace(at, from.size(), to);
    REQUIRE(c.text.second != Case().text.second);
    fails(c, FailureKind::thread, words, 1);
  };
  spoilt("K1.25", "K1.5", "a lead of 1.5");
  spoilt("G0 X12.000 Z4.000\nG0 X13.000 Z4.000\nG33 X13.000 Z-15.000",
         "G0 X12.000 Z4.000\nG0 X13.000 Z4.100\nG33 X13.000 Z-15.000", "begins at another Z");
  spoilt("Z-15.000", "Z-14.500", "has to come to");
  spoilt("X14.000", "X13.900", "the last pass cuts to diameter 13.900");
  spoilt("X14.000", "X14.060", "the last pass cuts to diameter 14.060");
  spoilt("X13.000", "X12.700", "deeper");
  spoilt("Z4.000", "Z2.000", "a run-in");
  spoilt("G33 X14.000 Z-15.000", "G33 X14.010 Z-15.000", "not parallel");
  spoilt("G97 S1000 M3", "G97 S1000 M4", "left-handed");
  Case missing;
  auto& text = missing.text.second;
  text.replace(text.find("T7 M6"), text.find("M30") - text.find("T7 M6"), "");
  fails(missing, FailureKind::thread, "no program cuts the thread");
  Case small;
  small.tools[0].diameter_mm = 12.5;
  fails(small, FailureKind::thread, "the hole is 12.500 mm across");
  Case none;
  none.work.thread = {};
  fails(none, FailureKind::thread, "does not have");
  Case step;
  replace(step.text.second, "G33 X13.300", "G1 F0.1 X13.300");
  step.text.second.replace(step.text.second.find("G1 F0.1 X13.300 Z-15.000 K1.25"), 30,
                           "G1 F0.1 X13.300 Z-15.000      ");
  fails(step, FailureKind::thread, "out of step");
  Case stays;
  replace(stays.text.second, "G33 X14.000 Z-15.000 K1.25\nG0 X12.000 Z-15.000\n", "G33 X14.000 Z-15.000 K1.25\n");
  fails(stays, FailureKind::rapid_through_metal, "tool 7", 1);
  Case fat;
  fat.tools[6].min_bore_mm = 13;
  fails(fat, FailureKind::bar_contact, "tool 7", 1);
}

TEST_CASE("a tap goes through, and comes out in step") {
  for (const auto& words : {rs274, type_a}) {
    Case c(words);
    Tool tap;
    tap.number = 8;
    tap.kind = ToolKind::tap;
    tap.diameter_mm = 14;
    tap.pitch_mm = 1.25;
    tap.chamfer_mm = 2;
    tap.reach_mm = 60;
    tap.cutting_speed_m_per_min = 50;
    tap.feed_mm_per_rev = 1.25;
    c.tools.push_back(tap);
    auto& text = c.text.second;
    const bool a = words.dialect == "type-a";
    const std::string motion = a ? "G32 X0. Z-17. F1.25\nM5\nM4\nG32 X0. Z4. F1.25\n" : "G33.1 X0. Z-17. K1.25\n";
    const auto from = text.find(a ? "T0707" : "T7 M6");
    text.replace(from, text.find("M30") - from, call(words, 8, false) + go(0, 4) + motion + done(false));
    passes(c);
    const auto spoilt = [&](std::string_view was, std::string_view is, std::string_view what) {
      Case d = c;
      replace(d.text.second, was, is);
      fails(d, FailureKind::thread, what, 1);
    };
    spoilt("Z-17.", "Z-16.", "with its chamfer");
    if (a) spoilt("G32 X0. Z4. F1.25", "G32 X0. Z3. F1.25", "does not come back out");
    c.tools.back().pitch_mm = 1.5;
    fails(c, FailureKind::thread, "tap 8 is 14x1.5", 1);
  }
}

TEST_CASE("every other kind of failure is found where it is") {
  Case c;
  c.tools[4].max_depth_mm = 1.5;
  fails(c, FailureKind::bar_contact, "holder of tool 5", 0);
  c = Case();
  c.tools[5].face_min_mm = 60;
  fails(c, FailureKind::bar_contact, "rubs", 0);
  c = Case();
  c.tools[5].max_depth_mm = 1;
  fails(c, FailureKind::bar_contact, "holder of tool 6", 0);
  c = Case();
  replace(c.text.first, "G1 X56.000 Z-5.000", "G1 X56.000 Z-4.800");
  fails(c, FailureKind::bar_contact, "aslant", 0);
  c = Case();
  replace(c.text.second, "G1 X58.500 Z-11.9", "G0 X58.500 Z-11.9");
  fails(c, FailureKind::rapid_through_metal, "tool 4", 1);
  // The raw end that the first clamping left stands 3 mm in front of the top.
  c = Case();
  replace(c.text.second, "G1 X10.000 Z1.500 F0.1", "G0 X10.000 Z1.500");
  replace(c.text.second, "G1 X10.000 Z0.000", "G1 X10.000 Z0.000 F0.1");
  fails(c, FailureKind::rapid_through_metal, "1.500 mm into metal", 1);
  c = Case();
  replace(c.text.first, "G1 X56.000 Z-5.000 F0.05\nG0", "G0 X56.000 Z-5.000\nG0");
  fails(c, FailureKind::rapid_through_metal, "tool 5", 0);
  c = Case();
  replace(c.text.second, "G0 X55.000 Z2.000\nG1 X55.000 Z-11.900\nG1 X59.000 Z-11.900\nG0 X59.000 Z2.000\n", "");
  fails(c, FailureKind::depth, "tool 4", 1);
  c = Case();
  replace(c.text.first, "T5 M6", "T9 M6");
  fails(c, FailureKind::unknown_tool, "tool 9", 0);
  c = Case();
  c.tools[4].orientation = 3;
  fails(c, FailureKind::unknown_tool, "tool 5", 0);
  c = Case();
  replace(c.text.first, "G1 X0.000 Z-28", "G1 X0.100 Z-28");
  fails(c, FailureKind::drill_off_centre, "tool 1", 0);
  c = Case();
  replace(c.text.first, "G1 X0.000 Z-28", "G1 X0.000 Z-26");
  fails(c, FailureKind::pilot, "drill 1", 0);
  c = Case();
  c.tools[0].reach_mm = 20;
  fails(c, FailureKind::bar_contact, "tool 1", 0);
  c = Case();
  replace(c.text.first, "G0 Z80.\n", "G0 Z0.5\n");
  replace(c.text.first, "G0 Z0.5\nG0 X120.\nT4", "G0 Z0.5\nG0 X120.\nG0 Z80.\nT4");
  fails(c, FailureKind::unsafe_start, "first motion", 0);
  c = Case();
  c.tools[3].end_edge_angle_deg = -3;
  fails(c, FailureKind::gouge, "end edge", 1);
  c = Case();
  c.work.chamber[1].radius = 0.5; // the drawing wants a larger round than was cut
  c.work.chamber = {line(P{20, 0}, P{20, 5.5}), profile::arc(Kind::ccw, P{20, 5.5}, P{19.5, 6}, P{19.5, 5.5}, 0.5),
                    line(P{19.5, 6}, P{0, 6})};
  fails(c, FailureKind::gouge, "beyond the profile", 0);
  c = Case();
  c.work.grooves[0].z_high_mm = 9;
  fails(c, FailureKind::metal_left, "lies on no face");
}

TEST_CASE("a trial in the air stays clear, the program itself does not") {
  Case c;
  const auto lifted = [&](double by) {
    // Every Z but the change position's.
    std::string out;
    std::string_view rest = c.text.first;
    while (!rest.empty()) {
      const auto line = rest.substr(0, rest.find('\n') + 1);
      rest.remove_prefix(line.size());
      const auto at = line.find(" Z");
      if (at == std::string_view::npos || line.find("Z80.") != std::string_view::npos) {
        out += line;
        continue;
      }
      out += std::string(line.substr(0, at + 2)) + units::fixed(std::stod(std::string(line.substr(at + 2))) + by, 3);
      out += line.substr(std::min(line.find_first_of(" \n", at + 2), line.size()));
    }
    Case d = c;
    d.text.first = out;
    return d.runs()[0];
  };
  // The drill reaches Z-28, the raw face is at Z1.
  CHECK(prove_in_air(lifted(50), c.tools, Machine{}, 20).empty());
  const auto near = prove_in_air(lifted(48), c.tools, Machine{}, 20);
  REQUIRE(near.size() == 2); // in and out
  CHECK(near[0].message.find("tool 1 comes within 19.00 mm") != std::string::npos);
  CHECK(prove_in_air(c.runs()[0], c.tools, Machine{}, 20).size() > 5);
}

TEST_CASE("every step has its picture, small and with its tool's number") {
  const Case c;
  std::vector<StepPicture> pictures;
  prove(c.runs(), c.work, c.tools, Machine{}, &pictures);
  REQUIRE(pictures.size() == 7);
  const int tools[] = {4, 1, 2, 6, 5, 4, 7};
  for (std::size_t i = 0; i < pictures.size(); ++i) {
    const auto svg = figure::to_svg(pictures[i].figure);
    CHECK(pictures[i].run == (i < 5 ? 0 : 1));
    CHECK(svg.size() < 60000);
    CHECK(svg.find("T" + std::to_string(tools[i]) + " ") != std::string::npos);
    CHECK(svg.rfind("</svg>\n") == svg.size() - 7);
    CHECK(svg.find("nan") == std::string::npos);
  }
  // The drill leaves a hole 12.7 mm across, drawn to the columns of 0.02 mm.
  const auto drilled = figure::to_svg(pictures[1].figure);
  CHECK((drilled.find(" -6.34") != std::string::npos || drilled.find(" -6.36") != std::string::npos));
}
