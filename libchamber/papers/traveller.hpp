#pragma once
// The traveller: one HTML file with everything inside, to be looked at in a browser (the insert in three dimensions, no
// network) and printed on two to four pages for the bench. Every text comes ready to be read, with its unit.
#include "chamber/figure/figure.hpp"
#include <optional>
#include <string>
#include <vector>

namespace chamber::papers {

/// One line of a table: what, how much, and a remark.
struct Fact {
  std::string name, value, note;
};

struct FactGroup {
  std::string title;
  std::vector<Fact> facts;
};

/// A figure with its words.
struct Picture {
  std::string title;
  figure::Figure figure;
  std::string caption{};
  bool on_paper = true;                   ///< false: only on the screen
  std::optional<figure::Figure> sketch{}; ///< the same without words, for where they would be too small to read
};

/// A sheet of the workshop drawing as a whole SVG document, for the page; a PDF takes it from elsewhere.
struct Drawn {
  std::string title, svg, caption{};
};

/// A tool as the operator sets it up; empty texts are left out.
struct ToolLine {
  std::string number, name; ///< "T2", "roughing bar 10"
  std::string work;         ///< what it is for
  std::string nose, tip;    ///< "0.4 mm", "3, X+ Z-"
  std::string out;          ///< how far it sticks out of its holder: "45.0 mm"
  std::string speed, feed;  ///< "250 m/min", "0.15 mm/rev"
  std::string passes, time; ///< "12", "3.4 min"
  std::string lines;        ///< first and last of the program: "14-210"
};

/// One clamping.
struct SetupSheet {
  std::string title, program, time; ///< "Clamping 1: chamber side", file name, "11 min"
  std::vector<Fact> facts;          ///< stock, stick-out, jaws, zero
  std::vector<std::string> order;   ///< what the operator does, in order
  std::vector<ToolLine> tools;      ///< in the order of use
  std::vector<Picture> steps;
  std::vector<std::string> notes;
};

/// Something to measure at the bench.
struct Measure {
  std::string what, wanted, limits, with; ///< "mouth diameter", "48.30 mm", "48.25 to 48.35", "bore gauge"
};

/// The burette test: filled three times.
struct BuretteTest {
  std::string wanted, limits; ///< "21.50 cc", "21.45 to 21.55 cc"
  std::string how;            ///< plug fitted, level, which liquid
};

struct ProgramFile {
  std::string file, what, hash; ///< hash: what to know it by, "O1041, 390 lines, sha256 0f3a91c2"
};

struct Traveller {
  std::string job, revision, customer, material, note;
  std::string made_by;        ///< program and version
  std::string spec_hash;      ///< of the sheet this came from
  std::vector<Fact> headline; ///< the three to five figures that matter most

  std::vector<FactGroup> measured; ///< the sheet as it was filled in
  std::vector<Fact> answer;
  std::vector<std::string> reasons;
  std::string glb;                ///< the insert as binary glTF; empty: no view in three dimensions
  std::optional<Picture> section; ///< profile with crown and gap
  std::vector<Picture> charts;
  std::vector<Drawn> drawings;
  std::vector<SetupSheet> setups;
  std::vector<Measure> inspection;
  std::optional<BuretteTest> burette;
  std::vector<ProgramFile> programs;
  std::vector<std::string> notes, cautions;
};

/// The whole HTML text. Texts are escaped; pictures and the model are taken as the program's own (svg.hpp says what is
/// refused, by std::logic_error).
std::string to_html(const Traveller& traveller);

} // namespace chamber::papers
