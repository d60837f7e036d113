// Any part within every limit of the inspection passes the design's own checks. What a part with a size off does to a
// check is worked out here anew: gaps, fills and volumes by hand, walls by changing what the drawing gives.
#include "chamber/job/limits.hpp"
#include "chamber/job/papers.hpp"
#include "chamber/units/tolerance.hpp"
#include "random_spec.hpp"
#include <catch2/catch.hpp>
#include <random>
#include <regex>

using namespace chamber;
using namespace chamber::job;
using shapes::Grounds;
using shapes::Size;

namespace {

constexpr double pi = 3.14159265358979323846;
constexpr const char* all_specs[] = {"demo", "flat-roof", "inch", "sites", "toroidal", "two-radius"};

struct Case {
  Spec spec;
  solve::Fit fit;
  shapes::Insert insert;
  std::vector<shapes::Limits> sizes;

  /// As it is printed, mm.
  std::pair<double, double> limits(const shapes::Limits& l, bool inch) const {
    const auto p = shapes::printed(l, inch);
    const double unit = inch ? 25.4 : 1;
    return {p.lower * unit, p.upper * unit};
  }
  const shapes::Limits& at(Size size, std::size_t i = 0) const {
    const auto* l = shapes::find(sizes, size, i);
    REQUIRE(l);
    return *l;
  }
};

std::optional<Case> case_of(const Spec& spec) {
  auto fit = solve::fit(spec.task);
  if (!fit) return {};
  auto insert = shapes::assemble(fit->chamber, spec.task.body, spec.task.plug);
  if (!insert) return {};
  Case c{spec, std::move(*fit), std::move(*insert), {}};
  c.sizes = limits_of(c.spec, c.fit, c.insert).sizes;
  return c;
}

Case profile_case(const std::string& name) {
  return case_of(load_spec(std::string(CHAMBER_PROFILES) + "/" + name + ".toml").value()).value();
}

std::size_t step_at(const shapes::BodySpec& b, double z) {
  for (std::size_t i = 0; i + 1 < b.steps.size(); z -= b.steps[i++].length_mm)
    if (z < b.steps[i].length_mm) return i;
  return b.steps.size() - 1;
}

/// What the size being `off` makes of the insert; false where it has no part in its walls.
bool change(solve::Task& task, shapes::Dimensions<double>& d, const Spec& drawn, const shapes::Limits& l, double off) {
  auto& b = task.body;
  const auto i = l.index;
  switch (l.size) {
  case Size::step_diameter:
    b.steps[i].diameter_mm += off;
    for (auto& g : b.radial_grooves) // its floor stays
      if (step_at(drawn.task.body, g.from_face_mm) == i) g.depth_mm += off / 2;
    return true;
  case Size::step_length:
    b.steps[i].length_mm += off, b.steps.back().length_mm -= off;
    return true;
  case Size::height:
    b.steps.back().length_mm += off, task.plug.reach_mm += off;
    return true;
  case Size::seat_below_top:
    task.plug.reach_mm -= off;
    return true;
  case Size::face_groove_inner:
    b.face_grooves[i].inner_diameter_mm += off;
    return true;
  case Size::face_groove_width:
    b.face_grooves[i].width_mm += off;
    return true;
  case Size::face_groove_depth:
    b.face_grooves[i].depth_mm += off;
    return true;
  case Size::radial_groove_from_face:
    b.radial_grooves[i].from_face_mm += off;
    return true;
  case Size::radial_groove_width:
    b.radial_grooves[i].width_mm += off;
    return true;
  case Size::radial_groove_floor:
    b.radial_grooves[i].depth_mm -= off / 2;
    return true;
  case Size::rim:
    task.frame.rim_radius += off / 2;
    return true;
  case Size::roof:
    d.pocket_depth += off, task.plug.reach_mm -= off;
    return true;
  default:
    return false;
  }
}

void check_walls(const solve::Task& task, const shapes::Dimensions<double>& d) {
  for (const auto& check : solve::judge(task, d)) {
    if (!check.name.starts_with("wall") && !check.name.starts_with("plug seat")) continue;
    INFO(check.name << " " << check.value << ", at least " << check.limit);
    CHECK(check.value >= check.limit - 2e-6);
  }
}

/// One size at one limit.
void check_size(const Case& c, const shapes::Limits& l, double mm) {
  const double off = mm - l.nominal_mm, r = mm / 2;
  const auto& t = c.spec.task;
  auto task = t;
  auto d = c.fit.rounded;
  if (change(task, d, c.spec, l, off)) check_walls(task, d);
  const double crown = t.budget.crown.form == engine::Crown::Form::domed ? t.budget.crown.height_mm : 0;
  const double plug = c.fit.chamber.roof_z + t.budget.edge_below_face_mm() - crown;
  const double cc = tolerance::cutting_volume_cc + 1e-5;
  if (l.size == Size::height) CHECK((plug + off >= t.limits.plug_to_crown_min_mm - 1e-6));
  if (l.size == Size::seat_below_top) CHECK((plug - off >= t.limits.plug_to_crown_min_mm - 1e-6));
  if (l.size == Size::mouth) {
    const double share = 1 - mm * mm / (t.budget.bore_mm * t.budget.bore_mm);
    CHECK(share >= t.limits.squish_area_min - 1e-7);
    CHECK(share <= t.limits.squish_area_max + 1e-7);
    // The cut that trim would make of it, by its own way: what it takes to hold 0.05 cc more.
    for (const auto& way : ways_to_mend(c.spec, c.fit, -tolerance::cutting_volume_cc))
      if (way.mend == Mend::widen_mouth && way.possible()) CHECK(std::abs(off) / 2 <= way.amount_mm + 1e-3);
  }
  if (l.size == Size::roof) CHECK(pi * t.frame.pocket_radius * t.frame.pocket_radius * std::abs(off) / 1000 <= cc);
  if (l.size == Size::pocket) CHECK(2 * pi * r * c.fit.rounded.pocket_depth * std::abs(off) / 2000 <= cc);
  if (l.size == Size::height || l.size == Size::seat_below_top) {
    const double major = t.plug.major_mm - 0.6495 * t.plug.pitch_mm; // pitch diameter, ISO 68-1
    CHECK(pi / 4 * major * major * std::abs(off) / 1000 <= cc);
  }
}

double fill(const shapes::ORingSize& ring, double width, double depth) { // of the largest ring, Parker (from memory)
  const double d = ring.section_mm + ring.tolerance_mm;
  return pi / 4 * d * d / (width * depth);
}

/// The shallowest and narrowest groove, and the deepest.
void check_grooves(const Case& c, bool inch) {
  const auto& b = c.spec.task.body;
  const auto one = [&](const shapes::ORingSize* ring, double width, double least_depth, double most_depth) {
    if (!ring) return;
    CHECK(fill(*ring, width, least_depth) <= 0.85 + 1e-6);                              // common practice, no source
    CHECK(1 - most_depth / ring->section_mm >= 0.05);                                   // it is still squeezed
    CHECK(most_depth - least_depth <= ring->depth_high_mm - ring->depth_low_mm + 1e-6); // the handbook's own spread
  };
  for (std::size_t i = 0; i < b.face_grooves.size(); ++i) {
    const auto depth = c.limits(c.at(Size::face_groove_depth, i), inch);
    one(ring_in_face_groove(c.spec, i), c.limits(c.at(Size::face_groove_width, i), inch).first, depth.first,
        depth.second);
  }
  for (std::size_t i = 0; i < b.radial_grooves.size(); ++i) {
    const double step = b.steps[step_at(b, b.radial_grooves[i].from_face_mm)].diameter_mm;
    const auto floor = c.limits(c.at(Size::radial_groove_floor, i), inch);
    one(ring_in_radial_groove(c.spec, i), c.limits(c.at(Size::radial_groove_width, i), inch).first,
        (step - floor.second) / 2, (step - floor.first) / 2);
  }
}

/// Both heights of the band at any of their limits: the gap, and what the annulus takes.
void check_band(const Case& c, bool inch) {
  const auto& t = c.spec.task;
  const auto *g1 = shapes::find(c.sizes, Size::band, 0), *g2 = shapes::find(c.sizes, Size::band, 1);
  if (!g1) return;
  const double bore = t.budget.bore_mm / 2, mouth = c.fit.chamber.mouth.r;
  const double at_bore = t.frame.edge_height + t.budget.edge_below_face_mm(), at_mouth = c.fit.split.mouth_gap_mm;
  const auto ends = [&](const shapes::Limits& l) {
    const auto [low, high] = c.limits(l, inch);
    return std::array{low - l.nominal_mm, high - l.nominal_mm};
  };
  for (const double a : ends(*g1))
    for (const double b : g2 ? ends(*g2) : std::array{a, a}) {
      const double r1 = g1->gauge_diameter_mm / 2, r2 = g2 ? g2->gauge_diameter_mm / 2 : r1 - 1;
      const double slope = (b - a) / (r1 - r2);
      INFO(a << " " << b << " " << at_bore << " " << at_mouth);
      CHECK(at_bore + a - slope * (bore - r1) >= t.limits.gap_min_mm - 1e-6);
      CHECK(at_mouth + a + slope * (r1 - mouth) >= t.limits.gap_min_mm - 1e-4);
    }
  // Volume of each alone, over rings.
  for (const auto* g : {g1, g2}) {
    if (!g) continue;
    for (const double off : ends(*g)) {
      double mm3 = 0;
      constexpr int rings = 2000;
      const double outer = t.frame.rim_radius, step = (outer - mouth) / rings;
      const auto* other = g == g1 ? g2 : g1;
      for (int k = 0; k < rings; ++k) {
        const double r = mouth + (k + 0.5) * step;
        const double w =
            other ? (r - other->gauge_diameter_mm / 2) / ((g->gauge_diameter_mm - other->gauge_diameter_mm) / 2) : 1;
        mm3 += 2 * pi * r * step * w * off;
      }
      CHECK(std::abs(mm3) / 1000 <= tolerance::cutting_volume_cc + 1e-5);
    }
  }
}

/// Parts with every size at a limit, drawn by lot.
void check_corners(const Case& c, bool inch, int parts) {
  std::mt19937 lot(7);
  for (int k = 0; k < parts; ++k) {
    auto task = c.spec.task;
    auto d = c.fit.rounded;
    for (const auto& l : c.sizes) {
      const auto [low, high] = c.limits(l, inch);
      change(task, d, c.spec, l, (lot() % 2 ? low : high) - l.nominal_mm);
    }
    check_walls(task, d);
  }
}

void check_case(const Case& c, int parts) {
  for (const bool inch : {false, true}) {
    for (const auto& l : c.sizes) {
      const auto [low, high] = c.limits(l, inch);
      CAPTURE(words_for(l, c.sizes), l.nominal_mm, low, high, inch);
      CHECK(low <= high + 1e-9);
      CHECK((low >= l.lower_mm - 1e-6 && high <= l.upper_mm + 1e-6)); // never wider in print
      check_size(c, l, low);
      check_size(c, l, high);
    }
    check_grooves(c, inch);
    check_band(c, inch);
    check_corners(c, inch, parts);
  }
}

} // namespace

