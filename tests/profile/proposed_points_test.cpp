// Profiles given as points. Volumes are the handbook's or by hand (proposed_samples.hpp); nothing here comes from the
// reader's own figures.
#include "../processor_time.hpp"
#include "chamber/profile/distance.hpp"
#include "proposed_samples.hpp"
#include "random.hpp"
#include <catch2/catch.hpp>
#include <fmt/format.h>
#include <fstream>
#include <functional>
#include <rapidcheck/catch.h>
#include <streambuf>
#include <unistd.h>

using namespace chamber;
using namespace chamber::profile;
using namespace chamber::profile::testing;

namespace {

/// n chords of the spherical segment's meridian.
std::string sampled_segment(int n) {
  const auto s = spherical_segment()[0];
  std::string out = "r,z\n";
  for (int i = 0; i <= n; ++i) {
    const P p = point_at(s, static_cast<double>(i) / n);
    out += fmt::format("{:.9f},{:.9f}\n", p.r, p.z);
  }
  return out;
}

/// A text produced while it is read, so that its length costs no memory.
class Produced : public std::streambuf {
public:
  Produced(long count, std::function<std::string(long)> row) : count_(count), row_(std::move(row)) {}

protected:
  int_type underflow() override {
    if (next_ == count_) return traits_type::eof();
    text_.clear();
    for (int k = 0; k < 200 && next_ < count_; ++k) text_ += row_(next_++);
    setg(text_.data(), text_.data(), text_.data() + text_.size());
    return traits_type::to_int_type(*gptr());
  }

private:
  long count_, next_ = 0;
  std::function<std::string(long)> row_;
  std::string text_;
};

double resident_mb() {
  std::ifstream statm("/proc/self/statm");
  long all = 0, resident = 0;
  statm >> all >> resident;
  return static_cast<double>(resident * sysconf(_SC_PAGESIZE)) / 1e6;
}

#ifdef CHAMBER_SANITIZED
constexpr double longest_s = 30, most_mb = 400; // freed memory is kept aside for a while
#else
constexpr double longest_s = 3, most_mb = 10; // the points alone would be 16
#endif

/// The plain chamber's corners, typed by hand, its round left out: a frustum and cylinders only.
constexpr double corners_mm3 = pi * (33 * 33 * 0.8 + 10.0 / 3 * (24 * 24 + 24 * 12 + 12 * 12) + 64 * 2);

struct Typed {
  const char* what;
  const char* text;
};

} // namespace

TEST_CASE("points: handbook bodies converge at second order", "[proposed]") {
  double before = 0;
  for (const int n : {8, 16, 32, 64, 128, 256, 512}) {
    const auto p = points(sampled_segment(n));
    REQUIRE(p);
    const double error = segment_mm3 - volume(*p);
    CAPTURE(n, error);
    CHECK(error > 0); // chords lie inside a convex body
    if (before > 0) CHECK(before / error == Approx(4).epsilon(0.02));
    before = error;
  }
  CHECK(before < 2);
  // Frustum of a cone, diameters 16 and 9, height 14: 1762.957 by the handbook's formula; straight, so exact at once.
  ProposedOptions narrow;
  narrow.unit = LengthUnit::millimetre;
  const auto cone = points("radius depth\n8 0\n4.5 14\n0 14\n", narrow);
  REQUIRE(cone);
  CHECK(volume(*cone) == Approx(1762.957).margin(0.0005));
}

