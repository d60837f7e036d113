// A chamber from elsewhere judged: the figures against the design's own and against formulas worked out by hand.
#include "chamber/job/check.hpp"
#include "chamber/job/papers.hpp"
#include "chamber/profile/integrals.hpp"
#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <fmt/format.h>
#include <fstream>
#include <map>
#include <regex>

using namespace chamber;
using namespace chamber::job;

namespace {

constexpr double pi = 3.14159265358979323846;
const std::string demo_file = CHAMBER_PROFILES "/demo.toml";

Spec demo() {
  return load_spec(demo_file, Need::target).value();
}

/// A file that is gone with its test.
class Scratch {
public:
  Scratch(const std::string& name, const std::string& text)
      : path_(std::filesystem::temp_directory_path() / ("chamber-check-test-" + name)) {
    std::ofstream(path_, std::ios::binary) << text;
  }
  ~Scratch() { std::filesystem::remove(path_); }
  Scratch(const Scratch&) = delete;
  Scratch& operator=(const Scratch&) = delete;
  std::string path() const { return path_.string(); }

private:
  std::filesystem::path path_;
};

CheckReport judged(const std::string& file, std::optional<Spec> engine, const CheckOptions& o = {}) {
  auto r = check(file, std::move(engine), o);
  INFO((r ? "" : to_text(r.error(), file)));
  REQUIRE(r);
  return std::move(*r);
}

Failure refused(const std::string& file, std::optional<Spec> engine = {}, const CheckOptions& o = {}) {
  auto r = check(file, std::move(engine), o);
  REQUIRE_FALSE(r);
  REQUIRE_FALSE(r.error().problems.empty());
  for (const auto& p : r.error().problems) CHECK_FALSE(p.cure.empty());
  return r.error();
}

CheckKind kind_of(const std::string& name, const std::string& text) {
  const Scratch file(name, text);
  const auto r = recognise(file.path());
  REQUIRE(r);
  return r->kind;
}

/// Flat bottom of radius 20, depth 9, under a recess of radius 33.2 and depth 1: a level band from 33.2 to 20.
const std::string plain = "radius mm,height mm\n33.2,0\n33.2,1\n20,1\n20,10\n0,10\n";
const double plain_cc = pi * (33.2 * 33.2 + 20 * 20 * 9) / 1000;

} // namespace

TEST_CASE("check: files are told by what is in them", "[check]") {
  CHECK(kind_of("a.txt", plain) == CheckKind::points);
  CHECK(kind_of("a.csv", "33 0\n20 9\n0 12\n") == CheckKind::points);
  CHECK(kind_of("a.csv", "X,Z\n33,0\n20,9\n0,12\n") == CheckKind::points);
  CHECK(kind_of("b", "  0\r\nSECTION\r\n  2\r\nENTITIES\r\n") == CheckKind::dxf);
  CHECK(kind_of("b", "999\nwritten by hand\n0\nSECTION\n") == CheckKind::dxf);
  CHECK(kind_of("c.txt", "ISO-10303-21;\nHEADER;\n") == CheckKind::step);
  CHECK(kind_of("d.txt", "%\nO1001\n(JOB)\nG18\nG0 X1.0 Z2.\n") == CheckKind::program);
  CHECK(kind_of("d.txt", "N10 G21\nN20 G0 X40. Z2.\nN30 T0101\n") == CheckKind::program);
  CHECK(kind_of("e.txt", "# a sheet\n[engine]\nbore = \"66 mm\"\n") == CheckKind::spec);
  CHECK(kind_of("f.ngc", "nothing known\n") == CheckKind::program);
}

