#include "chamber/job/spec.hpp"
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <set>
#include <sstream>

using namespace chamber;
using namespace chamber::job;

namespace {

std::string demo() {
  std::ifstream in(CHAMBER_PROFILES "/demo.toml");
  REQUIRE(in);
  std::stringstream s;
  s << in.rdbuf();
  return s.str();
}

/// The demo with one piece of text replaced; the piece must be there once.
std::string changed(const std::string& from, const std::string& to) {
  auto s = demo();
  const auto at = s.find(from);
  REQUIRE(at != std::string::npos);
  REQUIRE(s.find(from, at + 1) == std::string::npos);
  return s.replace(at, from.size(), to);
}

int line_of(const std::string& text, const std::string& piece) {
  const auto at = text.find(piece);
  REQUIRE(at != std::string::npos);
  return 1 + static_cast<int>(std::count(text.begin(), text.begin() + static_cast<std::ptrdiff_t>(at), '\n'));
}

} // namespace

TEST_CASE("spec: the demo reads as written", "[spec]") {
  const auto s = read_spec(demo(), "demo.toml");
  REQUIRE(s);
  CHECK(s->bore_mm == 66.4);
  CHECK(s->budget.deck_mm == 0.35);
  CHECK(s->task.frame.edge_height == Approx(0.75)); // clearance 1.10 less deck 0.35
  CHECK(s->task.head_cc == 21.5);
  CHECK(s->task.limits.squish_area_min == Approx(0.40));
  CHECK(s->task.body.face_grooves.at(0).width_mm == Approx((0.136 + 0.142) / 2 * 25.4));
  CHECK(s->tools.size() == 7);
  CHECK(s->task.plug.thread_chamfer_mm == Approx(0.78));
  CHECK(s->chucking.face_mm == 2);
  CHECK(s->roughness_um == Approx(6.3));
}

TEST_CASE("spec: every spec in profiles reads, and together they cover the ground", "[spec]") {
  std::set<shapes::Family> families;
  bool flat = false, domed = false, above = false, inch = false, gasket = false;
  std::set<Wanted> wanted;
  int count = 0;
  for (const auto& entry : std::filesystem::directory_iterator(CHAMBER_PROFILES)) {
    if (entry.path().extension() != ".toml") continue;
    ++count;
    const auto s = load_spec(entry.path().string());
    CAPTURE(entry.path().string());
    if (!s)
      for (const auto& p : s.error()) UNSCOPED_INFO(to_text(p));
    REQUIRE(s);
    families.insert(s->task.frame.family);
    flat = flat || s->budget.crown.form == engine::Crown::Form::flat;
    domed = domed || s->budget.crown.form == engine::Crown::Form::domed;
    above = above || s->budget.deck_mm < 0;
    inch = inch || s->machine.inch;
    gasket = gasket || s->budget.gasket_thickness_mm > 0;
    wanted.insert(s->wanted);
  }
  CHECK(count >= 5);
  CHECK(families.size() == 4);
  CHECK(wanted.size() >= 3);
  CHECK((flat && domed && above && inch && gasket));
}

TEST_CASE("spec: wanted ratio and clearance become a head volume", "[spec]") {
  // By hand: V_c = V_ts / (CR - 1), V_head = V_c - gasket - deck + crown.
  const auto ratio = read_spec(changed("head_volume = \"21.50 cc\" ", "trapped_ratio = \"8\"      "), "x");
  REQUIRE(ratio);
  const auto& b = ratio->budget;
  const double clearance = ratio->trapped_swept_cc() / 7;
  CHECK(ratio->task.head_cc == Approx(clearance - b.deck_cc() + b.crown.volume_cc).epsilon(1e-12));
  const auto volume = read_spec(changed("head_volume = \"21.50 cc\" ", "clearance_volume = \"20 cc\""), "x");
  REQUIRE(volume);
  CHECK(volume->task.head_cc == Approx(20 - b.deck_cc() + b.crown.volume_cc).epsilon(1e-12));
}

