// What a cut insert's volume leads to: figures by hand, verdicts, the log.
#include "chamber/job/papers.hpp"
#include "chamber/job/reader.hpp"
#include "chamber/job/trim.hpp"
#include "chamber/profile/integrals.hpp"
#include <atomic>
#include <catch2/catch.hpp>
#include <cstdlib>
#include <fmt/format.h>
#include <fstream>
#include <map>
#include <regex>
#include <sstream>
#include <thread>
#include <unistd.h>

using namespace chamber;
using namespace chamber::job;

namespace {

constexpr double pi = 3.14159265358979323846;

std::string text_of(const std::string& profile) {
  std::ifstream in(std::string(CHAMBER_PROFILES "/") + profile);
  std::stringstream all;
  all << in.rdbuf();
  return all.str();
}

std::string changed(std::string text, const std::string& from, const std::string& to) {
  REQUIRE(text.find(from) != std::string::npos);
  return text.replace(text.find(from), from.size(), to);
}

Spec spec_of(const std::string& text) {
  auto spec = read_spec(text + "\n[uncertainty]\nhead_volume = \"0.03 cc\"\n", CHAMBER_PROFILES "/spec.toml");
  if (!spec)
    for (const auto& p : spec.error()) UNSCOPED_INFO(to_text(p));
  REQUIRE(spec);
  return *spec;
}

struct Folder {
  std::filesystem::path path;
  Folder() {
    std::string pattern = (std::filesystem::temp_directory_path() / "trim-XXXXXX").string();
    REQUIRE(mkdtemp(pattern.data()));
    path = pattern;
  }
  ~Folder() { std::filesystem::remove_all(path); }
};

TrimReport done(const Spec& spec, const Folder& folder, std::vector<double> cc,
                engine::Fill filled = engine::Fill::plug_fitted, const std::string& insert = "") {
  auto r = trim(spec, {std::move(cc), filled, folder.path, {}, insert});
  if (!r)
    for (const auto& p : r.error().problems) UNSCOPED_INFO(to_text(p));
  REQUIRE(r);
  return std::move(*r);
}

} // namespace

TEST_CASE("trim: within the limit and what cannot be told it is left", "[trim]") {
  const auto spec = spec_of(text_of("demo.toml"));
  const Folder folder;
  auto r = done(spec, folder, {21.55});
  CHECK(r.verdict == Verdict::leave);
  CHECK(r.error_cc == Approx(0.05));
  CHECK(r.uncertainty_cc == Approx(0.03));
  CHECK(r.ways.empty());
  CHECK_FALSE(r.program);
  CHECK(verdict_text(r).find("within the limit of ± 0.05 cc") != std::string::npos);
  // Over the limit is proven only beyond it and two standard uncertainties (ISO 14253-1, from memory): 0.05 + 0.06.
  r = done(spec, folder, {21.609});
  CHECK(r.verdict == Verdict::leave);
  CHECK(verdict_text(r).find("over the limit of ± 0.05 cc, but by no more than the ± 0.06 cc") != std::string::npos);
  r = done(spec, folder, {21.611});
  CHECK(r.verdict == Verdict::mend);
  // The traveller's limits are the same, with the mean of three fillings: never under the burette's own 2 x 0.0289.
  const auto test = burette_test(spec, 21.5);
  CHECK(test.limits == "right from 21.45 to 21.55 cc");
  CHECK(test.how.find("± 0.06 cc (95 %): from 21.39 to 21.61 cc") != std::string::npos);
  CHECK(fill_rule(done(spec, folder, {21.5, 21.5, 21.5}).uncertainty_cc).leave_cc() == Approx(0.05 + 2 * 0.0288675));
  // Several fillings: mean, and their scatter counts where it is larger than what one filling is known to. By
  // hand: 21.3, 21.5, 21.7 scatter by 0.2; over three 0.2/sqrt(3) = 0.11547.
  r = done(spec, folder, {21.3, 21.5, 21.7});
  CHECK(r.measured_cc == Approx(21.5));
  CHECK(r.scatter_cc == Approx(0.2));
  CHECK(r.uncertainty_cc == Approx(0.11547).margin(1e-5));
  // Never under what the burette is off by on all of them: +-0.05/sqrt(3) = 0.0289 (ISO 385 class A).
  r = done(spec, folder, std::vector<double>(10, 21.5));
  CHECK(r.uncertainty_cc == Approx(0.028868).margin(1e-5));
}

