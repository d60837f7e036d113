// Lathe files: every one in profiles/lathes, what they must hold, mistakes with place and cure, and how a spec uses
// them.
#include "chamber/job/lathe_read.hpp"
#include "chamber/job/spec.hpp"
#include "chamber/shapes/body.hpp"
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <set>
#include <sstream>

using namespace chamber;
using namespace chamber::job;
using turning::ToolKind;

namespace {

constexpr auto bench = CHAMBER_PROFILES "/lathes/bench-rear-mm.toml";

std::string text_of(const std::string& path) {
  std::ifstream in(path);
  REQUIRE(in);
  std::stringstream s;
  s << in.rdbuf();
  return s.str();
}

/// The demo spec with its own tools taken away and these words in [lathe] instead of its own.
std::string demo_with(const std::string& lathe) {
  auto s = text_of(CHAMBER_PROFILES "/demo.toml");
  return s.substr(0, s.find("[lathe]")) + "[lathe]\n" + lathe;
}

struct Folder {
  std::filesystem::path path = std::filesystem::temp_directory_path() / "chamber-lathe-test";
  Folder() { std::filesystem::create_directories(path); }
  ~Folder() { std::filesystem::remove_all(path); }
  std::string file(const std::string& name, const std::string& text) const {
    std::ofstream(path / name) << text;
    return (path / name).string();
  }
};

} // namespace

TEST_CASE("lathe: every file reads, and together they cover the ground", "[lathe]") {
  std::set<std::string> dialects;
  std::set<turning::Toolpost> posts;
  bool inch = false, above = false;
  int count = 0;
  for (const auto& entry : std::filesystem::directory_iterator(CHAMBER_PROFILES "/lathes")) {
    ++count;
    CAPTURE(entry.path().string());
    const auto lathe = load_lathe(entry.path().string());
    if (!lathe)
      for (const auto& p : lathe.error()) UNSCOPED_INFO(to_text(p));
    REQUIRE(lathe);
    dialects.insert(lathe->machine.dialect);
    posts.insert(lathe->machine.toolpost);
    inch = inch || lathe->machine.inch;
    above = above || lathe->machine.arcs_from_above;
    std::set<ToolKind> kinds;
    for (const auto& r : lathe->tools) {
      kinds.insert(r.tool.kind);
      for (std::size_t metal = 0; metal < std::size(metal_names); ++metal) CHECK(r.with_data_for(metal));
      if (r.tool.kind != ToolKind::drill || r.tool.purpose == turning::Purpose::centring) continue;
      // Every drill drills for one of the threads: within its 6H minor limits (ISO 965-1).
      CHECK(std::any_of(shapes::plug_threads().begin(), shapes::plug_threads().end(), [&](const auto& t) {
        return r.tool.diameter_mm >= t.minor_low_mm && r.tool.diameter_mm <= t.minor_high_mm;
      }));
    }
    CHECK(kinds.size() == 7);
  }
  CHECK(count >= 3);
  CHECK(dialects == std::set<std::string>{"rs274", "type-a"});
  CHECK(posts.size() == 2);
  CHECK((inch && above));
}

TEST_CASE("lathe: machine words and cutting data come out in mm, m/min and mm/rev", "[lathe]") {
  const auto l = read_lathe(R"([lathe]
dialect = "type-a"
toolpost = "front"
arcs = "from above"
x = "radius"
units = "inch"
decimals = 5
line_length = 80
rapid = "200 ft/min"
change_x = "5 in"

[[tool]]
number = 4
kind = "boring"
nose_radius = "1/64 in"
shank = "3/8 in"
reach = "1.5 in"
max_depth = "1 mm"
[tool.cutting]
aluminium = { speed = "820 sfm", feed = "0.006 in/rev", max_depth = "0.047 in" }
bronze = { speed = "130 m/min", feed = "0.1 mm/rev" }

[[tool]]
number = 5
kind = "tap"
diameter = "14 mm"
pitch = "1.25 mm"
reach = "60 mm"
speed = "10 m/min"
)",
                            "x.toml");
  REQUIRE(l);
  const auto& m = l->machine;
  CHECK((m.dialect == "type-a" && m.toolpost == turning::Toolpost::front && m.arcs_from_above && m.inch));
  CHECK(!m.diameter_mode);
  CHECK(turning::coordinate_decimals(m) == 5);
  CHECK(m.rapid_mm_per_min == Approx(200 * 0.3048 * 1000));
  CHECK(m.change_x_mm == Approx(127));
  const auto aluminium = l->tools[0].with_data_for(metal_of("Aluminium 7075-T6"));
  REQUIRE(aluminium);
  CHECK(aluminium->cutting_speed_m_per_min == Approx(820 * 0.3048));
  CHECK(aluminium->feed_mm_per_rev == Approx(0.1524));
  CHECK(aluminium->max_depth_mm == Approx(0.047 * 25.4));
  CHECK(l->tools[0].with_data_for(metal_of("bronze CuSn8"))->max_depth_mm == 1); // the tool's own
  CHECK_FALSE(l->tools[0].with_data_for(metal_of("tool steel")));
  CHECK_FALSE(l->tools[0].with_data_for(std::nullopt));
  const auto tap = l->tools[1].with_data_for(std::nullopt);
  REQUIRE(tap);
  CHECK(tap->feed_mm_per_rev == 1.25);
  CHECK(tap->chamfer_mm == Approx(3.75));
}

