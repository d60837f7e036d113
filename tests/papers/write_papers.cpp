// write_papers FOLDER: a traveller filled with invented data as traveller.html, its figures as files of their own, and
// the length of the chamber's profile.
#include "chamber/papers/charts.hpp"
#include "chamber/papers/print/picture.hpp"
#include "chamber/papers/section.hpp"
#include "chamber/papers/traveller.hpp"
#include "samples.hpp"
#include "scratch.hpp"
#include <cairo-pdf.h>
#include <iostream>

using namespace chamber;

namespace {

papers::Forecast forecast() {
  papers::Forecast f;
  f.altitude_unit = "ft";
  f.pressure_unit = "psi";
  for (int i = 0; i <= 20; ++i) {
    const double h = 500.0 * i, air = std::pow(1 - 6.8756e-6 * h, 5.2559);
    const double fitted = 198 * std::pow(air, 1.12), doubt = 3 + h / 1400;
    f.slices.push_back(
        {h, fitted, 198 * air, fitted - doubt, fitted + doubt, 6.9 / std::pow(air, 0.8), 7.6 / std::pow(air, 0.8)});
  }
  f.band_label = "known to, 95 %";
  f.wanted_low = 160;
  f.wanted_high = 182;
  f.readings = {{300, 196}, {4700, 163}};
  f.sites = {{"Home track", 300}, {"Lake bed", 4400}, {"Dunes", 4700}, {"Pass road", 9200}};
  f.ratio_now = 7.9;
  f.ratio_ceiling = 8.5;
  return f;
}

figure::Figure gap() {
  papers::GapAlongBand g{"mm", {}, 1.0};
  for (int i = 0; i <= 20; ++i) g.gap.push_back({0.45 * i, 1.1 + 0.00085 * 0.45 * i * 0.45 * i * 2 + 0.004 * i});
  return papers::gap_chart(g);
}

figure::Figure velocity() {
  papers::GapVelocity v{"m/s", "9000 rpm", {}, 35};
  for (int i = 0; i <= 60; ++i) v.velocity.push_back({double(i), 27.6 * (i / 10.2) * std::exp(1 - i / 10.2)});
  return papers::velocity_chart(v);
}

figure::Figure contributions() {
  return papers::contributions_chart({"clearance volume, 17.35 cc \xc2\xb1 0.21 cc",
                                      "cc",
                                      {{"burette, today's head", 0.15, "0.150 cc"},
                                       {"gauge, one error for all readings", 0.11, "0.110 cc"},
                                       {"crown", 0.09, "0.090 cc"},
                                       {"exhaust duration", 0.04, "0.040 cc"},
                                       {"bore", 0.012, "0.012 cc"}}});
}

papers::Picture section(const samples::Sample& s) {
  papers::SectionView v;
  v.chamber.assign(s.chamber.chain.begin(), s.chamber.chain.end());
  constexpr double R = 180, r = 33.2, edge = -0.7;
  const double centre = edge - std::sqrt(R * R - r * r);
  v.crown = {
      profile::arc(profile::Kind::ccw, profile::P{r, edge}, profile::P{0, centre + R}, profile::P{0, centre}, R)};
  v.bore_mm = 66.4;
  v.gaps = {{32.5, -0.6, 0.42, "1.10 mm"}, {23.5, 0.6, 1.9, "1.26 mm"}};
  v.volume = "21.50 cc";
  v.summary = "Section of the chamber with the piston at top dead centre: the gap is 1.10 mm at the bore, 1.26 mm at "
              "the bowl's mouth.";
  return {"Profile, crown and squish gap.", figure_of(v), "Piston at top dead centre, head on.", true};
}

/// A stand-in for the drawing: a frame on A4, lying.
std::string drawing() {
  return R"(<?xml version="1.0"?>
<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="297mm" height="210mm" viewBox="0 0 297 210">
<defs><symbol id="glyph-0-0"><path d="M0 0h4v-4h-4z"/></symbol></defs>
<rect x="10" y="10" width="277" height="190" fill="none" stroke="#000" stroke-width="0.7"/>
<use xlink:href="#glyph-0-0" x="20" y="30"/><text x="30" y="30" font-size="5">Stand-in for the drawing: check this length, 100 mm</text>
<path d="M30 40h100" stroke="#000" stroke-width="0.35"/></svg>)";
}

/// A stand-in for a step's swept section; with a clip, so that each needs an id of its own.
papers::Picture step(const char* title, std::string_view colour) {
  papers::Picture p{title, {{0, 0, 120, 80}, title}};
  auto& f = p.figure;
  f.clip = {0, 0, 90, 60};
  f.shape(figure::Path().move(10, 70).line(100, 70).line(100, 40).line(80, 40).line(80, 20).line(10, 20).close(),
          figure::Fill{{"#dddddd"}}, figure::Stroke{});
  f.shape(figure::Path().rectangle({15, 30, 80, 12}), figure::Fill{{colour}}, {}, true);
  return p;
}

void write(const std::string& path, const std::string& text) {
  std::ofstream out(path, std::ios::binary);
  out << text;
  if (!out.flush()) throw std::runtime_error("cannot write " + path);
}