TEST_CASE("points: however people write a table", "[proposed]") {
  const Typed tables[] = {
      {"commas", "33,0\n33,0.8\n24,0.8\n12,10.8\n8,10.8\n8,12.8\n0,12.8\n"},
      {"commas and blanks", "33, 0\n33, 0.8\n24, 0.8\n12, 10.8\n8, 10.8\n8, 12.8\n0, 12.8"},
      {"blanks", "  33    0\n  33    0.8\n  24    0.8\n 12  10.8\n  8  10.8\n 8  12.8\n  0  12.8\n\n\n"},
      {"tabs", "33\t0\n33\t0.8\n24\t0.8\n12\t10.8\n8\t10.8\n8\t12.8\n0\t12.8\n"},
      {"semicolons, decimal comma", "33;0\n33;0,8\n24;0,8\n12;10,8\n8;10,8\n8;12,8\n0;12,8\n"},
      {"blanks, decimal comma", "33,0 0,0\n33,0 0,8\n24,0 0,8\n12,0 10,8\n8,0 10,8\n8,0 12,8\n0,0 12,8\n"},
      {"header", "radius,depth\n33,0\n33,0.8\n24,0.8\n12,10.8\n8,10.8\n8,12.8\n0,12.8\n"},
      {"quoted header", "\"R [mm]\";\"Z [mm]\"\n33;0\n33;0.8\n24;0.8\n12;10.8\n8;10.8\n8;12.8\n0;12.8\n"},
      {"header parted otherwise", "r, z\n33 0\n33 0.8\n24 0.8\n12 10.8\n8 10.8\n8 12.8\n0 12.8\n"},
      {"columns changed over, said", "depth,radius\n0,33\n0.8,33\n0.8,24\n10.8,12\n10.8,8\n12.8,8\n12.8,0\n"},
      {"columns changed over, unsaid", "0,33\n0.8,33\n0.8,24\n10.8,12\n10.8,8\n12.8,8\n12.8,0\n"},
      {"diameters", "diameter,depth\n66,0\n66,0.8\n48,0.8\n24,10.8\n16,10.8\n16,12.8\n0,12.8\n"},
      {"diameters by their sign", "\u00d8;z\n66;0\n66;0.8\n48;0.8\n24;10.8\n16;10.8\n16;12.8\n0;12.8\n"},
      {"inches", "r (in),z (in)\n1.299212598425,0\n1.299212598425,0.031496062992\n0.944881889764,0.031496062992\n"
                 "0.472440944882,0.425196850394\n0.314960629921,0.425196850394\n0.314960629921,0.503937007874\n0,"
                 "0.503937007874\n"},
      {"depth downwards", "r,z\n33,0\n33,-0.8\n24,-0.8\n12,-10.8\n8,-10.8\n8,-12.8\n0,-12.8\n"},
      {"from the axis", "r,z\n0,12.8\n8,12.8\n8,10.8\n12,10.8\n24,0.8\n33,0.8\n33,0\n"},
      {"comments", "# made up\n# units: mm\n33,0 # rim\n33,0.8\n# band\n24,0.8\n12,10.8\n8,10.8\n8,12.8\n0,12.8\n"},
      {"numbered, with an idle column",
       "n,x,y,z\n1,33,0,0\n2,33,0,0.8\n3,24,0,0.8\n4,12,0,10.8\n5,8,0,10.8\n6,8,0,12.8\n7,0,0,12.8\n"},
      {"numbered, no header", "1,33,0,0\n2,33,0,0.8\n3,24,0,0.8\n4,12,0,10.8\n5,8,0,10.8\n6,8,0,12.8\n7,0,0,12.8\n"},
      {"old line ends", "r,z\r33,0\r33,0.8\r24,0.8\r12,10.8\r8,10.8\r8,12.8\r0,12.8\r"},
      {"byte order mark, DOS line ends",
       "\xEF\xBB\xBFr,z\r\n33,0\r\n33,0.8\r\n24,0.8\r\n12,10.8\r\n8,10.8\r\n8,12.8\r\n0,12.8\r\n\x1a"},
      {"exponents and plus signs", "+3.3e1 0\n33 8e-1\n24 +0.8\n1.2E+01 10.8\n8 10.8\n8 12.8\n0 12.8\n"},
      {"far from zero", "r,z\n33,100\n33,100.8\n24,100.8\n12,110.8\n8,110.8\n8,112.8\n0,112.8\n"},
      {"doubled points", "r,z\n33,0\n33,0\n33,0.8\n24,0.8\n24,0.8\n24,0.8\n12,10.8\n8,10.8\n8,12.8\n0,12.8\n0,12.8\n"},
      {"closed outline", "r,z\n0,0\n33,0\n33,0.8\n24,0.8\n12,10.8\n8,10.8\n8,12.8\n0,12.8\n0,0\n"},
      {"full section",
       "x,y\n-33,0\n-33,0.8\n-24,0.8\n-12,10.8\n-8,10.8\n-8,12.8\n8,12.8\n8,10.8\n12,10.8\n24,0.8\n33,0.8\n33,0\n"},
      {"to the plug hole's edge", "r,z\n33,0\n33,0.8\n24,0.8\n12,10.8\n8,10.8\n8,12.8\n6.35,12.8\n"},
      {"with the plug hole's wall", "r,z\n33,0\n33,0.8\n24,0.8\n12,10.8\n8,10.8\n8,12.8\n6.35,12.8\n6.35,30\n"},
      {"recess wall left out", "r,z\n33,0.8\n24,0.8\n12,10.8\n8,10.8\n8,12.8\n0,12.8\n"},
  };
  for (const auto& t : tables) {
    CAPTURE(t.what);
    const auto p = points(t.text);
    CAPTURE(complaint(p));
    REQUIRE(p);
    CHECK(volume(*p) == Approx(corners_mm3).epsilon(1e-9));
    CHECK(p->chain.front().start.z == 0);
    CHECK(p->chain.front().start.r == Approx(33));
    CHECK(p->chain.back().end.r == 0);
    CHECK_FALSE(broken_at(p->chain));
  }
}

