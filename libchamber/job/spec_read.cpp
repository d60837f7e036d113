#include "chamber/job/reader.hpp"
#include "chamber/job/spec.hpp"
#include "chamber/job/spec_sections.hpp"
#include <cmath>
#include <cstdio>
#include <fmt/format.h>
#include <fstream>
#include <iostream>
#include <sstream>

namespace chamber::job {
namespace {

using units::Dimension;
constexpr std::size_t most_bytes = 1 << 20;

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
  spec.exhaust_duration_deg = s.need("exhaust_duration", Dimension::angle, {100, 240}).value;
  spec.peak_rpm = s.take("peak_power", Dimension::rotation, {500, 30000}, 0);
  spec.budget.deck_mm = s.need_height("deck", {-15, 15}).value;
  s.finish();
}

void read_crown(Section s, Spec& spec) {
  static constexpr std::string_view forms[] = {"flat", "domed", "dished"};
  const auto form = static_cast<engine::Crown::Form>(s.word("form", forms, std::nullopt));
  const auto radius = s.maybe("radius", Dimension::length, {spec.bore_mm / 2 * 1.001, 5000});
  const auto height = s.maybe("height", Dimension::length, {0.01, spec.bore_mm / 2});
  const auto volume = s.maybe("volume", Dimension::volume, {0.001, 200});
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
  const std::pair<std::string_view, Range> kinds[] = {
      {wanted_names[0], {1, 300}}, {wanted_names[1], {1, 300}}, {wanted_names[2], {2, 25}}};
  int given = 0;
  for (std::size_t i = 0; i < 3; ++i) {
    const auto q = s.maybe(kinds[i].first, i == 2 ? Dimension::ratio : Dimension::volume, kinds[i].second);
    if (!q) continue;
    ++given;
    spec.wanted = static_cast<Wanted>(i);
    spec.wanted_value = q->value;
  }
  if (s && given != 1)
    s.complain("", fmt::format("[want] holds {} of head_volume, clearance_volume and trapped_ratio.", given),
               "give exactly one of them.");
  s.finish();
}

/// The head volume wanted, from whatever was asked.
void set_target(Spec& spec) {
  double head = spec.wanted_value;
  if (spec.wanted == Wanted::trapped_ratio)
    head =
        spec.budget.head_from_clearance_cc(engine::clearance_for_ratio_cc(spec.trapped_swept_cc(), spec.wanted_value));
  if (spec.wanted == Wanted::clearance_volume) head = spec.budget.head_from_clearance_cc(spec.wanted_value);
  spec.task.head_cc = head;
}

void check_across(Reader& reader, Spec& spec) {
  auto squish = reader.root().section("squish", false);
  const double below = spec.budget.edge_below_face_mm(), edge = spec.squish_clearance_mm - below;
  spec.task.frame.edge_height = edge;
  if (edge < -1e-9)
    squish.complain(
        "clearance",
        fmt::format("the piston's edge stands {:.2f} mm below the sealing face at top dead centre, deeper than the "
                    "squish clearance of {:.2f} mm: the band would have to stand into the bore.",
                    below, spec.squish_clearance_mm),
        fmt::format("ask for a clearance of at least {:.2f} mm, or lower the cylinder.", below));
  else if (edge < 1e-9) {
    spec.task.frame.edge_height = 0;
    spec.task.frame.rim_round = 0; // no recess wall, so no corner
  } else {
    // The round takes rho tan((90 - angle)/2) of the recess wall; the flattest band takes most.
    const double angle = units::radians(spec.task.frame.follow_crown ? 0 : spec.task.preferences[3].high);
    const double needed = spec.task.frame.rim_round * std::tan(units::pi / 4 - angle / 2);
    if (needed > edge)
      squish.complain(
          "rim_round",
          fmt::format("the recess wall is only {:.2f} mm high (clearance {:.2f} mm less {:.2f} mm to the piston's "
                      "edge): too low for a rim round of {:.2f} mm.",
                      edge, spec.squish_clearance_mm, below, spec.task.frame.rim_round),
          fmt::format("make squish.rim_round at most {:.2f} mm (and take a finishing nose no larger).",
                      std::floor(edge / std::tan(units::pi / 4 - angle / 2) * 20) / 20));
  }
  if (spec.task.head_cc <= 0.5)
    reader.root()
        .section("want", false)
        .complain("",
                  fmt::format(
                      "what is wanted leaves {:.2f} cc for the head: the space between deck and crown takes the rest.",
                      spec.task.head_cc),
                  "check deck, crown and gasket, or want more volume.");
}

} // namespace

Results<Spec> read_spec(std::string_view text, const std::string& file) {
  Reader reader(text, file);
  Spec spec;
  spec.file = file;
  if (!reader.problems().empty()) return tl::unexpected(reader.problems());
  auto root = reader.root();
  read_job(root.section("job", false), spec);
  read_engine(root.section("engine", true), spec);
  read_crown(root.section("crown", true), spec);
  read_seal(root.section("seal", true), spec);
  read_want(root.section("want", true), spec);
  read_shape_sections(root, spec);
  read_body_sections(root, spec);
  read_lathe_sections(root, spec);
  root.finish();
  if (!reader.problems().empty()) return tl::unexpected(reader.sorted());
  set_target(spec);
  check_across(reader, spec);
  if (!reader.problems().empty()) return tl::unexpected(reader.sorted());
  spec.task.budget = spec.budget;
  spec.task.crank = spec.crank;
  spec.task.peak_rpm = spec.peak_rpm;
  spec.task.frame.crown_radius =
      spec.budget.crown.form == engine::Crown::Form::domed ? spec.budget.crown.sphere_radius_mm : 0;
  return spec;
}

Results<Spec> load_spec(const std::string& path) {
  const auto failed = [&](std::string message, std::string cure) {
    return tl::unexpected(std::vector{Problem{{path, 0, 0}, std::move(message), std::move(cure)}});
  };
  std::ifstream file;
  if (path != "-") {
    file.open(path, std::ios::binary);
    if (!file) return failed("the spec cannot be opened.", "check the path and the right to read it.");
  }
  std::istream& in = path == "-" ? std::cin : file;
  std::string text(most_bytes + 1, '\0');
  in.read(text.data(), static_cast<std::streamsize>(text.size()));
  const auto got = static_cast<std::size_t>(in.gcount());
  if (in.bad() || (got == 0 && path != "-" && !in.eof()))
    return failed("the spec cannot be read.", "name a file, not a folder, and check the right to read it.");
  if (got > most_bytes) return failed("the spec is larger than 1 MiB.", "check that it is the right file.");
  text.resize(got);
  return read_spec(text, path == "-" ? "(standard input)" : path);
}

} // namespace chamber::job