TEST_CASE("trim: to where it was filled, by the hole as designed", "[trim]") {
  const auto spec = spec_of(text_of("demo.toml"));
  const Folder folder;
  // M14x1.25: pitch diameter 13.188 (ISO 724); reach 19 less 1.45 of washer: pi/4 13.188^2 17.55 = 2397.3 mm3.
  const double hole = pi / 4 * 13.188 * 13.188 * 17.55 / 1000;
  auto r = done(spec, folder, {21.5 + hole}, engine::Fill::top_of_plug_hole);
  CHECK(r.measured_cc == Approx(21.5).margin(2e-4));
  CHECK(r.verdict == Verdict::leave);
  // The plug's tip and the hole's length (defaults 0.1 cc and 0.2 mm) count with it: 0.2 mm are 0.0273 cc.
  CHECK(r.uncertainty_cc == Approx(std::sqrt(0.03 * 0.03 + 0.1 * 0.1 + 0.02732 * 0.02732)).margin(1e-4));
  CHECK(r.decided_by.find("tip") != std::string::npos);
  r = done(spec, folder, {21.5}, engine::Fill::bottom_of_plug_hole);
  CHECK(r.measured_cc == Approx(21.5));
  // Another insert, or another word for how it was filled, is asked about.
  const auto other = trim(spec, {{27.9}, engine::Fill::plug_fitted, folder.path, {}, ""});
  REQUIRE_FALSE(other);
  CHECK(other.error().code == Exit::usage);
  const auto swapped = trim(spec, {{21.5 + hole + 2.5}, engine::Fill::plug_fitted, folder.path, {}, ""});
  REQUIRE_FALSE(swapped);
  const auto words = trim(spec, {{26.5}, engine::Fill::plug_fitted, folder.path, {}, ""});
  REQUIRE_FALSE(words);
}

TEST_CASE("trim: facing by hand", "[trim]") {
  // The flat roof's recess is a cylinder at the sealing face: 0.1 mm off it is pi r^2 0.1, and the gap shrinks by 0.1.
  const auto spec = spec_of(text_of("flat-roof.toml"));
  const auto fit = solve::fit(spec.task).value();
  const double rim = spec.task.frame.rim_radius;
  REQUIRE(fit.chamber.chain[0].end.z > 0.1);
  const auto w = facing(spec, fit, 0.1, 0);
  CHECK(w.after.head_cc - fit.head_cc == Approx(-pi * rim * rim * 0.1 / 1000).epsilon(1e-9));
  CHECK(w.cc_per_tenth_mm == Approx(-pi * rim * rim * 0.1 / 1000).epsilon(1e-9));
  const auto none = facing(spec, fit, 1e-6, 0);
  CHECK(*none.after.squish_gap_mm - *w.after.squish_gap_mm == Approx(0.1).margin(1e-5));
  CHECK(none.after.plug_to_crown_mm - w.after.plug_to_crown_mm == Approx(0.1).margin(1e-5));
  // The ratio, said again from its definition.
  const double clearance = spec.budget.clearance_from_head_cc(w.after.head_cc);
  CHECK(w.after.trapped_ratio == Approx((spec.trapped_swept_cc() + clearance) / clearance));
}