TEST_CASE("check: a plain chamber by hand", "[check]") {
  const Scratch file("plain.csv", plain);
  const auto alone = judged(file.path(), {});
  CHECK(alone.proposal.volume_cc == Approx(plain_cc).epsilon(1e-12));
  CHECK(alone.proposal.depth_mm == Approx(10));
  REQUIRE(alone.features.band);
  CHECK(alone.features.band->width_mm == Approx(13.2));
  CHECK(alone.features.band->angle_deg == Approx(0).margin(1e-9));
  CHECK_FALSE(alone.hole);
  CHECK(alone.passed());

  const auto r = judged(file.path(), demo());
  // The demo: bore 66.4, stroke 72, rod 130, deck 0.35 below, crown a cap of R 180.
  const double a = 33.2, R = 180, h = R - std::sqrt(R * R - a * a);
  const double crown = pi * h * h * (3 * R - h) / 3 / 1000, deck = pi * a * a * 0.35 / 1000;
  CHECK(r.clearance_cc == Approx(plain_cc + deck - crown).epsilon(1e-9));
  CHECK(r.full_ratio == Approx(1 + pi * a * a * 72 / 1000 / r.clearance_cc).epsilon(1e-9));
  REQUIRE(r.appraisal);
  CHECK(r.appraisal->squish_area_ratio == Approx(1 - (20 / a) * (20 / a)));
  // Level band over a crown that rises inwards: smallest at the mouth.
  const auto crown_at = [&](double x) { return std::sqrt(R * R - x * x) - std::sqrt(R * R - a * a); };
  CHECK(r.appraisal->smallest_gap.radius_mm == Approx(20).margin(0.01));
  CHECK(r.appraisal->smallest_gap.gap_mm == Approx(1.35 - crown_at(20)).margin(1e-6));
  CHECK(r.appraisal->plug_to_crown_mm == Approx(10 + 0.35 - h));
  // M14x1.25 of the demo: pitch diameter 14 - 0.649519 x 1.25 (ISO 68-1), reach 19 less the washer's 1.45 mm.
  REQUIRE(r.hole);
  CHECK(r.hole->pitch_diameter_mm == Approx(14 - 0.649519 * 1.25).epsilon(1e-6));
  CHECK(r.hole->length_mm == Approx(19 - 1.45));
  REQUIRE(r.forecast);
  for (const auto& s : r.forecast->sites) {
    // p = p0 (pa/p0)^m [((Vts + Vc + Vg)/(Vc + Vg))^n - 1], n and m as fitted or by default.
    const auto c = engine::cranking(r.forecast->motor, true);
    const double v = r.clearance_cc + c.gauge_extra_cc;
    const double p = 101.325 * std::pow(s.site.ambient_kpa / 101.325, c.altitude_exponent) *
                     (std::pow((c.trapped_swept_cc + v) / v, c.exponent) - 1);
    CHECK(s.target.gauge_fitted_kpa == Approx(p).epsilon(1e-6));
  }
  CHECK_FALSE(r.passed()); // the gap at the mouth is under the demo's limit
  REQUIRE(r.deviation);
  CHECK(r.deviation->own_cc == Approx(21.5).margin(0.005));
}

TEST_CASE("check: the spec's own profile, by points and DXF", "[check]") {
  const auto chain = own_profile(load_spec(demo_file).value()).value();
  const double cc = profile::swept_volume(profile::ChainView(chain)) / 1000;
  const Scratch points("own.csv", profile::write_points(chain, {}));
  const Scratch dxf("own.dxf", profile::write_dxf(chain, {}));
  const auto own = judged(demo_file, {});
  CHECK(own.proposal.kind == CheckKind::spec);
  CHECK(own.passed());
  for (const auto& file : {points.path(), dxf.path()}) {
    const auto r = judged(file, demo());
    CHECK(r.proposal.volume_cc == Approx(cc).margin(1e-3));
    CHECK(r.passed());
    REQUIRE(r.deviation);
    CHECK(r.deviation->largest_mm < 5e-4);
    CHECK(r.checks.size() == own.checks.size());
    for (std::size_t i = 0; i < r.checks.size(); ++i) {
      CHECK(r.checks[i].name == own.checks[i].name);
      CHECK(r.checks[i].value == Approx(own.checks[i].value).epsilon(2e-3).margin(1e-3));
    }
    REQUIRE(r.forecast);
    CHECK(r.forecast->sites[0].target.gauge_fitted_kpa ==
          Approx(own.forecast->sites[0].target.gauge_fitted_kpa).epsilon(1e-4));
  }
}