/// As SVG and, painted as the traveller's PDF is, as a PDF of the same size: to be compared.
void write_both(const std::string& path, const figure::Figure& f) {
  write(path + ".svg", figure::to_svg(f));
  if (!papers::print::fonts_ready()) throw std::runtime_error("no fonts");
  const papers::print::Press press(false);
  const double k = 0.75; // a CSS pixel is 0.75 pt
  auto* const surface = cairo_pdf_surface_create((path + ".pdf").c_str(), f.view.width * k, f.view.height * k);
  auto* const c = cairo_create(surface);
  papers::print::picture(press, f, f.view.width * k, 1e6).draw(c, 0, 0);
  cairo_destroy(c);
  cairo_surface_destroy(surface);
}

/// The figure as it is; without its words (their fonts differ); and without its hatching (pattern tiles are rounded by
/// some).
void write_figure(const std::string& path, figure::Figure f) {
  write(path + ".svg", figure::to_svg(f));
  f.width_px = f.view.width;
  std::erase_if(f.items, [](const figure::Item& i) { return std::holds_alternative<figure::Words>(i); });
  for (auto& item : f.items) { // librsvg knows nothing of a page's colours
    auto& shape = std::get<figure::Shape>(item);
    if (shape.fill) shape.fill->ink.on_screen = {};
    if (shape.stroke) shape.stroke->ink.on_screen = {};
  }
  write_both(path + "-hatched", f);
  for (auto& item : f.items)
    if (auto& fill = std::get<figure::Shape>(item).fill; fill && fill->hatching) fill = figure::Fill{{"#dddddd"}};
  write_both(path + "-plain", f);
}

papers::SetupSheet setup(int number, const char* side) {
  papers::SetupSheet s;
  s.title = "Clamping " + std::to_string(number) + ": " + side;
  s.program = "sand-drag-250-" + std::to_string(number) + ".ngc";
  s.time = "14 min";
  s.facts = {{"stock", "\xc3\x98 95.0 x 42.0 mm", "sawn blank, aluminium 6061-T6"},
             {"jaws", number == 1 ? "hard, on \xc3\x98 95.0 mm" : "soft, bored to \xc3\x98 92.0 mm", ""},
             {"grip", number == 1 ? "10.0 mm" : "6.0 mm", ""},
             {"stick-out", "32.0 mm", "raw face to jaws"},
             {"X zero", "axis; X is a diameter", ""},
             {"Z zero", "finished face", "1.0 mm behind the raw face"}};
  s.order = {"Clamp; touch the raw face, set Z 1.000 mm into the metal.", "Set every tool of the table on the setter.",
             "Run once in the air, at reduced feed.", "Cut; at each stop measure what the screen asks."};
  s.tools = {{"T4", "turning tool 80 deg", "face and outside", "0.8 mm", "3", "45 mm", "280 m/min", "0.20 mm/rev", "14",
              "3.1 min",
              "12\xe2\x80\x93"
              "96"},
             {"T1", "drill 12.7", "pilot through", "", "", "100 mm", "80 m/min", "0.15 mm/rev", "4 pecks", "0.8 min",
              "97\xe2\x80\x93"
              "121"},
             {"T2", "roughing bar 10", "rough the chamber", "0.4 mm", "3", "45 mm", "250 m/min", "0.15 mm/rev", "16",
              "4.2 min",
              "122\xe2\x80\x93"
              "233"},
             {"T3", "finishing bar 8", "finish rim to axis", "0.4 mm", "3", "45 mm", "300 m/min", "0.08 mm/rev", "1",
              "1.9 min",
              "234\xe2\x80\x93"
              "251"},
             {"T5", "grooving blade 2", "face groove", "0.2 mm", "8", "45 mm", "120 m/min", "0.05 mm/rev", "3",
              "1.1 min",
              "252\xe2\x80\x93"
              "280"}};
  s.steps = {step("1. Face and outside", "#c60"), step("2. Pilot", "#06c"), step("3. Chamber, rough", "#090"),
             step("4. Chamber, finished", "#909")};
  s.notes = {"The second clamping takes the rest of the surplus off the top."};
  return s;
}