TEST_CASE("limits: a part within all of them passes, of every profile", "[limits]") {
  for (const auto* name : all_specs) {
    CAPTURE(name);
    const auto c = profile_case(name);
    CHECK(limits_of(c.spec, c.fit, c.insert).nothing_left.empty());
    check_case(c, 40);
  }
}

TEST_CASE("limits: and of random specs", "[limits]") {
  int done = 0;
  for (unsigned seed = 1; done < 60 && seed < 400; ++seed) {
    CAPTURE(seed);
    const auto spec = read_spec(testing::random_spec(seed, CHAMBER_PROFILES).text(), CHAMBER_PROFILES "/random.toml");
    if (!spec) continue;
    const auto c = case_of(*spec);
    if (!c) continue;
    check_case(*c, 6);
    ++done;
  }
  CHECK(done == 60);
}

TEST_CASE("limits: by standard, handbook and hand", "[limits]") {
  const auto c = profile_case("demo");
  // ISO 2768-1, class m: over 30 to 120 +-0.3, over 6 to 30 +-0.2.
  CHECK(c.at(Size::step_diameter, 0).lower_mm == Approx(91.7));
  CHECK(c.at(Size::step_length, 1).upper_mm == Approx(16.2));
  CHECK(shapes::find(c.sizes, Size::step_length, 2) == nullptr); // the drawing has it in brackets
  // h9 over 50 to 80 mm is 0/-0.074: ISO 286-2 (from memory); that an O-ring's spigot takes it: common practice.
  CHECK(c.at(Size::step_diameter, 1).upper_mm == Approx(78));
  CHECK(c.at(Size::step_diameter, 1).lower_mm == Approx(78 - 0.074));
  // Parker (from memory): 0.103 in a face groove 0.074 to 0.080 deep and 0.136 to 0.142 wide; the corner of both would
  // be filled to pi/4 0.106^2/(0.136 0.074) = 87.7 %, so the lower limits are drawn in, the upper ones are not.
  const auto depth = c.at(Size::face_groove_depth), width = c.at(Size::face_groove_width);
  CHECK(width.upper_mm == Approx(0.142 * 25.4));
  CHECK(width.lower_mm > 0.136 * 25.4);
  CHECK(depth.lower_mm > 0.074 * 25.4);
  CHECK(pi / 4 * 0.106 * 0.106 * 25.4 * 25.4 / (width.lower_mm * depth.lower_mm) == Approx(0.85).margin(2e-3));
  CHECK(depth.grounds == Grounds::check);
  // The wall to the face groove, 2.3 at least 2.2, is the groove's to keep: the rim may take 0.025 of the 0.1 between,
  // as the surface profile lets it.
  CHECK(c.at(Size::face_groove_inner).nominal_mm - c.at(Size::face_groove_inner).lower_mm == Approx(0.15).margin(0.01));
  // Surface profile 0.05: half of it either way, a diameter twice that; 0.271 cc for 0.1 mm on the mouth's radius leave
  // it 0.05/2.71 mm for 0.05 cc.
  CHECK(c.at(Size::rim).upper_mm - c.at(Size::rim).nominal_mm == Approx(0.05));
  CHECK(c.at(Size::roof).nominal_mm - c.at(Size::roof).lower_mm == Approx(0.025));
  CHECK((c.at(Size::mouth).upper_mm - c.at(Size::mouth).nominal_mm) / 2 == Approx(0.05 / 2.71).margin(5e-4));
}