TEST_CASE("check: where and how far a profile departs", "[check]") {
  auto chain = own_profile(load_spec(demo_file).value()).value();
  // The pocket's roof 0.4 mm higher, and nothing else.
  auto& wall = chain[chain.size() - 3];
  auto& corner = chain[chain.size() - 2];
  auto& roof = chain.back();
  wall.end.z += 0.4;
  corner = profile::arc(corner.kind, {corner.start.r, corner.start.z + 0.4}, {corner.end.r, corner.end.z + 0.4},
                        {corner.centre.r, corner.centre.z + 0.4}, corner.radius);
  roof.start.z += 0.4, roof.end.z += 0.4;
  const Scratch file("deep.dxf", profile::write_dxf(chain, {}));
  const auto r = judged(file.path(), demo());
  REQUIRE(r.deviation);
  CHECK(r.deviation->largest_mm == Approx(0.4).margin(1e-6));
  CHECK(r.deviation->at.z == Approx(roof.end.z).margin(1e-6));
  const double pocket = wall.start.r;
  CHECK(r.proposal.volume_cc - r.deviation->own_cc == Approx(pi * pocket * pocket * 0.4 / 1000).margin(1e-6));
}

TEST_CASE("check: the piston has room, or nothing is forecast", "[check]") {
  const Scratch file("flat.csv", "33.2,0\n20,0.5\n0,2\n");
  const auto r = judged(file.path(), demo());
  CHECK_FALSE(r.passed());
  CHECK_FALSE(r.forecast);
  CHECK(to_json(r).find("\"trapped_ratio\": null") != std::string::npos);
}

TEST_CASE("check: a guideline is kept unless the spec asks for more", "[check]") {
  auto spec = load_spec(CHAMBER_PROFILES "/sites.toml", Need::target).value();
  const Scratch file("plain2.csv", plain);
  auto r = judged(file.path(), spec);
  REQUIRE(r.forecast);
  r.checks.clear();
  auto& t = r.forecast->sites[r.engine->wanted_site].target;
  r.as_asked = false;
  t.ratio_in_hand = -0.5;
  CHECK_FALSE(r.passed());
  r.as_asked = true;
  CHECK(r.passed());
  r.as_asked = false;
  t.ratio_in_hand = 1;
  t.gauge_in_hand_kpa = -50;
  CHECK_FALSE(r.passed());
  t.gauge_in_hand_kpa = 50;
  CHECK(r.passed());
  // Over it where it is not for: said, not judged; and the page says where it was.
  const auto note_of = [&](const std::string& site) -> std::string {
    for (const auto& f : check_page(r).answer)
      if (f.name == "gauge at " + site) return f.note;
    return "no row";
  };
  REQUIRE(r.forecast->sites.size() > 1);
  const auto other = r.engine->wanted_site == 0 ? 1U : 0U;
  r.forecast->sites[other].target.ratio_in_hand = -0.5;
  CHECK(r.passed());
  CHECK(note_of(r.forecast->sites[other].site.name).ends_with("ceiling 10.00: over, not judged"));
  CHECK(to_text(r, false).find("ceiling 10.00: over, not judged") != std::string::npos);
  t.ratio_in_hand = -0.5;
  CHECK(note_of(r.forecast->sites[r.engine->wanted_site].site.name).ends_with("ceiling 10.00: OVER"));
}

TEST_CASE("check: gauge and window are told in the pressure unit typed", "[check]") {
  auto spec = load_spec(CHAMBER_PROFILES "/sites.toml", Need::target).value();
  for (const auto& u : units::units_of(units::Dimension::pressure))
    if (u.symbol == "bar") spec.pressure_unit = &u;
  const Scratch file("bar.csv", plain);
  const auto text = to_text(judged(file.path(), spec), false);
  // 210 and 255 psi of 6.894757 kPa (NIST SP 811, appendix B).
  CHECK(std::regex_search(text, std::regex("[0-9.]+ \\+- [0-9.]+ bar +window 14\\.5 to 17\\.6 bar: ")));
  CHECK(text.find(" psi  window") == std::string::npos);
}

