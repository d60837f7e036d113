// What a machinist finds on a traveller: what the insert is for, how tools stand, what to know a program by.
#include "chamber/job/papers.hpp"
#include "chamber/job/set.hpp"
#include "chamber/job/sha256.hpp"
#include <algorithm>
#include <catch2/catch.hpp>
#include <fmt/format.h>

using namespace chamber;
using namespace chamber::job;

namespace {

/// Solved and turned, without the solids.
Design designed(const std::string& name) {
  Design d;
  d.spec = load_spec(std::string(CHAMBER_PROFILES) + "/" + name + ".toml").value();
  d.fit = solve::fit(d.spec.task).value();
  d.insert = shapes::assemble(d.fit.chamber, d.spec.task.body, d.spec.task.plug).value();
  d.turned = turn(turning_job(d.spec, d.fit, d.insert, {}), {}).value();
  d.volumes.profile = d.fit.head_cc;
  return d;
}

constexpr const char* all_specs[] = {"demo", "flat-roof", "inch", "sites", "toroidal", "two-radius"};

std::string joined(const std::vector<std::string>& texts) {
  std::string out;
  for (const auto& t : texts) out += t + "\n";
  return out;
}

bool has(const std::string& text, const std::string& what) {
  return text.find(what) != std::string::npos;
}

} // namespace

TEST_CASE("the traveller names the smallest squish gap and its place") {
  for (const auto* name : all_specs) {
    CAPTURE(name);
    const auto d = designed(name);
    const auto page = traveller_of(d, nullptr, {});
    // By hand along the turned band: height of the metal less that of the crown, over the bore.
    const auto& band = d.fit.chamber.band;
    double least = 1e9;
    for (int i = 0; i <= 2000; ++i) {
      const auto p = profile::point_at(band, i / 2000.0);
      if (p.r > d.spec.bore_mm / 2 + 1e-9) continue;
      least = std::min(least, p.z + d.spec.budget.edge_below_face_mm() -
                                  engine::crown_height_at_mm(d.spec.budget.crown, d.spec.bore_mm, p.r));
    }
    const Words w(d.spec);
    const auto& box = page.headline.back();
    REQUIRE(box.name == "Squish gap");
    REQUIRE(has(box.note, "smallest "));
    const auto said = std::stod(box.note.substr(box.note.find("smallest ") + 9));
    CHECK(said == Approx(w.lengths(least)).margin(w.lengths(0.004)));
    CHECK(has(box.note, " at ⌀ "));
  }
}

TEST_CASE("the setup table says how far a tool sticks out and what its bar or blade measures") {
  for (const auto* name : all_specs) {
    CAPTURE(name);
    const auto d = designed(name);
    const Words w(d.spec);
    const auto sheets = setup_sheets(d.turned, d.spec, "base", false);
    for (std::size_t i = 0; i < sheets.size(); ++i) {
      const auto& ops = d.turned.plan.setups[i].operations;
      for (std::size_t k = 0; k < ops.size(); ++k) {
        const auto& t = ops[k].tool;
        const auto& line = sheets[i].tools[k];
        CHECK(line.out == w.length(t.reach_mm));
        if (t.kind == turning::ToolKind::boring) CHECK(has(line.name, "bar ⌀ " + w.length(t.shank_mm)));
        if (t.width_mm > 0) CHECK(has(line.name, "blade " + w.length(t.width_mm, true)));
        // Under type-A the tap is turned back by the spindle: its holder has to float; rs274 taps in one (G33.1).
        if (ops[k].cut == turning::Cut::tap)
          CHECK(has(joined(sheets[i].notes), "floating holder") == (d.spec.machine.dialect == "type-a"));
      }
    }
  }
}