TEST_CASE("trim: an inch job is told in inches, on paper, at the terminal and to the control", "[trim]") {
  auto text = text_of("inch.toml");
  for (const double off : {-0.4, 0.15}) {
    const Folder folder;
    auto eased = changed(text, "gap_min = \"0.035 in\"", "gap_min = \"0.025 in\"");
    const auto r = done(spec_of(eased), folder, {solve::fit(spec_of(eased).task)->head_cc + off});
    REQUIRE(r.program);
    const auto page = trim_page(r);
    std::string all = to_text(r, false) + r.program->files[0].text + page.job;
    const auto add = [&](const auto& texts) {
      for (const auto& t : texts) all += t + "\n";
    };
    const auto add_facts = [&](const auto& facts) {
      for (const auto& f : facts) all += f.name + " " + f.value + " " + f.note + "\n";
    };
    add(page.reasons), add(page.notes), add(page.setups[0].notes), add(page.setups[0].order);
    add_facts(page.headline), add_facts(page.answer), add_facts(page.setups[0].facts);
    for (const auto& m : page.inspection) all += m.wanted + " " + m.limits + "\n";
    std::smatch mm;
    std::regex_search(all, mm, std::regex("[^\n]*[0-9)] ?(mm|MM|m/s|um|UM)\\b[^\n]*"));
    CHECK(mm.str() == "");
    // The box over the page and the sentence under it say the same: two standard uncertainties.
    const auto known = fmt::format("± {:.2f} cc", 2 * r.uncertainty_cc);
    CHECK(page.headline[2].note == known + " (95 %)");
    CHECK(page.reasons.front().find(known) != std::string::npos);
    const auto& way = r.ways[*r.recommended];
    CHECK(all.find(fmt::format("{:.4f} in", way.amount_mm / 25.4)) != std::string::npos);
    CHECK(all.find(fmt::format("{:.4f} IN", way.amount_mm / 25.4)) != std::string::npos);
    if (way.mend != Mend::face) {
      // What the operator types: the roof's height in the program's unit, under G20.
      CHECK(r.program->files[0].text.find("\nG20\n") != std::string::npos);
      CHECK(all.find(fmt::format("call it Z{:.4f} in", -r.fit.chamber.roof_z / 25.4)) != std::string::npos);
    }
  }
}

TEST_CASE("trim: too much is faced as far as the limits go, else it is a gasket or scrap", "[trim]") {
  const Folder folder;
  auto text = changed(text_of("demo.toml"), "gap_min = \"1.0 mm\"", "gap_min = \"0.9 mm\"");
  auto r = done(spec_of(text), folder, {21.7});
  REQUIRE(r.verdict == Verdict::mend);
  const auto& w = r.ways[*r.recommended];
  CHECK(w.mend == Mend::face);
  CHECK(w.after.head_cc == Approx(21.5).margin(0.004)); // 0.001 mm of the rim is 0.0035 cc
  CHECK(r.program_cc == Approx(21.5).margin(0.01));
  CHECK(w.amount_mm ==
        Approx(0.2 * 1000 / (pi * r.spec.task.frame.rim_radius * r.spec.task.frame.rim_radius)).margin(1e-3));
  CHECK(r.most_facing_mm >= w.amount_mm);
  // What the groove loses: an AS568 0.103 section is 2.6162 mm, a groove of 77 thou 1.9558 mm deep squeezes it by 25.2
  // %, one of 1.9558 - 0.058 by (2.6162 - 1.8978)/2.6162 = 27.46 %.
  REQUIRE(w.notes.size() >= 2);
  CHECK(w.notes.back().find("face groove") != std::string::npos);
  CHECK(w.notes.back().find("squeezed by 27.5 % (25.2 % now)") != std::string::npos);

  r = done(spec_of(text), folder, {22.4});
  CHECK(r.verdict == Verdict::no_way);
  CHECK_FALSE(r.ways[0].against.empty());
  CHECK_FALSE(r.gasket);

  // A gasket: pi/4 bore^2 thickness is the clearance it makes. Eased gap: thinner by error over its area.
  text = changed(text_of("flat-roof.toml"), "gap_min = \"0.85 mm\"", "gap_min = \"0.80 mm\"");
  const auto spec = spec_of(text);
  const double area = pi / 4 * spec.budget.gasket_bore_mm * spec.budget.gasket_bore_mm;
  r = done(spec, folder, {spec.task.head_cc + 0.3});
  REQUIRE(r.gasket);
  CHECK(r.gasket->to_mm == Approx(spec.budget.gasket_thickness_mm - 300 / area).margin(0.006));
  CHECK(r.gasket->after.clearance_cc ==
        Approx(spec.budget.clearance_from_head_cc(spec.task.head_cc)).margin(0.01 * area / 1000));
  // Too little: a thicker one stands beside the cuts.
  r = done(spec, folder, {spec.task.head_cc - 0.2});
  REQUIRE(r.gasket);
  CHECK(r.gasket->to_mm > spec.budget.gasket_thickness_mm);
  CHECK(r.verdict == Verdict::mend);
}