TEST_CASE("points: what was taken is said, and can be said otherwise", "[proposed]") {
  const std::string plain = "33,0\n33,0.8\n24,0.8\n12,10.8\n8,10.8\n8,12.8\n0,12.8\n";
  const std::string doubled = "66,0\n66,0.8\n48,0.8\n24,10.8\n16,10.8\n16,12.8\n0,12.8\n";
  const auto p = points(plain);
  REQUIRE(p);
  CHECK(says(p->taken, "millimetres assumed"));
  CHECK(says(p->taken, "taken as radii"));
  CHECK(says(p->taken, "column 1 was taken as across"));
  ProposedOptions o;
  o.bore_radius_mm = 33.2;
  const auto d = points(doubled, o);
  REQUIRE(d);
  CHECK(volume(*d) == Approx(corners_mm3).epsilon(1e-12));
  CHECK(says(d->taken, "diameters"));
  ProposedOptions told;
  told.across = Across::diameter;
  CHECK(volume(*points(doubled, told)) == Approx(corners_mm3).epsilon(1e-12));
  told = {};
  told.face = Face::rim;
  const auto bare = points("r,z\n33,0.8\n24,0.8\n12,10.8\n8,10.8\n8,12.8\n0,12.8\n", told);
  REQUIRE(bare);
  CHECK(volume(*bare) == Approx(corners_mm3 - pi * 33 * 33 * 0.8).epsilon(1e-12));
  told = {};
  told.roof_mm = 15;
  const auto capped = points("r,z\n33,0\n33,0.8\n24,0.8\n12,10.8\n8,10.8\n8,12.8\n6.35,12.8\n6.35,30\n", told);
  REQUIRE(capped);
  CHECK(volume(*capped) == Approx(corners_mm3 + pi * 6.35 * 6.35 * 2.2).epsilon(1e-12));
  told = {};
  told.across_column = 3;
  told.depth_column = 1;
  const auto columns = points("0,7,33\n0.8,9,33\n0.8,8,24\n10.8,1,12\n10.8,4,8\n12.8,1,8\n12.8,0,0\n", told);
  REQUIRE(columns);
  CHECK(volume(*columns) == Approx(corners_mm3).epsilon(1e-12));
}

TEST_CASE("points: inches for millimetres are noticed and asked about", "[proposed]") {
  std::string inches = "r,z\n";
  for (const auto& [r, z] : {P{33, 0}, P{33, 0.8}, P{24, 0.8}, P{12, 10.8}, P{8, 10.8}, P{8, 12.8}, P{0, 12.8}})
    inches += fmt::format("{:.12f},{:.12f}\n", r / 25.4, z / 25.4);
  CHECK(complaint(points(inches)).find("Say --unit in") != std::string::npos);
  ProposedOptions o;
  o.bore_radius_mm = 33.2;
  CHECK(complaint(points(inches, o)).find("off by about 25.4") != std::string::npos);
  o.unit = LengthUnit::inch;
  const auto p = points(inches, o);
  REQUIRE(p);
  CHECK(volume(*p) == Approx(corners_mm3).epsilon(1e-9));
  // A header that says inches over millimetres.
  ProposedOptions bore;
  bore.bore_radius_mm = 33.2;
  const auto wrong = points("r [in],z [in]\n33,0\n33,0.8\n24,0.8\n12,10.8\n8,10.8\n8,12.8\n0,12.8\n", bore);
  CHECK(complaint(wrong).find("--unit mm") != std::string::npos);
}