TEST_CASE("limits: where the shape leans on two limits, it is said what leaves nothing", "[limits]") {
  auto spec = load_spec(CHAMBER_PROFILES "/demo.toml").value();
  spec.task.preferences[2].low = spec.task.preferences[2].high =
      spec.task.preferences[2].prefer; // the mouth stands still
  const double mouth = 1 - spec.task.preferences[2].prefer / (spec.bore_mm / 2);
  spec.task.limits.squish_area_min = spec.task.limits.squish_area_max = 1 - mouth * mouth;
  const auto fit = solve::fit(spec.task);
  REQUIRE(fit);
  const auto insert = shapes::assemble(fit->chamber, spec.task.body, spec.task.plug).value();
  const auto nothing = limits_of(spec, *fit, insert).nothing_left;
  REQUIRE(nothing.size() == 1);
  CHECK(nothing[0].message.find("mouth of the bowl") != std::string::npos);
  CHECK(nothing[0].cure.find("limits.squish_area_m") != std::string::npos);
}

TEST_CASE("limits: drawing and inspection say the same", "[limits]") {
  for (const auto* name : all_specs) {
    CAPTURE(name);
    const auto c = profile_case(name);
    Design d;
    d.spec = c.spec, d.fit = c.fit, d.insert = c.insert;
    d.limits = limits_of(c.spec, c.fit, c.insert);
    const auto sheet = drawing::insert_sheet(sheet_input(c.spec, c.fit, c.insert, d.limits.sizes)).value();
    std::string words;
    for (const auto& page : sheet.pages)
      for (const auto& item : page.items)
        if (const auto* t = std::get_if<drawing::Text>(&item)) words += "|" + t->words;
    const auto rows = inspection(d);
    REQUIRE(rows.size() >= c.sizes.size());
    std::size_t own = 0;
    for (std::size_t i = 0; i < c.sizes.size(); ++i) {
      const auto grounds = c.sizes[i].grounds;
      if (grounds == Grounds::general) continue; // by the note on sheet 1
      // "17.413 mm", "17.388 to 17.438 mm" -> "17.413 ±0.025", as the drawing writes it.
      std::smatch m;
      const std::regex numbers(R"(([0-9.]+) to ([0-9.]+) (mm|in))");
      const auto limits = rows[i].limits;
      REQUIRE(std::regex_match(limits, m, numbers));
      const auto places = [](const std::string& s) { return static_cast<int>(s.size() - s.find('.') - 1); };
      const auto text = [&](double v) {
        auto s = units::fixed(v, places(m[1]));
        if (m[3] == "mm") {
          while (s.back() == '0') s.pop_back();
          if (s.back() == '.') s.pop_back();
        }
        return s;
      };
      const double nominal = std::stod(rows[i].wanted), up = std::stod(m[2]) - nominal,
                   down = nominal - std::stod(m[1]);
      const auto side = [&](const char* sign, double v) { return v < 1e-9 ? std::string("0") : sign + text(v); };
      const auto off = std::abs(up - down) < 1e-9 ? "±" + text(up) : side("+", up) + "/" + side("–", down);
      const bool table = c.sizes[i].size == Size::band; // there in the corner table's columns
      const auto said = grounds == Grounds::profile ? text(nominal) : table ? off : text(nominal) + " " + off;
      INFO(rows[i].what << ": " << said);
      CHECK(words.find(said) != std::string::npos);
      ++own;
    }
    CHECK(own >= 6);
    CHECK(words.find("⌓") != std::string::npos); // ISO 1101: profile of a surface
    CHECK(words.find("ISO 2768-m") != std::string::npos);
  }
}