TEST_CASE("lathe: which metal a material is", "[lathe]") {
  CHECK(metal_of("aluminium 6061-T6") == 0u);
  CHECK(metal_of("6061") == 0u);
  CHECK(metal_of("ALUMINUM") == 0u);
  CHECK(metal_of("Bronze") == 1u);
  CHECK(metal_of("mild steel") == 2u);
  CHECK_FALSE(metal_of("titanium"));
}

TEST_CASE("lathe: mistakes name place and cure", "[lathe]") {
  const auto whole = text_of(bench);
  struct Mistake {
    std::string from, to, word, cure;
  };
  const Mistake mistakes[] = {
      {"dialect = \"rs274\"", "dialect = \"type-b\"", "not known", "type-a"},
      {"decimals = 3", "decimals = 9", "from 2 to 6", ""},
      {"rapid = \"5 m/min\"", "rapid = \"5\"", "no unit", ""},
      {"number = 2\n", "number = 1\n", "twice", "own number"},
      {"kind = \"face grooving\"", "kind = \"face groving\"", "not known", "face grooving"},
      {"diameter = \"12.7 mm\"", "diametre = \"12.7 mm\"", "not a key", "diameter"},
      {"bronze = { speed = \"45 m/min\", feed = \"0.12 mm/rev\" }", "brass = { speed = \"45 m/min\" }", "not a key",
       "bronze"},
      {"diameter = \"14 mm\"", "diameter = \"140 mm\"", "between", "decimal point"},
  };
  for (const auto& m : mistakes) {
    auto text = whole;
    const auto at = text.find(m.from);
    REQUIRE(at != std::string::npos);
    text.replace(at, m.from.size(), m.to);
    CAPTURE(m.to);
    const auto l = read_lathe(text, "l.toml");
    REQUIRE_FALSE(l);
    for (const auto& p : l.error()) UNSCOPED_INFO(to_text(p));
    const int line =
        1 + static_cast<int>(std::count(text.begin(), text.begin() + static_cast<std::ptrdiff_t>(at), '\n'));
    CHECK(std::any_of(l.error().begin(), l.error().end(), [&](const Problem& p) {
      return p.message.find(m.word) != std::string::npos && p.cure.find(m.cure) != std::string::npos &&
             p.place.file == "l.toml" && std::abs(p.place.line - line) <= 1;
    }));
  }
  CHECK_FALSE(read_lathe("", "l.toml"));
  CHECK_FALSE(read_lathe("[lathe]\n", "l.toml"));
  CHECK_FALSE(load_lathe("/no/such/lathe.toml"));
}

TEST_CASE("lathe: a spec's own words and tools go before the file's", "[lathe]") {
  const Folder folder;
  folder.file("l.toml", text_of(bench));
  const auto spec = folder.file("s.toml", demo_with(R"(file = "l.toml"
clamp = "1800 rpm"
[[tool]]
number = 3
kind = "drill"
diameter = "12.65 mm"
reach = "70 mm"
speed = "80 m/min"
feed = "0.1 mm/rev"
[[tool]]
number = 40
kind = "drill"
diameter = "5 mm"
reach = "70 mm"
speed = "80 m/min"
feed = "0.1 mm/rev"
)"));
  const auto s = load_spec(spec);
  if (!s)
    for (const auto& p : s.error()) UNSCOPED_INFO(to_text(p));
  REQUIRE(s);
  const auto racked = load_lathe(bench)->tools.size();
  CHECK(s->tools.size() == racked + 1);
  CHECK(s->machine.clamp_rpm == 1800);
  CHECK(s->machine.name == "bench lathe, rear toolpost");
  CHECK(s->tools.at(2).diameter_mm == 12.65);
  CHECK(s->tools.back().number == 40);
  // The command line's lathe takes the place of all that.
  const auto other = load_spec(spec, Need::design, nullptr, CHAMBER_PROFILES "/lathes/turret-type-a-mm.toml");
  REQUIRE(other);
  CHECK(other->machine.dialect == "type-a");
  CHECK(other->machine.clamp_rpm == 3000);
  CHECK(other->tools.size() == 13);
}

TEST_CASE("lathe: what is wrong with the file a spec names", "[lathe]") {
  const Folder folder;
  const auto missing = load_spec(folder.file("a.toml", demo_with("file = \"none.toml\"\n")));
  REQUIRE_FALSE(missing);
  REQUIRE(missing.error().size() == 1);
  CHECK(missing.error()[0].message.find("none.toml") != std::string::npos);
  CHECK(missing.error()[0].place.line > 0);

  auto broken = text_of(bench);
  broken.replace(broken.find("\"5 m/min\""), 9, "\"5\"");
  folder.file("broken.toml", broken);
  const auto bad = load_spec(folder.file("b.toml", demo_with("file = \"broken.toml\"\n")));
  REQUIRE_FALSE(bad);
  REQUIRE(bad.error().size() == 1);
  CHECK(bad.error()[0].place.file.ends_with("broken.toml"));

  const auto none = load_spec(folder.file("c.toml", demo_with("")));
  REQUIRE_FALSE(none);
  CHECK(none.error()[0].message.find("no tool and names no lathe file") != std::string::npos);

  auto titanium = demo_with("file = \"l.toml\"\n");
  folder.file("l.toml", text_of(bench));
  titanium.replace(titanium.find("aluminium 6061-T6"), 17, "titanium");
  const auto unknown = load_spec(folder.file("d.toml", titanium));
  REQUIRE_FALSE(unknown);
  CHECK(unknown.error()[0].message.find("titanium") != std::string::npos);
  CHECK(unknown.error()[0].cure.find("aluminium, bronze, steel") != std::string::npos);
}