papers::Traveller traveller(const samples::Sample& sample, std::string glb) {
  papers::Traveller t;
  t.job = "Sand drag 250 <invented>";
  t.revision = "A";
  t.customer = "nobody & sons";
  t.material = "aluminium 6061-T6";
  t.note = "Demonstration job; no such motor or customer exists.";
  t.made_by = "chamber 0.1.0";
  t.spec_hash = "sha256 9f86d081884c7d65";
  t.headline = {{"Head volume", "21.50 cc", "plug fitted"},
                {"Clearance volume", "17.35 cc", "\xc2\xb1 0.21 cc"},
                {"Trapped ratio", "8.57:1", ""},
                {"Full-stroke ratio", "15.4:1", ""},
                {"Squish gap", "1.10 mm", "at the bore, head on"}};
  t.measured = {
      {"Motor",
       {{"bore", "66.40 mm", "\xc2\xb1 0.02 mm"},
        {"stroke", "72.0 mm", ""},
        {"rod", "130 mm", "centre to centre"},
        {"exhaust", "190 deg", "open to close"},
        {"deck", "0.35 mm below", ""}}},
      {"Crown", {{"form", "domed", ""}, {"radius", "180 mm", ""}}},
      {"Seal and plug", {{"seal", "O-ring", "no gasket volume"}, {"plug", "M14x1.25", "reach 19 mm, washer 1.45 mm"}}},
      {"Today",
       {{"head", "23.1 cc", "plug fitted, burette"},
        {"gauge", "163 psi", "at 4700 ft"},
        {"gauge", "196 psi", "at 300 ft"}}},
      {"Wanted", {{"head volume", "21.50 cc", "overrides the guideline"}, {"site", "Dunes, 4700 ft", ""}}}};
  t.answer = {{"head volume", "21.50 cc", "\xc2\xb1 0.15 cc"},
              {"trapped ratio", "8.57:1", "ceiling 8.5 for this fuel and use"},
              {"gauge pressure", "178 psi", "\xc2\xb1 5 psi, at Dunes"},
              {"bound by", "pressure", "the ratio has 0.4 cc in hand"}};
  t.reasons = {"The pressure window at Dunes asks for 17.3 cc of clearance, the ratio ceiling for 16.9 cc: the larger "
               "is the answer.",
               "The burette decides how well this is known: fill it twice.",
               "By pressure alone the forecast would be 181 psi."};
  t.glb = std::move(glb);
  t.section = section(sample);
  t.charts = {{"", papers::pressure_chart(forecast()), "", true},
              {"", papers::ratio_chart(forecast()), "", true},
              {"", contributions(), "", false},
              {"", gap(), "", false},
              {"", velocity(), "", false}};
  t.drawings = {{"Insert, A4", drawing(),
                 "Printed here to fit the page: check the length line, or use the PDF file, which is to scale."}};
  t.setups = {setup(1, "chamber side"), setup(2, "top side")};
  t.inspection = {{"flange diameter", "92.00 mm", "91.95 to 92.05 mm", "micrometer"},
                  {"mouth diameter, sharp", "48.30 mm", "48.25 to 48.35 mm", "caliper"},
                  {"recess depth at the edge", "0.75 mm", "0.73 to 0.77 mm", "depth gauge"},
                  {"pocket diameter", "15.00 mm", "14.95 to 15.05 mm", "bore gauge"},
                  {"pocket roof from the face", "17.41 mm", "17.39 to 17.43 mm", "depth gauge"},
                  {"plug seat from the face", "34.96 mm", "34.91 to 35.01 mm", "depth gauge"},
                  {"face groove depth", "1.95 mm", "1.88 to 2.03 mm", "depth gauge"},
                  {"plug thread", "M14x1.25 6H", "go / no-go", "thread gauge"},
                  {"height", "37.00 mm", "36.95 to 37.05 mm", "micrometer"}};
  t.burette = {"wanted 21.50 cc", "21.45 to 21.55 cc", "Plug fitted, face level, filled to the sealing face."};
  t.programs = {{"sand-drag-250-1.ngc", "lathe program, chamber side", "sha256 e3b0c44298fc1c149afbf4c8996fb924"},
                {"sand-drag-250-2.ngc", "lathe program, top side", "sha256 27ae41e4649b934ca495991b7852b855"}};
  t.notes = {"Everything on this sheet is invented."};
  t.cautions = {"Detonation destroys motors and hurts riders: work up from the safe side and read the plug.",
                "Squish too tight breaks parts: check the gap with solder before the motor runs.",
                "An insert holds combustion pressure: material, wall and bolts are the builder's judgement.",
                "Run the program in the air first, at reduced feed; check jaws and the boring bar's reach.",
                "Have a machinist check the program's dialect for your control before the first cut."};
  return t;
}

} // namespace

int main(int argc, char** argv) {
  if (argc != 2) {
    std::cerr << "usage: write_papers FOLDER\n";
    return 2;
  }
  const std::string folder = std::string(argv[1]) + "/";
  const auto sample = samples::sample(shapes::Family::spherical);
  auto parts = samples::parts(sample, folder + "s", true);
  const auto made = solid::make({parts[0]}, scratch::options());
  if (!made) {
    std::cerr << to_text(made.error()) << '\n';
    return 1;
  }
  write(folder + "traveller.html", papers::to_html(traveller(sample, scratch::bytes_of(parts[0].glb_path))));
  double length = 0;
  for (const auto& s : sample.chamber.chain) length += profile::arc_length(s);
  write(folder + "profile_mm.txt", std::to_string(length));
  write_figure(folder + "pressure", papers::pressure_chart(forecast()));
  write_figure(folder + "ratio", papers::ratio_chart(forecast()));
  write_figure(folder + "gap", gap());
  write_figure(folder + "velocity", velocity());
  write_figure(folder + "contributions", contributions());
  write_figure(folder + "section", section(sample).figure);
  write_figure(folder + "step", step("step", "#0072b2").figure);
  return 0;
}
