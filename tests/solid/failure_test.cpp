// What must be refused, with the dimensions in the message, and leave no file behind.
#include "chamber/solid/files.hpp"
#include "samples.hpp"
#include "scratch.hpp"
#include <catch2/catch.hpp>
#include <limits>

using namespace chamber;
using namespace chamber::profile;

namespace {

using Outline = std::vector<shapes::NamedSegment>;

Outline cylinder(double r, double h) {
  return scratch::named({line<double>({0, 0}, {r, 0}), line<double>({r, 0}, {r, h}), line<double>({r, h}, {0, h}),
                         line<double>({0, h}, {0, 0})});
}

/// Expects a Problem that says `what`, and an empty folder.
void refused(const Outline& outline, const std::string& what, solid::FileOptions options = scratch::options()) {
  CAPTURE(what);
  const scratch::Folder folder;
  // A sound part before it: its files must go too.
  const auto r = solid::make({{"sound", cylinder(5, 5), folder / "s.step", folder / "s_mm.stl"},
                              {"bad", outline, folder / "a.step", folder / "a_mm.stl"}},
                             options);
  REQUIRE_FALSE(r);
  CAPTURE(r.error().message);
  CHECK(r.error().message.find(what) != std::string::npos);
  CHECK_FALSE(r.error().cure.empty());
  CHECK(folder.files() == 0);
}

} // namespace

TEST_CASE("outlines that are no outline", "[failure]") {
  refused({}, "fewer than two segments");
  auto open = cylinder(5, 5);
  open.pop_back();
  refused(open, "face 3 (segment 3), line (5.0000, 5.0000) to (0.0000, 5.0000) mm ends 5.000000 mm from where");
  refused(scratch::named(reversed(ChainView(shapes::chain_of(cylinder(5, 5))))), "clockwise");
  refused(scratch::named({line<double>({0, 0}, {6, 0}), line<double>({6, 0}, {2, 6}), line<double>({2, 6}, {5, 6}),
                          line<double>({5, 6}, {0, 1}), line<double>({0, 1}, {0, 0})}),
          "meets");
  auto broken = cylinder(5, 5);
  broken[1].segment.end.z = std::numeric_limits<double>::quiet_NaN();
  refused(broken, "not finite");
  refused(scratch::named({line<double>({-1, 0}, {5, 0}), line<double>({5, 0}, {5, 5}), line<double>({5, 5}, {-1, 5}),
                          line<double>({-1, 5}, {-1, 0})}),
          "beyond the turning axis");
}

TEST_CASE("arcs that sweep no analytic face, or do not fit their ends", "[failure]") {
  // Centre 2 mm from the axis, radius 4 mm: a spindle, not a torus.
  refused(scratch::named({line<double>({0, 0}, {6, 0}), arc<double>(Kind::ccw, {6, 0}, {2, 4}, {2, 0}, 4.0),
                          line<double>({2, 4}, {0, 4}), line<double>({0, 4}, {0, 0})}),
          "its ring would close on the turning axis");
  refused(scratch::named({arc<double>(Kind::ccw, {4, 0}, {0, 4}, {0, 0}, 4.1), line<double>({0, 4}, {0, 0}),
                          line<double>({0, 0}, {4, 0})}),
          "radius 4.1000 mm does not pass through its ends");
  // Three quarters of a circle about the axis.
  refused(scratch::named({arc<double>(Kind::ccw, {4, 0}, {0, -4}, {0, 0}, 4.0), line<double>({0, -4}, {4, 0})}),
          "runs across the turning axis");
}