TEST_CASE("check: the page says of every site how it stands to the guideline, and ± once", "[check]") {
  const auto r = judged(CHAMBER_PROFILES "/sites.toml", {});
  const auto page = check_page(r);
  REQUIRE(r.forecast);
  std::size_t sites = 0;
  for (const auto& f : page.answer) {
    if (!f.name.starts_with("gauge at ")) continue;
    // profiles/sites.toml: methanol, short bursts: 210 to 255 psi, 10.0 to 1. Too low in the mountains.
    CHECK(f.note == fmt::format("window 210 to 255 psi: {}; ceiling 10.00: ok",
                                f.name == "gauge at coast dunes" ? "ok" : "short of it"));
    ++sites;
  }
  CHECK(sites == r.forecast->sites.size());
  CHECK(page.reasons.front().starts_with("± covers 95 %"));
  // What is no distance has no place.
  const auto largest = std::find_if(page.answer.begin(), page.answer.end(),
                                    [](const auto& f) { return f.name == "largest distance from it"; });
  REQUIRE(largest != page.answer.end());
  CHECK(largest->value + largest->note == "0.000 mm");
}

TEST_CASE("check: an inch for a millimetre is asked about", "[check]") {
  const Scratch file("inch.csv", "1.307,0\n1.307,0.04\n0.8,0.04\n0.8,0.4\n0,0.4\n");
  const auto f = refused(file.path(), demo());
  CHECK(f.code == Exit::spec);
  CHECK(f.problems[0].message.find("25.4") != std::string::npos);
  CHECK(f.problems[0].cure.find("--unit in") != std::string::npos);
  CheckOptions told;
  told.drawing.unit = profile::LengthUnit::inch;
  CHECK(judged(file.path(), demo(), told).proposal.rim_radius_mm == Approx(1.307 * 25.4));
}

TEST_CASE("check: refusals keep their codes", "[check]") {
  CHECK(refused("/no/such/file.csv").code == Exit::files);
  CHECK(refused("/").code == Exit::files);
  const Scratch empty("empty.csv", "");
  CHECK(refused(empty.path()).code == Exit::spec);
  const Scratch crossing("crossing.csv", "33,0\n10,5\n20,5\n15,0.5\n0,6\n");
  CHECK(refused(crossing.path()).code == Exit::spec);
  const Scratch program("p.ngc", "%\nO1\nG18\nG0 X1. Z1.\nM30\n%\n");
  CHECK(refused(program.path()).code == Exit::usage); // no tools
  CHECK(refused(program.path(), demo()).code == Exit::spec);
  CheckOptions o;
  o.kind = CheckKind::step;
  const Scratch points("points.csv", plain);
  CHECK(refused(points.path(), {}, o).code == Exit::spec);
}

TEST_CASE("check: without an engine the plug may be told", "[check]") {
  const Scratch file("plug.csv", plain);
  CheckOptions o;
  o.thread = "M14x1.25";
  o.hole_length_mm = 17;
  const auto r = judged(file.path(), {}, o);
  REQUIRE(r.hole);
  // pi/4 d2^2 length, d2 = 14 - 0.649519 x 1.25 (ISO 68-1).
  const double d2 = 14 - 0.649519 * 1.25;
  CHECK(engine::convert_fill_cc(plain_cc, engine::Fill::plug_fitted, engine::Fill::top_of_plug_hole, *r.hole) ==
        Approx(plain_cc + pi / 4 * d2 * d2 * 17 / 1000).epsilon(1e-6));
}

