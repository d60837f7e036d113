#pragma once
// Charts as figures, from plain numbers and texts: readable in black and white (each line has its own dashes and
// markers), in colours that the colour-blind tell apart. Units are the caller's: they stand in its labels.
#include "chamber/figure/figure.hpp"
#include <optional>
#include <string>
#include <vector>

namespace chamber::papers {

struct ChartPoint {
  double x = 0, y = 0;
};

/// A line, or single points. Dashes and marker follow from its place among the chart's series.
struct Series {
  std::string label;
  std::vector<ChartPoint> points; ///< not empty
  bool line = true;
  bool markers = false; ///< a marker on every point; always so without a line
};

/// An uncertainty band round a line.
struct Band {
  struct Slice {
    double x = 0, low = 0, high = 0;
  };
  std::string label;
  std::vector<Slice> slices; ///< at least two
};

/// A stretch of the y axis that is wanted, or not allowed; hatched from edge to edge. Half-open: one limit missing.
struct Zone {
  std::string label;
  std::optional<double> low, high;
};

/// A place on the x axis worth a vertical line.
struct Rule {
  std::string label;
  double x = 0;
};

/// Limits not given follow from what is drawn.
struct Axis {
  std::string label; ///< with the unit: "altitude, ft"
  std::optional<double> low, high;
};

struct Chart {
  std::string title;
  Axis x, y;
  std::vector<Zone> zones;
  std::vector<Band> bands;
  std::vector<Series> series; ///< at most four lines
  std::vector<Rule> rules;
};

/// Throws std::logic_error on a chart without points and on numbers that are not finite.
figure::Figure figure_of(const Chart& chart);

/// One bar: its length, and the value as it shall be read ("0.12 cc").
struct Bar {
  std::string label;
  double length = 0; ///< at least 0
  std::string value;
};

struct BarChart {
  std::string title;
  std::string axis; ///< what the lengths are, with unit
  std::vector<Bar> bars;
};
figure::Figure figure_of(const BarChart& chart);

} // namespace chamber::papers
