#pragma once
// The insert's workshop drawing: sheet 1 the insert in half-section, sheet 2 its chamber enlarged over the piston.
// Drawn to ISO 128 (lines, sections), ISO 129-1 (dimensions), ISO 5455 (scales), ISO 5457 (frame), ISO 6410-1 (thread).
#include "chamber/drawing/files.hpp"
#include "chamber/engine/budget.hpp"
#include "chamber/shapes/body.hpp"
#include "chamber/shapes/chamber.hpp"
#include "chamber/shapes/limits.hpp"

namespace chamber::drawing {

enum class Paper { a4, letter };
enum class Units {
  mm,
  inch,
  both, ///< mm, and inches in brackets
};
/// Of the views, ISO 5456-2.
enum class Projection { first_angle, third_angle };

struct SheetStyle {
  Paper paper = Paper::a4;
  Units units = Units::mm;
  Projection projection = Projection::first_angle;
};

/// Everything the drawing shows, as plain data. Lengths mm, volumes cc.
struct SheetInput {
  std::string job, revision, customer, material;
  std::string spec_hash; ///< of the spec's text, as it is to be printed; empty: none
  std::string date;      ///< of issue, "2026-01-31"; empty: a blank to be filled in by hand

  shapes::Frame frame;
  shapes::Dimensions<double> dimensions{};
  std::size_t closing = shapes::dimension_count; ///< the dimension given to 0.001 mm; dimension_count: none
  shapes::Chamber<double> chamber;
  shapes::BodySpec body;
  shapes::Plug plug;
  shapes::Insert insert;
  std::vector<shapes::Limits> limits; ///< of the sizes that are inspected; may be empty: none are printed
  std::vector<std::string> face_rings, radial_rings; ///< what goes into each groove ("O-ring 0.103 in"); may be shorter

  engine::Budget budget;
  double head_cc = 0;                        ///< plug fitted
  double trapped_swept_cc = 0, swept_cc = 0; ///< 0: no ratios are given

  double roughness_um = 0;            ///< height R of the turned surface; 0: none is asked
  double inner_corner_mm = 0;         ///< largest round left in inner corners outside the chamber; 0: not said
  double profile_tolerance_mm = 0.05; ///< ISO 1101 profile of a surface, of the chamber (common practice, no source)
  double volume_tolerance_cc = 0;     ///< of the head volume, either way; 0: not said
  std::vector<std::string> notes;     ///< further notes, a sentence each

  SheetStyle style;
};

/// One drawing: its sheets, and where the insert lies on the first (for DXF).
/// What stays free round a sheet's frame; 20 mm to the left, to file it (ISO 5457).
inline constexpr double frame_margin_mm = 10;

struct Sheet {
  std::vector<Picture> pages;
  std::vector<double> scales; ///< of each page's view
  Model model;
  Picture insert_view, chamber_view; ///< without frame and tables, to be shown elsewhere
};

/// Arithmetic mean roughness Ra, um, of an ideally turned surface of height R: parabolic cusps give
/// Ra = 4 R / (9 sqrt 3) (derived).
double ra_of_turned_um(double height_um);
/// "Ra 1.6 µm" of such a surface, or in microinches: the preferred figure.
std::string roughness_words(double height_um, bool inch);

/// Ra as drawings ask for it, in both units: the preferred series 0.025 to 50 um and its inch twin, 1 to 2000 uin
/// (ISO 1302:1978, ASME B46.1, both from memory).
struct PreferredRa {
  double um, uin;
};
/// The next in the series that is no finer than what is planned, which is reckoned and known to 5 %: a drawing must not
/// ask for better. The series' last for what is coarser still.
PreferredRa preferred_ra(double ra_um);

/// Draws the insert. Fails when the font is missing or when no scale gets everything on the paper without one thing
/// over another.
Result<Sheet> insert_sheet(const SheetInput& input);

/// Both sheets beside each other as one picture, as the DXF holds them.
Picture side_by_side(const Sheet& sheet);

/// Draws the insert and writes every target: a PDF of two pages, DXF of both sheets, of SVG and PNG one file a sheet
/// ("name-1.svg", "name-2.svg"). Returns the files written.
Result<std::vector<std::filesystem::path>> draw_insert(const SheetInput& input, std::span<const Target> targets,
                                                       Curves curves = Curves::polylines);

} // namespace chamber::drawing