TEST_CASE("what is done by hand is told in the clamping that shows it") {
  for (const auto* name : all_specs) {
    CAPTURE(name);
    const auto d = designed(name);
    const auto sheets = setup_sheets(d.turned, d.spec, "base", false);
    REQUIRE(sheets.size() == 2);
    for (std::size_t i = 0; i < 2; ++i) {
      const bool chamber = d.turned.plan.setups[i].clamping.side == turning::Side::chamber;
      CHECK(has(sheets[i].order.back(), "rim sharp") == chamber); // as the drawing asks: "rim sharp, burr-free"
      CHECK(has(sheets[i].order.back(), "inspection") == (i == 1));
    }
  }
}

TEST_CASE("a program is known by its number, its lines and a short code") {
  const auto d = designed("demo");
  const auto rows = program_files(d.turned, "base");
  REQUIRE(rows.size() == 2);
  for (std::size_t i = 0; i < 2; ++i) {
    const auto& text = d.turned.files[i].text;
    CHECK(rows[i].hash == fmt::format("O{:04}, {} lines, sha256 {}", 1001 + i,
                                      std::count(text.begin(), text.end(), '\n'), sha256(text).substr(0, 8)));
  }
}

TEST_CASE("what stands beside a doubtful figure has no more digits than it, and ± is explained once") {
  const auto d = designed("sites");
  const auto report = target_report(d.spec, {}).value();
  const auto page = traveller_of(d, &report, {});
  CHECK(has(page.reasons.front(), "± covers 95 %"));
  const auto& s = report.sites[d.spec.wanted_site];
  const int decimals = decimals_of(s.clearance, 2, 1);
  CHECK(decimals < 2); // this motor's readings leave over 1 cc
  for (const auto& r : answer_reasons(report, d.spec.wanted_site))
    if (const auto at = r.find(" asks for "); at != std::string::npos) {
      const auto figure = r.substr(at + 10, r.find(" cc", at) - at - 10);
      const auto dot = figure.find('.');
      CHECK((dot == std::string::npos ? 0 : static_cast<int>(figure.size() - dot - 1)) == decimals);
    }
  // Where nothing is in doubt nothing is explained.
  auto plain = traveller_of(d, nullptr, {});
  CHECK_FALSE(has(joined(plain.reasons), "95 %"));
}

TEST_CASE("each insert of a set says what it is for and what reads where") {
  auto spec = load_spec(CHAMBER_PROFILES "/sites.toml").value();
  const auto set = plan_set(target_report(spec, {}).value(), 0.05);
  REQUIRE(set.inserts.size() >= 2);
  for (std::size_t i = 0; i < set.inserts.size(); ++i) {
    const auto& insert = set.inserts[i];
    papers::Traveller page;
    page.measured = measured(spec);
    add_set(page, part_of(set, i));
    CHECK(page.note.starts_with(fmt::format("Insert {} of {}: for ", insert.letter, set.inserts.size())));
    for (std::size_t s = 0; s < set.report.sites.size(); ++s) {
      const auto& name = set.report.sites[s].site.name;
      const bool own = std::find(insert.sites.begin(), insert.sites.end(), s) != insert.sites.end();
      CHECK(has(page.note, name) == own);
      const auto row =
          std::find_if(page.answer.begin(), page.answer.end(), [&](const auto& f) { return f.name == "at " + name; });
      REQUIRE(row != page.answer.end());
      CHECK(has(row->note, "what it is for") == own);
      CHECK(has(row->value, fmt::format("{:.2f}:1", insert.at[s].forecast.trapped_ratio)));
      for (const auto& other : set.inserts)
        if (&other != &insert) CHECK(has(row->note, fmt::format("{:.2f}:1", other.at[s].forecast.trapped_ratio)));
    }
    for (const auto& n : on_paper(set.report.notes)) CHECK(has(joined(page.notes), n));
    CHECK(has(joined(page.notes), "±"));
    CHECK_FALSE(has(joined(page.notes), "+-"));
    CHECK_FALSE(has(joined(page.notes), "star of")); // of the terminal's table: no page has any
    for (const auto& g : page.measured)
      if (g.title == "Wanted")
        for (const auto& f : g.facts) CHECK(f.name != "site");
  }
}
