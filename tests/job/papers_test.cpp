// Papers filled from specs: what stands on them is what the job knows, in the units that were typed.
#include "chamber/engine/air.hpp"
#include "chamber/job/outputs.hpp"
#include "chamber/job/papers.hpp"
#include "chamber/job/sha256.hpp"
#include "chamber/job/turn_report.hpp"
#include "chamber/units/tolerance.hpp"
#include <catch2/catch.hpp>
#include <cstdlib>
#include <map>
#include <regex>
#include <sstream>

using namespace chamber;
using namespace chamber::job;

namespace {

struct Solved {
  Spec spec;
  solve::Fit fit;
  shapes::Insert insert;
};

Solved solved(const std::string& name) {
  Solved s;
  s.spec = load_spec(std::string(CHAMBER_PROFILES) + "/" + name + ".toml").value();
  s.fit = solve::fit(s.spec.task).value();
  s.insert = shapes::assemble(s.fit.chamber, s.spec.task.body, s.spec.task.plug).value();
  return s;
}

constexpr const char* all_specs[] = {"demo", "flat-roof", "inch", "sites", "toroidal", "two-radius"};

bool holds(const std::vector<papers::Fact>& facts, std::string_view name, std::string_view value) {
  for (const auto& f : facts)
    if (f.name == name) return f.value.find(value) != std::string::npos;
  return false;
}

/// The program's comments, each label's wrapped lines joined again: "T2: ...".
std::string unwrapped(const std::string& program) {
  std::string out, last;
  std::istringstream lines(program);
  for (std::string line; std::getline(lines, line);) {
    std::smatch m;
    if (!std::regex_match(line, m, std::regex("\\(([^:]*): (.*)\\)"))) {
      last.clear();
      continue;
    }
    out += m.str(1) == last ? " " + m.str(2) : "\n" + m.str(1) + ": " + m.str(2);
    last = m.str(1);
  }
  return out + "\n";
}

/// The first thing said under a label.
std::string said_of(const std::string& comments, const std::string& label) {
  const auto at = comments.find("\n" + label + ": ");
  return at == std::string::npos ? "" : comments.substr(at + 1, comments.find('\n', at + 1) - at - 1);
}

} // namespace