TEST_CASE("trim: too little is cut, one dimension at a time", "[trim]") {
  int allowed = 0;
  for (const auto* file : {"demo.toml", "flat-roof.toml", "toroidal.toml", "two-radius.toml", "inch.toml"}) {
    CAPTURE(file);
    const auto spec = spec_of(text_of(file));
    const auto fit = solve::fit(spec.task).value();
    const auto before = shapes::chain_of(fit.chamber);
    for (const double error : {-0.07, -0.25})
      for (const auto& w : ways_to_mend(spec, fit, error)) {
        CAPTURE(name(w.mend), error);
        if (!w.possible()) continue;
        // The volume, by quadrature and with the plug's bare thread taken off, is what is missing more.
        const double cc = profile::swept_volume_by_quadrature(w.chamber) / 1000 - w.plug_cc;
        CHECK(cc - fit.head_cc == Approx(-error).margin(0.003));
        CHECK(w.after.head_cc == Approx(fit.head_cc).margin(0.003));
        // On the grid of a thousandth, and one dimension only.
        CHECK(w.to * 1000 - w.from * 1000 == Approx(std::round(w.to * 1000 - w.from * 1000)).margin(1e-6));
        // The roof stands where it stood, but for the pocket.
        const double roof = w.chamber.back().end.z - before.back().end.z;
        CHECK(roof == Approx(w.mend == Mend::deepen_pocket ? w.amount_mm : 0).margin(1e-9));
        // Plug and band as they were.
        CHECK(w.after.plug_to_crown_mm == Approx(facing(spec, fit, 1e-7, 0).after.plug_to_crown_mm).margin(1e-6));
        if (w.mend == Mend::deepen_pocket) {
          // The ring round the plug: pocket 15 mm or as the spec has it, less the thread's mean flank.
          const double ring = spec.task.frame.pocket_radius * spec.task.frame.pocket_radius - 13.188 * 13.188 / 4;
          CHECK(w.cc_per_tenth_mm == Approx(pi * ring * 0.1 / 1000).margin(2e-5));
        }
        allowed += w.allowed();
      }
  }
  CHECK(allowed >= 10);
}

TEST_CASE("trim: program and JSON are written, the log grows by a line", "[trim]") {
  const Folder folder;
  const auto spec = spec_of(text_of("demo.toml"));
  setenv("SOURCE_DATE_EPOCH", "1767225600", 1); // 2026-01-01T00:00:00Z
  const auto r = done(spec, folder, {21.2}, engine::Fill::plug_fitted, "7");
  unsetenv("SOURCE_DATE_EPOCH");
  CHECK(r.verdict == Verdict::mend);
  CHECK(std::filesystem::exists(folder.path / "sand-drag-250-trim.ngc"));
  CHECK(std::filesystem::exists(folder.path / "sand-drag-250-trim.json"));
  CHECK(std::filesystem::exists(folder.path / "sand-drag-250-trim.html"));
  CHECK(std::filesystem::file_size(folder.path / "sand-drag-250-trim.pdf") > 5000);
  const auto log = read_log(folder.path / "sand-drag-250-log.jsonl");
  REQUIRE(log.entries.size() == 1);
  const auto& e = log.entries[0];
  CHECK(e.date == "2026-01-01T00:00:00Z");
  CHECK(e.insert == "7");
  CHECK(e.error_cc == Approx(-0.3));
  CHECK(e.recommended == key(r.ways[*r.recommended].mend));
  CHECK(to_text(r, false).find("RECOMMENDED") != std::string::npos);
  // Nothing is left behind where the tools cannot cut it.
  const Folder empty;
  auto blunt = spec;
  std::erase_if(blunt.tools, [](const auto& t) { return t.kind == turning::ToolKind::boring; });
  const auto failure = trim(blunt, {{21.2}, engine::Fill::plug_fitted, empty.path, {}, ""});
  REQUIRE_FALSE(failure);
  CHECK(failure.error().code == Exit::unproven);
  CHECK(std::filesystem::is_empty(empty.path));
}

TEST_CASE("log: a torn line spoils nothing but itself", "[trim]") {
  const Folder folder;
  const auto log = folder.path / "a-log.jsonl";
  LogEntry e;
  e.job = "one \"quoted\"\nand broken";
  e.lathe = "bench";
  e.read_cc = {21.3};
  e.error_cc = 0.1;
  e.uncertainty_cc = 0.03;
  REQUIRE(append(log, e));
  std::ofstream(log, std::ios::app) << R"({"schema":"chamber.log","schema_ver)";
  REQUIRE(append(log, e));
  std::ofstream(log, std::ios::app) << "7\n[]\n{\"schema\":\"chamber.log\",\"schema_version\":1}\n";
  REQUIRE(append(log, e));
  const auto read = read_log(log);
  REQUIRE(read.entries.size() == 3);
  CHECK(read.unreadable == 4);
  CHECK(read.entries[1].job == e.job);
  CHECK_FALSE(append(folder.path / "no" / "where", e));
}