TEST_CASE("slopes the kernel takes for a cylinder or a plane, and slopes just beyond", "[failure]") {
  // Seen in OpenCASCADE 7.6.3: a line 0.01 degrees off the axis sweeps a cylinder, 0.8 um wrong over 8 mm; one at 0.012
  // degrees a surface of revolution.
  const auto wall = [](double degrees) {
    const double d = 8 * std::tan(degrees * 3.14159265358979323846 / 180);
    return scratch::named({line<double>({0, 0}, {17, 0}), line<double>({17, 0}, {17 - d, 8}),
                           line<double>({17 - d, 8}, {0, 8}), line<double>({0, 8}, {0, 0})});
  };
  for (const double degrees : {1e-6, 1e-4, 0.005, 0.012, -0.01}) refused(wall(degrees), "(segment 2)");
  const scratch::Folder folder;
  for (const double degrees : {0.0, 1e-12, 0.1, -0.1, 45.0}) {
    CAPTURE(degrees);
    CHECK(scratch::made({"wall", wall(degrees), folder / "a.step", ""}).faces == 3);
  }
}

TEST_CASE("metal that touches itself in a point or along the axis only", "[failure]") {
  // Two cones tip to tip on the axis: closed outline, but not one manifold solid.
  refused(scratch::named({line<double>({0, 0}, {4, -4}), line<double>({4, -4}, {4, 4}), line<double>({4, 4}, {0, 0}),
                          line<double>({0, 0}, {3, 1}), line<double>({3, 1}, {3, -1}), line<double>({3, -1}, {0, 0})}),
          "meets");
}

TEST_CASE("texts that are not ASCII, and a deflection that is not above 0", "[failure]") {
  auto options = scratch::options();
  options.author = "M\xc3\xbcller";
  refused(cylinder(5, 5), "author", options);
  options = scratch::options();
  options.mesh_deflection_mm = 0;
  refused(cylinder(5, 5), "deflection", options);
  options.mesh_deflection_mm = std::numeric_limits<double>::quiet_NaN();
  refused(cylinder(5, 5), "deflection", options);
  auto named = cylinder(5, 5);
  named[0].face = "line\nbreak";
  refused(named, "face name");
  const scratch::Folder folder;
  for (const std::string name : {"", "insert \xe2\x8c\x80", "tab\t"}) {
    const auto r = solid::make({{name, cylinder(5, 5), folder / "a.step", ""}}, scratch::options());
    REQUIRE_FALSE(r);
    CHECK(r.error().message.find("name") != std::string::npos);
  }
  CHECK(folder.files() == 0);
}

TEST_CASE("paths that cannot be written", "[failure]") {
  const scratch::Folder folder;
  for (const bool stl : {false, true}) {
    const auto nowhere = folder / "none/a";
    const auto r =
        solid::make({{"sound", cylinder(5, 5), folder / "s.step", folder / "s_mm.stl"},
                     {"lost", cylinder(5, 5), stl ? folder / "b.step" : nowhere, stl ? nowhere : std::string()}},
                    scratch::options());
    REQUIRE_FALSE(r);
    CHECK(r.error().message.find("cannot write " + nowhere + ": No such file or directory") != std::string::npos);
    CHECK(folder.files() == 0);
  }
}

TEST_CASE("a full disk is noticed", "[failure]") {
  // /dev/full (Linux: full(4)) takes every open and refuses every write. It must outlive the clearing up.
  const scratch::Folder folder;
  const auto link = folder / "full.step";
  std::filesystem::create_symlink("/dev/full", link);
  const auto r = solid::make({{"part", cylinder(5, 5), link, ""}}, scratch::options());
  REQUIRE_FALSE(r);
  CHECK(r.error().message.find("No space left on device") != std::string::npos);
  CHECK(std::filesystem::exists("/dev/full"));
  // So few bytes that only closing the file writes them.
  std::filesystem::create_symlink("/dev/full", link);
  solid::Files files;
  const auto small = files.write(link, [](std::FILE* file) { return std::fputc('x', file) == 'x'; });
  REQUIRE_FALSE(small);
  CHECK(small.error().message.find("No space left on device") != std::string::npos);
}

TEST_CASE("a SOURCE_DATE_EPOCH that is no number", "[failure]") {
  for (const char* text : {"", "yesterday", "12.5", "-1", "99999999999999999999"}) {
    const scratch::Environment date("SOURCE_DATE_EPOCH", text);
    refused(cylinder(5, 5), "SOURCE_DATE_EPOCH");
  }
}
