// Lines that a reader must tell apart, measured on the finished picture: ISO 128-2 asks for 0.7 mm between parallel
// lines, ISO 129-1 lets extension lines be interrupted (both from memory); that a leader runs along no other line is
// common practice, no source.
#include "collisions.hpp"
#include "samples.hpp"
#include <algorithm>
#include <catch2/catch.hpp>

using namespace chamber;
using namespace chamber::drawing;

namespace {

#if defined(CHAMBER_SANITIZED)
constexpr unsigned inserts = 10; // instrumented, each takes ten times as long
#else
constexpr unsigned inserts = 200;
#endif

double distance(Point p, const testing::Stroke& s) {
  const Point d = s.b - s.a, e = p - s.a;
  const double u = std::clamp((e.x * d.x + e.y * d.y) / std::max(1e-12, d.x * d.x + d.y * d.y), 0.0, 1.0);
  return std::hypot(e.x - d.x * u, e.y - d.y * u);
}

/// The longest stretch of the line that lies within 0.3 mm of one other line going the same way, to 20 degrees; by
/// points 0.05 mm apart.
double longest_along(const Line& line, const std::vector<testing::Stroke>& others) {
  const Point d = line.b - line.a;
  const double length = std::hypot(d.x, d.y);
  std::vector<const testing::Stroke*> near;
  for (const auto& s : others) {
    const Point e = s.b - s.a;
    if (std::abs(d.x * e.y - d.y * e.x) < std::sin(0.349) * length * std::hypot(e.x, e.y)) near.push_back(&s);
  }
  double now = 0, longest = 0;
  for (double at = 0; at <= length; at += 0.05) {
    const Point p = line.a + d * (at / length);
    const bool on = std::any_of(near.begin(), near.end(), [&](const auto* s) { return distance(p, *s) < 0.3; });
    now = on ? now + 0.05 : 0;
    longest = std::max(longest, now);
  }
  return longest;
}

std::vector<Line> lines_of(const Picture& page, Layer layer) {
  std::vector<Line> out;
  for (const auto& item : page.items)
    if (const auto* l = std::get_if<Line>(&item); l && l->pen.layer == layer) out.push_back(*l);
  return out;
}

/// How many wide level lines seen behind or outside stand too close over another.
int merged(const Picture& page) {
  int out = 0;
  const auto lines = lines_of(page, Layer::outline);
  for (std::size_t i = 0; i < lines.size(); ++i)
    for (std::size_t k = i + 1; k < lines.size(); ++k) {
      const auto &p = lines[i], &q = lines[k];
      if (std::abs(p.a.y - p.b.y) > 1e-6 || std::abs(q.a.y - q.b.y) > 1e-6) continue;
      const double shared = std::min(std::max(p.a.x, p.b.x), std::max(q.a.x, q.b.x)) -
                            std::max(std::min(p.a.x, p.b.x), std::min(q.a.x, q.b.x));
      const double clear = std::abs(p.a.y - q.a.y) - p.pen.width_mm / 2 - q.pen.width_mm / 2;
      if (shared > 1e-6 && clear < 0.7 - 1e-9) ++out;
    }
  return out;
}

std::vector<testing::Stroke> on_layers(const Picture& page, std::initializer_list<Layer> layers) {
  std::vector<testing::Stroke> out;
  for (const auto& s : testing::strokes_of(page))
    if (std::find(layers.begin(), layers.end(), s.layer) != layers.end()) out.push_back(s);
  return out;
}

} // namespace

TEST_CASE("lines that a reader must tell apart lie apart on 200 random inserts") {
  int leaders = 0, along = 0, on_extension = 0, dots = 0, edges = 0;
  for (unsigned seed = 1; seed <= inserts; ++seed) {
    INFO("seed " << seed);
    const auto sheet = insert_sheet(testing::random_input(seed));
    REQUIRE(sheet);
    CHECK(merged(sheet->pages[0]) == 0);
    edges += static_cast<int>(lines_of(sheet->pages[0], Layer::outline).size());
    for (const auto& page : sheet->pages) {
      const auto others =
          on_layers(page, {Layer::profile, Layer::outline, Layer::centre, Layer::thread, Layer::adjacent,
                           Layer::boundary, Layer::extension, Layer::dimension, Layer::symbol});
      for (const auto& l : lines_of(page, Layer::leader)) ++leaders, along += longest_along(l, others) > 2;
      // Neighbouring parts and edges are seen: no extension line lies on them.
      const auto seen = on_layers(page, {Layer::profile, Layer::outline, Layer::adjacent});
      for (const auto& l : lines_of(page, Layer::extension)) {
        if (std::min(std::abs(l.a.x - l.b.x), std::abs(l.a.y - l.b.y)) > 1e-6) continue; // an angle's leg
        INFO("extension line at " << l.a.x << ", " << l.a.y << " to " << l.b.x << ", " << l.b.y);
        CHECK(longest_along(l, seen) <= 3);
      }
      const auto extensions = on_layers(page, {Layer::extension}), dimensions = on_layers(page, {Layer::dimension});
      for (const auto& l : lines_of(page, Layer::leader))
        for (const auto& item : page.items)
          if (const auto* a = std::get_if<Area>(&item); a && a->corners.size() == 12) {
            const Point centre = (a->corners[0] + a->corners[6]) * 0.5;
            if (std::hypot(centre.x - l.a.x, centre.y - l.a.y) > 1e-6) continue;
            if (std::any_of(dimensions.begin(), dimensions.end(),
                            [&](const auto& s) { return distance(centre, s) < 0.05; }))
              continue; // it says which dimension line it means
            ++dots;
            for (const auto& s : extensions) on_extension += distance(centre, s) < 0.5;
          }
    }
  }
  UNSCOPED_INFO(along << " of " << leaders << " leaders run along a line, " << on_extension << " of " << dots
                      << " dots lie on one");
  CHECK(leaders > 10 * static_cast<int>(inserts));
  CHECK(edges > 4 * static_cast<int>(inserts));
  CHECK(dots >= static_cast<int>(inserts)); // the piston's
  CHECK(along <= leaders / 80);             // rather than no drawing where nothing else goes
  CHECK(on_extension <= (inserts < 100 ? 1 : dots / 50));
}