TEST_CASE("SHA-256: the published vectors") {
  // FIPS 180-2, appendix B (from memory; sha256sum says the same), and the empty text.
  CHECK(sha256("abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  CHECK(sha256("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq") ==
        "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
  CHECK(sha256(std::string(1000000, 'a')) == "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
  CHECK(sha256("") == "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
}

TEST_CASE("outputs are chosen by kind") {
  CHECK(choose_outputs("", "")->has(Output::glb));
  const auto only = choose_outputs("step, drawing", "");
  CHECK((only->has(Output::step) && only->has(Output::drawing) && !only->has(Output::program)));
  const auto less = choose_outputs("", "stl,glb");
  CHECK((!less->has(Output::stl) && !less->has(Output::glb) && less->has(Output::traveller)));
  const auto typo = choose_outputs("drawin", "");
  REQUIRE(!typo);
  CHECK(typo.error().message.find("drawin") != std::string::npos);
  CHECK(typo.error().cure.find("did you mean \"drawing\"") != std::string::npos);
  CHECK(!choose_outputs("", "nothing"));
  CHECK(!choose_outputs("step", "step"));
  CHECK(!choose_outputs("step,,stl", ""));
}

TEST_CASE("the drawing's style is read from the spec") {
  const auto text = [](std::string_view table) {
    return "[engine]\nbore = \"66 mm\"\nstroke = \"72 mm\"\nrod = \"130 mm\"\nexhaust_duration = \"190 deg\"\n"
           "deck = \"level\"\n[crown]\nform = \"flat\"\n[seal]\nkind = \"o-ring\"\n[plug]\nthread = \"M14x1.25\"\n"
           "reach = \"19 mm\"\n[want]\nhead_volume = \"21 cc\"\n" +
           std::string(table);
  };
  const auto read = [&](std::string_view table) { return read_spec(text(table), "t.toml", Need::target); };
  CHECK(read("")->drawing.units == drawing::Units::mm);
  const auto said = read("[drawing]\npaper = \"letter\"\nprojection = \"third\"\nunits = \"both\"\n");
  REQUIRE(said);
  CHECK(said->drawing.paper == drawing::Paper::letter);
  CHECK(said->drawing.projection == drawing::Projection::third_angle);
  CHECK(said->drawing.units == drawing::Units::both);
  const auto wrong = read("[drawing]\npaper = \"a3\"\n");
  REQUIRE(!wrong);
  CHECK(wrong.error().front().message.find("drawing.paper") != std::string::npos);
  CHECK(!read("[drawing]\nscale = \"1:1\"\n"));
}

TEST_CASE("papers speak the unit that was typed") {
  const auto mm = solved("demo"), inch = solved("inch");
  CHECK(Words(mm.spec).length(25.4) == "25.40 mm");
  CHECK(Words(inch.spec).length(25.4) == "1.000 in");
  CHECK(Words(inch.spec).length(25.4, true) == "1.0000 in");
  CHECK(inch.spec.drawing.units == drawing::Units::inch);
  CHECK(gap_along_band(inch.spec, inch.fit).length_unit == "in");
  CHECK(gap_velocity(inch.spec, inch.fit)->velocity_unit == "ft/s");
}

TEST_CASE("a figure says no more than is known") {
  Figure f{21.456, 0.1, 21.26, 21.652, {}, {}, {}};
  CHECK(known_to(f, 2, 1, " cc") == "21.46 cc ± 0.20 cc");
  f.low = 20.34, f.high = 22.58;
  CHECK(known_to(f, 2, 1, " cc") == "21.5 cc ± 1.1 cc"); // JCGM 100, 7.2.6: two figures of the uncertainty
  f.low = f.high = f.value;                              // a wish: exact
  CHECK(known_to(f, 2, 1, " cc") == "21.46 cc");
}

TEST_CASE("the gap along the band starts at the clearance and ends at the mouth's") {
  for (const auto* name : all_specs) {
    CAPTURE(name);
    const auto s = solved(name);
    const double unit = Words(s.spec).inch() ? 25.4 : 1;
    const auto gap = gap_along_band(s.spec, s.fit).gap;
    CHECK(gap.front().x == 0);
    CHECK(gap.front().y * unit == Approx(s.spec.squish_clearance_mm).margin(1e-6));
    CHECK(gap.back().y * unit == Approx(s.fit.split.mouth_gap_mm).margin(1e-6));
  }
}

TEST_CASE("the velocity's chart peaks where the job says") {
  for (const auto* name : all_specs) {
    CAPTURE(name);
    const auto s = solved(name);
    const auto v = gap_velocity(s.spec, s.fit);
    if (!v) continue;
    double most = 0;
    for (const auto& p : v->velocity) most = std::max(most, p.y);
    const double scale = Words(s.spec).velocity_unit().scale;
    CHECK(most * scale == Approx(s.fit.peak.velocity_m_s).epsilon(2e-3)); // whole degrees miss the very top
  }
}

TEST_CASE("the drawing holds the solved insert") {
  for (const auto* name : all_specs) {
    CAPTURE(name);
    const auto s = solved(name);
    const auto in = sheet_input(s.spec, s.fit, s.insert, {});
    CHECK(in.head_cc == Approx(s.spec.task.head_cc).margin(tolerance::volume_cc));
    CHECK(in.spec_hash == s.spec.sha256.substr(0, 16));
    std::size_t rings = 0;
    for (const auto* grooves : {&in.face_rings, &in.radial_rings})
      for (const auto& ring : *grooves) rings += !ring.empty();
    CHECK(rings == s.spec.o_rings.size());
    CHECK(in.face_rings.size() + in.radial_rings.size() == in.body.face_grooves.size() + in.body.radial_grooves.size());
    CHECK(drawing::insert_sheet(in).has_value());
  }
}

TEST_CASE("the drawing's date is SOURCE_DATE_EPOCH's, or left to be filled in") {
  const auto s = solved("demo");
  const char* const before = std::getenv("SOURCE_DATE_EPOCH");
  const std::string kept = before ? before : "";
  setenv("SOURCE_DATE_EPOCH", "1767225600", 1); // date -u -d @1767225600: 1 January 2026
  CHECK(sheet_input(s.spec, s.fit, s.insert, {}).date == "2026-01-01");
  unsetenv("SOURCE_DATE_EPOCH");
  CHECK(sheet_input(s.spec, s.fit, s.insert, {}).date.empty());
  if (before) setenv("SOURCE_DATE_EPOCH", kept.c_str(), 1);
}

TEST_CASE("the forecast passes through the report's own figures") {
  const auto report = target_report(load_spec(CHAMBER_PROFILES "/sites.toml").value(), {}).value();
  const auto f = forecast_of(report, report.sites[0].head.value);
  REQUIRE(f);
  CHECK(f->head == "today's head");
  CHECK((f->altitude_unit == "m" && f->pressure_unit == "psi"));
  CHECK(f->slices.size() >= 2);
  // Today's head was read 214 psi at 180 m and 182 psi at 1150 m (profiles/sites.toml), and two readings are fitted
  // exactly: the line passes through them.
  REQUIRE(f->readings.size() == 2);
  for (const auto& [altitude, psi] : {std::pair{180.0, 214.0}, {1150.0, 182.0}}) {
    double at = 0;
    for (std::size_t i = 0; i + 1 < f->slices.size(); ++i) {
      const auto &a = f->slices[i], &b = f->slices[i + 1];
      if (a.altitude <= altitude && altitude <= b.altitude)
        at = a.fitted + (b.fitted - a.fitted) * (altitude - a.altitude) / (b.altitude - a.altitude);
    }
    CHECK(at == Approx(psi).margin(0.3)); // a chord between two slices
  }
  for (const auto& s : f->slices) CHECK((s.low < s.fitted && s.fitted < s.high));
  CHECK(f->readings[0].x == Approx(180).margin(1));
  // Without a guideline, sites and readings there is nothing to forecast.
  const auto demo = target_report(load_spec(CHAMBER_PROFILES "/demo.toml").value(), {}).value();
  CHECK(!forecast_of(demo, 21.5));
}

TEST_CASE("contributions add up to what they are of") {
  const auto report = target_report(load_spec(CHAMBER_PROFILES "/sites.toml").value(), {}).value();
  for (std::size_t i = 0; i < report.sites.size(); ++i) {
    const auto c = contributions_of(report, i);
    REQUIRE(c);
    double sum = 0, last = 1e9;
    for (const auto& p : c->parts) {
      sum += p.length * p.length;
      if (p.label != "all others") CHECK(p.length <= last);
      last = p.length;
    }
    // JCGM 100, eq. 10: variances add.
    CHECK(std::sqrt(sum) == Approx(report.sites[i].head.standard).margin(6e-3));
    CHECK(c->parts.front().label == report.sites[i].head.decided_by);
  }
}

TEST_CASE("the sheet stands on the traveller as it was typed") {
  const auto s = load_spec(CHAMBER_PROFILES "/inch.toml").value();
  const auto groups = measured(s);
  REQUIRE(!groups.empty());
  CHECK(groups[0].title == "Motor");
  CHECK(holds(groups[0].facts, "bore", "2.677 in"));
  CHECK(holds(groups[0].facts, "deck", "0.010 in above"));
  CHECK(holds(groups[0].facts, "exhaust duration", "189 deg"));
}

TEST_CASE("a tool's tip is the same in the program, on the traveller, on the terminal and in the JSON") {
  for (const auto* name : all_specs) {
    CAPTURE(name);
    const auto s = solved(name);
    const auto t = turn(turning_job(s.spec, s.fit, s.insert, {}), {}).value();
    const auto sheets = setup_sheets(t, s.spec, "base", false);
    const auto told = turning_text(t, "base", {false});
    std::size_t tips = 0;
    for (std::size_t i = 0; i < sheets.size(); ++i) {
      const auto program = unwrapped(t.files[i].text);
      for (std::size_t k = 0; k < sheets[i].tools.size(); ++k) {
        const auto& line = sheets[i].tools[k];
        CAPTURE(line.number);
        std::smatch m;
        const auto header = said_of(program, line.number);
        const auto json = turning_json(t, "base")["setups"][i]["operations"][k]["tool"];
        if (!std::regex_search(header, m, std::regex("TIP ([0-9]) TOWARDS (NOWHERE|X[-+] Z[-+]|[XZ][-+])"))) {
          CHECK(line.tip.empty());
          CHECK(!json.contains("tip"));
          continue;
        }
        ++tips;
        CHECK(line.tip == m.str(1) + ", " + m.str(2));
        CHECK(told.find("tip " + m.str(1) + " towards " + m.str(2)) != std::string::npos);
        CHECK((json["tip"]["number"] == std::stoi(m.str(1)) && json["tip"]["towards"] == m.str(2)));
        // What the number means: the quadrants as the rs274 interpreter documents them, and as type-A controls usually
        // have them (from memory).
        const std::map<std::string, std::string> rs274 = {{"2", "X- Z-"}, {"3", "X+ Z-"}, {"6", "X-"}, {"7", "Z-"}},
                                                 type_a = {{"3", "X- Z-"}, {"2", "X+ Z-"}, {"7", "X-"}, {"8", "Z-"}};
        CHECK((s.spec.machine.dialect == "rs274" ? rs274 : type_a).at(m.str(1)) == m.str(2));
      }
    }
    CHECK(tips >= 4);
  }
}

TEST_CASE("grip and stick-out are the same in header, notes and setup sheet, the toolpost said once") {
  for (const auto* name : all_specs) {
    CAPTURE(name);
    const auto s = solved(name);
    const auto t = turn(turning_job(s.spec, s.fit, s.insert, {}), {}).value();
    const auto sheets = setup_sheets(t, s.spec, "base", false);
    for (std::size_t i = 0; i < sheets.size(); ++i) {
      const auto comments = unwrapped(t.files[i].text);
      std::smatch held, note;
      const auto clamping = said_of(comments, "CLAMPING");
      if (!std::regex_search(clamping, held, std::regex("GRIP ([0-9.]+) (?:MM|IN), STICK-OUT ([0-9.]+)"))) continue;
      if (std::regex_search(comments, note, std::regex("STICKS OUT ([0-9.]+) (?:MM|IN) ON A GRIP OF ([0-9.]+)")))
        CHECK((note.str(1) + " " + note.str(2)) == held.str(2) + " " + held.str(1));
      if (Words(s.spec).inch() != s.spec.machine.inch) continue;
      CHECK(holds(sheets[i].facts, "stick-out", held.str(2)));
      std::string jaws;
      for (const auto& f : sheets[i].facts)
        if (f.name == "jaws") jaws = f.note;
      CHECK(jaws.find("grip " + held.str(1)) != std::string::npos);
      const auto lathe = said_of(comments, "LATHE");
      CHECK(lathe.find("TOOLPOST") != std::string::npos);
      CHECK(lathe.find("TOOLPOST") == lathe.rfind("TOOLPOST"));
      CHECK(comments.find("[CHUCKING]") == std::string::npos);
    }
  }
}

TEST_CASE("an inch job is told in inches on the setup sheets, at the terminal and in its programs") {
  const auto s = solved("inch");
  TurnOptions options;
  options.measure_stops = options.in_the_air = true;
  const auto t = turn(turning_job(s.spec, s.fit, s.insert, options), options).value();
  std::string all = turning_text(t, "base", {false});
  for (const auto& f : t.files) all += unwrapped(f.text);
  for (const auto& sheet : setup_sheets(t, s.spec, "base", false)) {
    for (const auto& f : sheet.facts) all += f.value + " " + f.note + "\n";
    for (const auto* texts : {&sheet.order, &sheet.notes})
      for (const auto& line : *texts) all += line + "\n";
    for (const auto& l : sheet.tools) all += l.nose + " " + l.work + " " + l.speed + " " + l.feed + "\n";
  }
  std::smatch mm;
  std::regex_search(all, mm, std::regex("[^\n]*[0-9] (mm|um|m/min)\\b[^\n]*", std::regex::icase));
  CHECK(mm.str() == "");
  // Ra of the spec is 1.3 um; a microinch is 0.0254 um.
  CHECK(std::regex_search(all, std::regex("LEAVES R [0-9]+ UIN")));
  // ISO 965-1, 6H: M14x1.25 bored to 12.647 to 12.912 mm: 0.49791 to 0.50835 in, said inwards.
  CHECK(all.find("the thread's 0.4980 in to 0.5083 in allow") != std::string::npos);
}

TEST_CASE("inspection: ISO 2768-m limits, in the unit typed") {
  Design d;
  auto s = solved("demo");
  d.spec = s.spec, d.fit = s.fit, d.insert = s.insert, d.limits = limits_of(s.spec, s.fit, s.insert);
  const auto rows = inspection(d);
  const auto row = [&](std::string_view what) {
    for (const auto& r : rows)
      if (r.what == what) return r;
    FAIL("no row " << what);
    return rows.front();
  };
  // ISO 2768-1, table 1, class m: 6-30 +-0.2, 30-120 +-0.3, 0.5-6 +-0.1.
  CHECK(row("step 1, ⌀").limits == "91.70 to 92.30 mm");
  CHECK(row("step 1, length").limits == "6.80 to 7.20 mm");
  CHECK(row("step 2, length").wanted == "16.00 mm");
  CHECK(row("radial groove 1, from the face").limits == "11.80 to 12.20 mm");
  CHECK(row("plug thread").wanted == "M14x1.25 6H");
  s = solved("inch");
  d.spec = s.spec, d.fit = s.fit, d.insert = s.insert, d.limits = limits_of(s.spec, s.fit, s.insert);
  CHECK(inspection(d).front().wanted == "3.750 in");
  CHECK(inspection(d).front().limits == "3.739 to 3.761 in"); // +-0.3 mm are 0.0118 in: never more
  int bands = 0;
  for (const auto& r : inspection(d))
    if (r.what.starts_with("band at G")) {
      CHECK(r.what.ends_with(" in")); // the diameter it is measured on
      ++bands;
    }
  CHECK(bands == 2);
}