TEST_CASE("check: the drawing shows both in the unit typed", "[check]") {
  const Scratch file("<draw>&.csv", plain);
  const auto svg = to_svg(judged(file.path(), demo()));
  CHECK(svg.find("radius, mm") != std::string::npos);
  CHECK(svg.find("&lt;draw&gt;&amp;.csv") != std::string::npos);
  // Proposed, the spec's own, crown: each a curve, and a sample in the legend.
  for (const char* stroke : {"stroke-width=\"2.2\"", "stroke-dasharray=\"9 5\"", "stroke-dasharray=\"2 4\""}) {
    std::size_t lines = 0;
    for (auto at = svg.find(stroke); at != std::string::npos; at = svg.find(stroke, at + 1)) ++lines;
    CHECK(lines == 2);
  }
  CHECK(to_svg(judged(file.path(), {})).find("crown") == std::string::npos);
}

TEST_CASE("check: without an engine a file given in inches is told in inches", "[check]") {
  // A cylinder of 1.3 in radius and 0.5 in height: pi r^2 h.
  const Scratch file("cylinder.csv", "r,z\n1.3,0\n1.3,0.5\n0,0.5\n");
  CheckOptions o;
  o.drawing.unit = profile::LengthUnit::inch;
  const auto r = judged(file.path(), {}, o);
  CHECK(r.proposal.volume_cc == Approx(pi * 1.69 * 0.5 * 25.4 * 25.4 * 25.4 / 1000).epsilon(1e-6));
  const auto text = to_text(r, false);
  CAPTURE(text);
  CHECK(text.find("2.6000 in") != std::string::npos);
  CHECK(text.find("0.5000 in") != std::string::npos);
  CHECK(text.find(" mm") == std::string::npos);
  CHECK(to_svg(r).find("radius, in") != std::string::npos);
  CHECK(to_text(judged(Scratch("mm.csv", "r,z\n33,0\n33,12\n0,12\n").path(), {}), false).find(" in\n") ==
        std::string::npos);
}

TEST_CASE("check: an inch engine is judged in inches, each figure with its limit in one row", "[check]") {
  const auto spec = load_spec(CHAMBER_PROFILES "/inch.toml", Need::target).value();
  const Scratch file("inch.csv", plain);
  const auto r = judged(file.path(), spec);
  const auto page = check_page(r);
  std::string all = to_text(r, false);
  std::map<std::string, int> rows;
  for (const auto& f : page.answer) {
    all += f.name + " " + f.value + " " + f.note + "\n";
    ++rows[f.name];
  }
  for (const auto& c : page.cautions) all += c + "\n";
  const auto svg = to_svg(r);
  for (auto at = svg.find("<text"); at != std::string::npos; at = svg.find("<text", at + 1))
    all += svg.substr(at, svg.find("</text>", at) - at) + "\n";
  CHECK(all.find("radius, in (0: turning axis)") != std::string::npos);
  CHECK(all.find(", mm") == std::string::npos);
  for (const auto& [name, count] : rows) CHECK((name + (count > 1 ? " stands twice" : "")) == name);
  std::smatch mm;
  std::regex_search(all, mm, std::regex("[^\n]*[0-9] (mm|m/s)\\b[^\n]*"));
  CHECK(mm.str() == "");
  // 33.2 mm of radius are 2.614 in; the engine has 2.677 in of bore.
  CHECK(all.find("The rim is 2.614 in across, the engine's bore 2.677 in") != std::string::npos);
  // Of a least value what is too small is under it.
  for (const auto& c : r.checks) {
    if (c.ok) continue;
    const auto it =
        std::find_if(page.answer.begin(), page.answer.end(), [&](const auto& f) { return f.name == c.name; });
    REQUIRE(it != page.answer.end());
    CHECK(it->note.starts_with(c.minimum ? "UNDER: at least " : "OVER: at most "));
  }
  CHECK_FALSE(r.passed());
  const auto own = judged(demo_file, {});
  for (const auto& f : check_page(own).headline)
    if (f.name == "Limits") CHECK((f.value + ", " + f.note) == "kept, all of them");
  for (const auto& c : own.cautions) CHECK(c.find("rim") == std::string::npos);
}