TEST_CASE("spec: mistakes name place and cure", "[spec]") {
  struct Mistake {
    std::string from, to, word, cure;
  };
  const Mistake mistakes[] = {
      {"bore = \"66.4 mm\"", "bore = \"66.4\"", "no unit", "66.4 mm"},
      {"bore = \"66.4 mm\"", "bore = \"664 mm\"", "between", "decimal point"},
      {"bore = \"66.4 mm\"", "bore = \"nan mm\"", "", ""},
      {"stroke = \"72 mm\"", "strok = \"72 mm\"", "not a key", "stroke"},
      {"rod = \"130 mm\"", "rod = \"13 mm\" ", "between", ""},
      {"deck = \"0.35 mm below\"", "deck = \"-0.35 mm\"", "does not say", "below"},
      {"form = \"domed\"", "form = \"dommed\"", "not known", "domed"},
      // More than half a sphere on the bore (2/3 pi 33.2^3 mm3 = 76.6 cc) is no crown.
      {"radius = \"180 mm\"", "volume = \"77 cc\"", "crown.volume", ""},
      {"family = \"spherical\"", "family = \"spheric\"", "not known", "spherical"},
      {"head_volume = \"21.50 cc\"", "head_volume = \"21.50 mm\"", "volume is wanted", "cc"},
      {"clearance = \"1.10 mm\"", "clearance = \"0.31 mm\"", "below the sealing face", "at least"},
      {"rim_round = \"0.6 mm\"", "rim_round = \"2 mm\"", "too low", "rim_round"},
      {"corner_round = \"0.6 mm\"", "corner_round = \"3 mm\"", "flat only", "diameter"},
      {"diameter = \"95 mm\"", "diameter = \"90 mm\"", "smaller than the body", "larger"},
      {"number = 3", "number = 2", "twice", "own number"},
      {"dialect = \"rs274\"", "dialect = \"rs275\"", "not known", "rs274"},
      {"second = \"soft jaws\" ", "second = \"mandrel\" ", "top first", "first = \"top\""},
      {"face = \"2 mm\"", "face = \"6 mm\"", "only 5.00 mm longer", "face off less"},
      {"face_max = \"200 mm\"", "face_max = \"20 mm\"", "not larger", "exchange"},
      {"inner_corner = \"0.4 mm\"", "inner_corner = \"4 mm\"", "between", ""},
      {"prefer = \"26 mm\", min = \"22 mm\"", "prefer = \"26 mm\", min = \"27 mm\"", "between min and max", "order"},
      {"close_with = \"bowl_radius\"", "close_with = \"squish_angle\"", "not known", ""},
      {"trapped_ratio = \"8.0\"", "trapped_ratio = \"8.0\"\nclearance_volume = \"20 cc\"", "2 of", "exactly one"},
  };
  for (const auto& m : mistakes) {
    const auto text = changed(m.from, m.to);
    const auto s = read_spec(text, "demo.toml");
    CAPTURE(m.to);
    REQUIRE_FALSE(s);
    for (const auto& p : s.error()) UNSCOPED_INFO(to_text(p));
    const auto hit = std::find_if(s.error().begin(), s.error().end(), [&](const Problem& p) {
      return p.message.find(m.word) != std::string::npos && p.cure.find(m.cure) != std::string::npos;
    });
    REQUIRE(hit != s.error().end());
    CHECK(hit->place.line > 0);
    // Most stand where the text was changed; a contradiction stands at the key it is about.
    const std::string at = m.word == "flat only" ? "diameter = \"15 mm\""
                           : m.word == "twice"   ? "name = \"roughing bar 10\""
                                                 : m.to;
    const int before = m.word == "twice" ? 2 : 0;
    if (m.word != "2 of") CHECK(hit->place.line == line_of(text, at) - before);
  }
}

TEST_CASE("spec: all mistakes at once, in order", "[spec]") {
  auto text = changed("bore = \"66.4 mm\"", "bore = \"66.4\"");
  for (const auto& [from, to] : {std::pair<std::string, std::string>{"stroke = \"72 mm\"", "stroke = \"72 cc\""},
                                 {"wall_min = \"6 mm\"\ngroove", "wal_min = \"6 mm\"\ngroove"},
                                 {"clamp = \"2500 rpm\"", "clamp = \"2500\""}})
    text.replace(text.find(from), from.size(), to);
  const auto s = read_spec(text, "demo.toml");
  REQUIRE_FALSE(s);
  REQUIRE(s.error().size() == 4);
  for (std::size_t i = 1; i < 4; ++i) CHECK(s.error()[i - 1].place.line < s.error()[i].place.line);
}

TEST_CASE("spec: hostile text is refused, never fatal", "[spec]") {
  for (const std::string& text : {std::string(), std::string(1 << 16, '['), std::string("\0\0\0", 3),
                                  std::string("bore"), std::string("[job]\nname = 3\n"), std::string(1 << 20, 'a')}) {
    const auto s = read_spec(text, "x");
    CHECK_FALSE(s);
  }
  CHECK_FALSE(load_spec("/no/such/spec.toml"));
  CHECK_FALSE(load_spec("/"));
}
