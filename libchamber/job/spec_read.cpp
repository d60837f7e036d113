#include "chamber/engine/air.hpp"
#include "chamber/job/guideline_read.hpp"
#include "chamber/job/reader.hpp"
#include "chamber/job/sha256.hpp"
#include "chamber/job/spec.hpp"
#include "chamber/job/spec_sections.hpp"
#include "chamber/job/text_file.hpp"
#include <cmath>
#include <fmt/format.h>

namespace chamber::job {
namespace {

using units::Dimension;

void read_job(Section s, Spec& spec) {
  spec.name = s.text("name", "insert", 40);
  spec.revision = s.text("revision", "A", 8);
  spec.customer = s.text("customer", "");
  spec.note = s.text("note", "", 400);
  const bool plain =
      std::all_of(spec.name.begin(), spec.name.end(), [](unsigned char c) { return c >= 32 && c < 127; });
  if (spec.name.empty() || !plain)
    s.complain("name", "job.name must be plain ASCII text and not empty.",
               "STEP files and lathe controls read nothing else; put the full name into job.note.");
  s.finish();
}

/// One duration, or two with a power valve: shut (what a gauge sees) and open.
void read_exhaust(Section& s, Spec& spec) {
  const Range range{100, 240};
  auto& motor = spec.sheet.bench.motor;
  const auto shut = s.maybe("exhaust_valve_shut", Dimension::angle, range);
  const auto open = s.maybe("exhaust_valve_open", Dimension::angle, range);
  if (!shut && !open) {
    motor.exhaust_shut_deg = motor.exhaust_open_deg = s.need("exhaust_duration", Dimension::angle, range).value;
  } else {
    if (!shut || !open || s.has("exhaust_duration"))
      s.complain(shut ? "exhaust_valve_shut" : "exhaust_valve_open",
                 "a power valve has two exhaust durations; give both, and no third.",
                 "write exhaust_valve_shut and exhaust_valve_open, or only exhaust_duration.");
    motor.exhaust_shut_deg = shut ? shut->value : 0;
    motor.exhaust_open_deg = open ? open->value : 0;
    if (shut && open && motor.exhaust_shut_deg > motor.exhaust_open_deg)
      s.complain("exhaust_valve_shut", "the exhaust lasts longer with the valve shut than open.", "exchange the two.");
  }
  spec.exhaust_duration_deg = motor.exhaust_shut_deg;
}

/// Said in words, or as a depth gauge over two equal blocks reads it: reading less block is the depth below.
void read_deck(Section& s, Spec& spec) {
  const auto reading = s.maybe("deck_reading", Dimension::length, {0, 300});
  const auto block = s.maybe("deck_block", Dimension::length, {0, 300});
  if (!reading && !block) {
    spec.budget.deck_mm = s.need_height("deck", {-15, 15}).value;
    return;
  }
  if (!reading || !block || s.has("deck"))
    s.complain(reading ? "deck_reading" : "deck_block",
               "a deck by depth gauge needs the reading and the block, and nothing else.",
               "write deck_reading and deck_block, or only deck.");
  else if (spec.budget.deck_mm = reading->value - block->value; std::abs(spec.budget.deck_mm) > 15)
    s.complain("deck_reading",
               fmt::format("reading less block is {:.2f} mm: no deck is that far off.", spec.budget.deck_mm),
               "check both figures and their units.");
}

void read_engine(Section s, Spec& spec) {
  const auto bore = s.need("bore", Dimension::length, {20, 200});
  // A bore that could not be read has been reported; a stand-in keeps the ranges below from reporting it again.
  spec.bore_mm = spec.budget.bore_mm = std::isfinite(bore.value) ? bore.value : 66;
  spec.length_unit = bore.unit;
  spec.crank.stroke_mm = s.need("stroke", Dimension::length, {20, 200}).value;
  if (const auto rod = s.maybe("rod", Dimension::length, {30, 500})) {
    spec.crank.rod_mm = rod->value;
    if (spec.crank.rod_mm < spec.crank.stroke_mm)
      s.complain("rod", "engine.rod is shorter than the stroke.", "give the rod's length from centre to centre.");
  } else {
    spec.rod_assumed = true;
    spec.crank.rod_mm = engine::assumed_rod_per_stroke * spec.crank.stroke_mm;
  }
  read_exhaust(s, spec);
  spec.peak_rpm = s.take("peak_power", Dimension::rotation, {500, 30000}, 0);
  read_deck(s, spec);
  s.finish();
}

void read_crown(Section s, Spec& spec) {
  static constexpr std::string_view forms[] = {"flat", "domed", "dished"};
  const auto form = static_cast<engine::Crown::Form>(s.word("form", forms, std::nullopt));
  const auto radius = s.maybe("radius", Dimension::length, {spec.bore_mm / 2 * 1.001, 5000});
  const auto height = s.maybe("height", Dimension::length, {0.01, spec.bore_mm / 2});
  const double hemisphere = units::pi * std::pow(spec.bore_mm, 3) / 12000;
  const auto volume = s.maybe("volume", Dimension::volume, {0.001, hemisphere});
  const int given = (radius ? 1 : 0) + (height ? 1 : 0) + (volume ? 1 : 0);
  if (form == engine::Crown::Form::flat && given > 0)
    s.complain("form", "crown.form is \"flat\", but a radius, height or volume is given.",
               "remove it, or write form = \"domed\" or \"dished\".");
  else if (form != engine::Crown::Form::flat && s && given != 1)
    s.complain("form",
               fmt::format("a {} crown needs exactly one of radius, height and volume; {} are given.",
                           forms[static_cast<std::size_t>(form)], given),
               "measure one: height over the edge is the easiest (depth gauge).");
  else if (radius)
    spec.budget.crown = engine::crown_from_radius(form, spec.bore_mm, radius->value);
  else if (height)
    spec.budget.crown = engine::crown_from_height(form, spec.bore_mm, height->value);
  else if (volume)
    spec.budget.crown = engine::crown_from_volume(form, spec.bore_mm, volume->value);
  spec.crown_from_volume = volume.has_value();
  s.finish();
}

void read_seal(Section s, Spec& spec) {
  static constexpr std::string_view kinds[] = {"o-ring", "gasket"};
  const bool gasket = s.word("kind", kinds, std::nullopt) == 1;
  const auto bore = s.maybe("bore", Dimension::length, {spec.bore_mm, spec.bore_mm + 40});
  const auto thickness = s.maybe("thickness", Dimension::length, {0.05, 6});
  if (gasket && s && (!bore || !thickness))
    s.complain("kind", "a gasket needs bore and thickness.", "add seal.bore and seal.thickness (compressed).");
  else if (!gasket && (bore || thickness))
    s.complain("kind", "seal.kind is \"o-ring\", but a gasket's bore or thickness is given.",
               "remove them, or write kind = \"gasket\".");
  else if (gasket && bore && thickness) {
    spec.budget.gasket_bore_mm = bore->value;
    spec.budget.gasket_thickness_mm = thickness->value;
  }
  s.finish();
}

void read_want(Section s, Spec& spec) {
  struct Kind {
    Dimension dimension;
    Range range;
  };
  const Kind kinds[] = {{Dimension::volume, {1, 300}},
                        {Dimension::volume, {1, 300}},
                        {Dimension::ratio, {2, 25}},
                        {Dimension::pressure, {200, 4000}}};
  int given = 0;
  for (std::size_t i = 0; i < 4; ++i) {
    const auto q = s.maybe(wanted_names[i], kinds[i].dimension, kinds[i].range);
    if (!q) continue;
    ++given;
    if (kinds[i].dimension == Dimension::pressure && !spec.pressure_unit) spec.pressure_unit = q->unit;
    spec.wanted = static_cast<Wanted>(i);
    spec.wanted_value = q->value;
  }
  if (given == 0) spec.wanted = Wanted::guideline;
  const auto& sites = spec.sheet.sites;
  std::vector<std::string_view> names;
  for (const auto& site : sites) names.push_back(site.name);
  if (names.empty() && s.has("site"))
    s.complain("site", "want.site names a site, but the spec lists none.", "add [[site]].");
  else if (!names.empty())
    spec.wanted_site = s.word("site", names, 0);
  if (s && given > 1)
    s.complain(
        "", fmt::format("[want] holds {} of head_volume, clearance_volume, trapped_ratio and gauge_pressure.", given),
        "give exactly one of them, or none and let [use] decide.");
  s.finish();
}

/// What must be known to answer what is wanted.
void check_wanted(Reader& reader, const Spec& spec) {
  const bool sited = !spec.sheet.sites.empty(), used = !spec.sheet.fuel.empty();
  if (spec.wanted == Wanted::guideline && !used)
    reader.root().complain(
        "", "nothing says what is wanted: [want] gives no figure, and there is no [use] for the guideline.",
        "add one of head_volume, clearance_volume, trapped_ratio, gauge_pressure to [want], or add [use].");
  else if ((spec.wanted == Wanted::guideline || spec.wanted == Wanted::gauge_pressure) && !sited)
    reader.root().complain("", "a cranking pressure depends on the place, and the spec lists no [[site]].",
                           "add [[site]] with a name and its altitude.");
}

engine::Wish wish_of(const Spec& spec) {
  engine::Wish wish;
  const double v = spec.wanted_value;
  switch (spec.wanted) {
  case Wanted::head_volume:
    wish.head_cc = v;
    break;
  case Wanted::clearance_volume:
    wish.clearance_cc = v;
    break;
  case Wanted::trapped_ratio:
    wish.trapped_ratio = v;
    break;
  case Wanted::gauge_pressure:
    wish.gauge_kpa = v;
    break;
  case Wanted::guideline:
    break;
  }
  return wish;
}

/// The head volume wanted, from whatever was asked.
void set_target(Spec& spec) {
  auto& bench = spec.sheet.bench;
  bench.wish = wish_of(spec);
  const auto motor = engine::fitted_motor(bench, engine::fit(bench));
  const double ambient =
      spec.sheet.sites.empty() ? engine::standard_pressure_kpa : spec.sheet.sites[spec.wanted_site].ambient_kpa;
  spec.task.head_cc = engine::target(motor, bench.ask, bench.wish, ambient).head_cc;
}

/// A least figure is told so that it does as it is read: rounded up.
double up_to_hundredth(double value) {
  return std::ceil(value * 100 - 1e-9) / 100;
}

void check_across(Reader& reader, Spec& spec) {
  auto squish = reader.root().section("squish", false);
  const double below = spec.budget.edge_below_face_mm(), edge = spec.squish_clearance_mm - below;
  spec.task.frame.edge_height = edge;
  // The round takes rho tan((90 - angle)/2) of the recess wall; the flattest band takes most.
  const double angle = units::radians(spec.task.frame.follow_crown ? 0 : spec.task.preferences[3].high);
  const double needed = spec.task.frame.rim_round * std::tan(units::pi / 4 - angle / 2);
  if (edge < -1e-9)
    squish.complain(
        "clearance",
        fmt::format("the piston's edge stands {:.2f} mm below the sealing face at top dead centre, deeper than the "
                    "squish clearance of {:.2f} mm: the band would have to stand into the bore.",
                    below, spec.squish_clearance_mm),
        fmt::format("ask for a clearance of at least {:.2f} mm, or lower the cylinder.",
                    up_to_hundredth(below + needed)));
  else if (edge < 1e-9) {
    spec.task.frame.edge_height = 0;
    spec.task.frame.rim_round = 0; // no recess wall, so no corner
  } else {
    const double most = std::floor(edge / std::tan(units::pi / 4 - angle / 2) * 20) / 20;
    if (needed > edge)
      squish.complain(
          "rim_round",
          fmt::format("the recess wall is only {:.2f} mm high (clearance {:.2f} mm less {:.2f} mm to the piston's "
                      "edge): too low for a rim round of {:.2f} mm.",
                      edge, spec.squish_clearance_mm, below, spec.task.frame.rim_round),
          most < 0.05
              ? fmt::format("ask for a clearance of at least {:.2f} mm.", up_to_hundredth(below + needed))
              : fmt::format("make squish.rim_round at most {:.2f} mm (and take a finishing nose no larger).", most));
  }
  if (const auto ok = shapes::check_body(spec.task.body, spec.task.plug, spec.task.frame.rim_radius); !ok)
    reader.root().section("body", false).complain("", ok.error().message, ok.error().cure);
  if (spec.task.head_cc <= 0.5) // not a number where the readings cannot be: they are complained of elsewhere
    reader.root()
        .section("want", false)
        .complain("",
                  fmt::format(
                      "what is wanted leaves {:.2f} cc for the head: the space between deck and crown takes the rest.",
                      spec.task.head_cc),
                  "check deck, crown and gasket, or want more volume.");
}

} // namespace

Results<Spec> read_spec(std::string_view text, const std::string& file, Need need, const engine::Guideline* guideline,
                        const std::string& lathe_file) {
  Reader reader(text, file);
  Spec spec;
  spec.file = file;
  spec.sha256 = sha256(text);
  if (!reader.problems().empty()) return tl::unexpected(reader.problems());
  auto root = reader.root();
  // A sheet may come without a shape; one that is there must be sound all the same. The squish clearance alone is one
  // of the criteria.
  const bool whole = need == Need::design || root.has("shape");
  read_job(root.section("job", false), spec);
  read_engine(root.section("engine", true), spec);
  read_crown(root.section("crown", true), spec);
  read_seal(root.section("seal", true), spec);
  read_plug_section(root, spec);
  read_squish_section(root, spec, whole);
  if (whole) read_shape_sections(root, spec);
  read_sheet_sections(root, spec, guideline ? *guideline : built_in_guideline());
  read_want(root.section("want", false), spec);
  if (whole) {
    read_body_sections(root, spec);
    read_lathe_sections(reader, root, spec, lathe_file);
  }
  read_drawing_section(root, spec);
  root.finish();
  if (reader.problems().empty()) check_wanted(reader, spec);
  if (!reader.problems().empty()) return tl::unexpected(reader.sorted());
  set_target(spec);
  if (whole) check_across(reader, spec);
  if (!reader.problems().empty()) return tl::unexpected(reader.sorted());
  spec.typed = reader.texts(); // only now: what is not known may be endless
  spec.task.budget = spec.budget;
  spec.task.crank = spec.crank;
  spec.task.peak_rpm = spec.peak_rpm;
  spec.task.frame.crown_radius =
      spec.budget.crown.form == engine::Crown::Form::domed ? spec.budget.crown.sphere_radius_mm : 0;
  return spec;
}

Results<Spec> load_spec(const std::string& path, Need need, const engine::Guideline* guideline,
                        const std::string& lathe_file) {
  const auto text = read_text_file(path, "spec");
  if (!text) return tl::unexpected(std::vector{text.error()});
  return read_spec(*text, path == "-" ? "(standard input)" : path, need, guideline, lathe_file);
}

} // namespace chamber::job