TEST_CASE("points: one clear message, with its line", "[proposed]") {
  struct Bad {
    const char* what;
    std::string text;
    int line;
    const char* message;
  };
  const Bad all[] = {
      {"empty", "", 0, "no points"},
      {"only words", "r,z\nnothing here\n", 0, "no points"},
      {"no number", "r,z\n33,0\n33,zero\n0,12\n", 3, "\"zero\" is no number"},
      {"not finite", "r,z\n33,0\n33,nan\n0,12\n", 3, "\"nan\""},
      {"infinite", "r,z\n33,0\n33,inf\n0,12\n", 3, "\"inf\""},
      {"huge", "r,z\n33,0\n33,1e300\n0,12\n", 3, "\"1e300\""},
      {"overflow", "r,z\n33,0\n33,1e999\n0,12\n", 3, "\"1e999\""},
      {"cut short in a row", "r,z\n33,0\n33,0.8\n24,0.8\n12", 5, "1 column"},
      {"too many columns", "r,z\n33,0\n33,0.8,4\n", 3, "3 columns"},
      {"one column", "33\n24\n12\n0\n", 0, "no points"},
      {"two points", "33,0\n0,12\n", 0, ""},
      {"open at the axis", "r,z\n33,0\n33,0.8\n24,0.8\n18,9\n", 5, "does not reach the axis"},
      {"cut short in the bowl", "r,z\n33,0\n33,0.8\n24,0.8\n12,10.8\n8,12.1\n", 6, "does not reach the axis"},
      {"crossing", "r,z\n33,0\n10,20\n30,20\n0,5\n", 4, "crosses itself"},
      {"runs back", "r,z\n33,0\n20,0\n20,9\n20,5\n0,5\n", 4, "back on itself"},
      {"flat", "r,z\n33,0\n20,0\n0,0\n5,0\n", 0, ""},
      {"three that change", "1,2,3\n2,3,9\n4,4,4\n5,5,1\n", 1, "nothing says which"},
      {"in centimetres", "r [cm],z [cm]\n3.3,0\n3.3,0.08\n0,1\n", 2, "\"cm\""},
      {"STEP", "ISO-10303-21;\nHEADER;\n", 1, "a STEP file"},
      {"PDF", "%PDF-1.4\n", 1, "a PDF"},
      {"zero bytes", std::string("r,z\n33,0\n\0\0\0", 12), 3, "not a text file"},
      {"one long line", "r,z\n" + std::string(20000, '7'), 2, "longer than"},
  };
  for (const auto& b : all) {
    CAPTURE(b.what);
    const auto p = points(b.text);
    REQUIRE_FALSE(p);
    REQUIRE(p.error().size() == 1);
    CAPTURE(complaint(p));
    CHECK(p.error()[0].message.find(b.message) != std::string::npos);
    CHECK(p.error()[0].place.file == "points.csv");
    if (b.line > 0) CHECK(p.error()[0].place.line == b.line);
    CHECK(!p.error()[0].cure.empty());
  }
}

TEST_CASE("points: a million of them, quickly and in little memory", "[proposed]") {
  constexpr long n = 1'000'000;
  const auto meridian = spherical_segment()[0];
  struct Kind {
    int decimals;
    double jitter; ///< of a probe, mm
    double margin; ///< of the volume, mm3: what leaving out points may cost at 2 pi 64 50 mm2 of surface
  };
  for (const Kind kind : {Kind{9, 0, 0.01}, Kind{4, 0, 2}, Kind{6, 1e-4, 8}}) {
    const auto row = [&](long i) {
      const P p = point_at(meridian, static_cast<double>(i) / n);
      const double off = kind.jitter * std::sin(static_cast<double>(i) * 1.7);
      return fmt::format("{:.{}f},{:.{}f}\n", i == n ? 0.0 : p.r + off, kind.decimals, p.z, kind.decimals);
    };
    // The rows' making is timed apart and taken off.
    const double t0 = processor_s();
    std::size_t bytes = 0;
    for (long i = 0; i <= n; ++i) bytes += row(i).size();
    const double t1 = processor_s(), before_mb = resident_mb();
    Produced text(n + 1, row);
    std::istream in(&text);
    const auto p = read_points(in, "", {});
    const double took = processor_s() - t1 - (t1 - t0), more_mb = resident_mb() - before_mb;
    CAPTURE(kind.decimals, kind.jitter, bytes, took, more_mb, complaint(p));
    REQUIRE(p);
    CHECK(took < longest_s);
    CHECK(more_mb < most_mb);
    CHECK(p->chain.size() <= most_kept_points);
    CHECK(volume(*p) == Approx(segment_mm3).margin(kind.margin));
    CHECK(says(kind.jitter > 0 ? p->cautions : p->taken, kind.jitter > 0 ? "thinned" : "lie on the line"));
  }
}

TEST_CASE("points: what we write we read", "[proposed]") {
  rc::prop("every style", [] {
    PointsStyle style;
    style.separator = *rc::gen::element(',', ';', '\t', ' ');
    style.diameter = *rc::gen::arbitrary<bool>();
    style.depth_down = *rc::gen::arbitrary<bool>();
    style.inch = *rc::gen::arbitrary<bool>();
    style.decimal_comma = *rc::gen::arbitrary<bool>();
    style.from_axis = *rc::gen::arbitrary<bool>();
    style.decimals = 9;
    style.chord_error_mm = 1e-6;
    const auto p = points(write_points(plain_chamber(), style));
    RC_LOG() << complaint(p);
    RC_ASSERT(!!p);
    RC_ASSERT(std::abs(volume(*p) / plain_chamber_mm3 - 1) < 1e-6);
  });
}