TEST_CASE("lines that run together are found") { // the checks above, checked
  Picture p{"", 210, 297, {}};
  p.add(Line{{50, 50}, {80, 50}, pen(Layer::outline)});
  p.add(Line{{50, 51.2}, {80, 51.2}, pen(Layer::outline)});
  CHECK(merged(p) == 0);
  p.add(Line{{70, 52.3}, {90, 52.3}, pen(Layer::outline)});
  CHECK(merged(p) == 1);
  const auto others = on_layers(p, {Layer::outline});
  CHECK(longest_along({{60, 50.2}, {65, 50.2}, {}}, others) == Approx(5).margin(0.1));
  CHECK(longest_along({{60, 45}, {60, 60}, {}}, others) == 0);
  CHECK(longest_along({{60, 48}, {70, 49}, {}}, others) == 0);
}

TEST_CASE("the chamber's profile has its tolerance frame, in the sheet's units") {
  for (const auto unit : {Units::mm, Units::inch, Units::both}) {
    auto in = testing::random_input(3);
    in.style.units = unit;
    const auto sheet = insert_sheet(in);
    REQUIRE(sheet);
    std::vector<std::string> words;
    for (const auto& item : sheet->pages[1].items)
      if (const auto* t = std::get_if<Text>(&item)) words.push_back(t->words);
    const auto times = [&](const std::string& w) { return std::count(words.begin(), words.end(), w); };
    CHECK(times("⌓") == 1); // ISO 1101: profile of a surface
    CHECK(times(unit == Units::mm ? "0.05" : unit == Units::inch ? "0.002" : "0.05 [0.002]") == 1);
    CHECK(times("A") == 2); // and the datum's own
    CHECK(times("UF 1 ↔ " + std::to_string(in.chamber.chain.size() + 1)) == 1);
  }
}

TEST_CASE("roughness is asked for in the preferred series, never finer than planned") {
  // ISO 1302:1978 and ASME B46.1 (from memory): Ra 0.4 0.8 1.6 3.2 um are 16 32 63 125 uin; 1 uin is 0.0254 um.
  CHECK(preferred_ra(0.4).uin == 16);
  CHECK(preferred_ra(0.8).uin == 32);
  CHECK(preferred_ra(1.6).uin == 63);
  CHECK(preferred_ra(3.2).uin == 125);
  CHECK(preferred_ra(1.617).um == 1.6); // of a cusp 6.3 um high: the same
  CHECK(preferred_ra(1.7).um == 3.2);
  CHECK(preferred_ra(1.3).um == 1.6);
  for (double ra = 0.02; ra < 50; ra *= 1.07) {
    const auto asked = preferred_ra(ra);
    CHECK(asked.um * 1.051 >= ra);
    CHECK((asked.um < 2.01 * ra || asked.um == 0.025));
    CHECK(asked.uin * 0.0254 == Approx(asked.um).epsilon(0.02));
  }
  for (const auto unit : {Units::mm, Units::inch}) {
    auto in = testing::random_input(3);
    in.style.units = unit, in.roughness_um = 5, in.date = "2026-01-31";
    const auto sheet = insert_sheet(in);
    REQUIRE(sheet);
    for (const auto& page : sheet->pages) {
      std::vector<std::string> words;
      for (const auto& item : page.items)
        if (const auto* t = std::get_if<Text>(&item)) words.push_back(t->words);
      const auto times = [&](const std::string& w) { return std::count(words.begin(), words.end(), w); };
      CHECK(times(unit == Units::mm ? "Ra 1.6 µm" : "Ra 63 µin") == 1);
      CHECK(times("2026-01-31") == 1);
    }
  }
}