TEST_CASE("log: twenty at once lose and tear nothing", "[trim]") {
  const Folder folder;
  const auto log = folder.path / "a-log.jsonl";
  std::ofstream(log) << "torn";
  constexpr int writers = 20, each = 25;
  std::vector<std::thread> all;
  std::atomic<int> failed{0};
  for (int i = 0; i < writers; ++i)
    all.emplace_back([&, i] {
      LogEntry e;
      e.insert = std::to_string(i);
      e.job = std::string(200, 'x');
      for (int k = 0; k < each; ++k) failed += !append(log, e);
    });
  for (auto& t : all) t.join();
  CHECK(failed == 0);
  const auto read = read_log(log);
  CHECK(read.unreadable == 1);
  REQUIRE(read.entries.size() == writers * each);
  std::map<std::string, int> by;
  for (const auto& e : read.entries) ++by[e.insert];
  CHECK(by.size() == writers);
  for (const auto& [who, n] : by) CHECK(n == each);
}

TEST_CASE("log: the error a lathe's inserts share", "[trim]") {
  std::vector<LogEntry> entries;
  const auto add = [&](const std::string& lathe, const std::string& insert, double error) {
    LogEntry e;
    e.job = "j";
    e.lathe = lathe;
    e.insert = insert;
    e.error_cc = error;
    e.uncertainty_cc = 0.03;
    entries.push_back(e);
  };
  add("a", "1", 0.30);
  add("a", "1", 0.00); // the same insert after its trim
  add("b", "2", -0.5);
  add("a", "2", 0.28);
  CHECK_FALSE(systematic_error(entries, "a"));
  add("a", "", 0.32);
  const auto s = systematic_error(entries, "a");
  REQUIRE(s);
  // By hand: mean 0.30; scatter 0.02 is less than 0.03 each is known to: 0.03/sqrt(3) = 0.01732, with the burette's
  // common 0.02887 it is 0.03367. Student's t for two degrees of freedom is 4.30: 0.30 is more than 0.1448.
  CHECK(s->inserts == 3);
  CHECK(s->mean_cc == Approx(0.30));
  CHECK(s->standard_cc == Approx(0.03367).margin(1e-5));
  CHECK(s->factor == 4.30);
  CHECK(s->significant);
  add("a", "4", -0.9);
  CHECK_FALSE(systematic_error(entries, "a")->significant);
}

TEST_CASE("trim: an offset is proposed from three inserts on", "[trim]") {
  const Folder folder;
  const auto spec = spec_of(text_of("demo.toml"));
  CHECK_FALSE(done(spec, folder, {21.30}).offset);
  CHECK_FALSE(done(spec, folder, {21.32}).offset);
  const auto r = done(spec, folder, {21.28});
  REQUIRE(r.offset);
  const auto& o = *r.offset;
  CHECK(o.error.significant);
  CHECK(o.error.mean_cc == Approx(-0.2));
  // Deeper by 0.1 mm all over is a disc over the rim: pi r^2 0.1. Too little was held: the bar goes in, towards the
  // chuck.
  const double disc = pi * spec.task.frame.rim_radius * spec.task.frame.rim_radius;
  CHECK(o.cc_per_tenth_z == Approx(disc * 0.1 / 1000));
  CHECK(o.z_mm == Approx(-200 / disc));
  CHECK(o.x_radius_mm > 0);
  CHECK(o.tool == 4);
  // A cylinder's wall of height h gives 2 pi r h for a radius more; this chamber lies between its pocket's and its
  // rim's.
  const double deep = r.fit.chamber.roof_z;
  CHECK(o.cc_per_tenth_x > 2 * pi * spec.task.frame.pocket_radius * deep * 1e-4);
  CHECK(o.cc_per_tenth_x < 2 * pi * spec.task.frame.rim_radius * deep * 1e-4);
}
