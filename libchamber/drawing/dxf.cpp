#include "chamber/drawing/files.hpp"
#include "chamber/drawing/font.hpp"
#include <cmath>
#include <fmt/format.h>

namespace chamber::drawing {
namespace {

constexpr double degrees = 180 / std::numbers::pi;
constexpr std::string_view dash_names[] = {"CONTINUOUS", "DASHED", "CHAIN", "PHANTOM"};

/// Group codes and values, two lines each; hands out handles as it goes.
class Groups {
public:
  void text(int code, std::string_view value) { fmt::format_to(std::back_inserter(out_), "{:>3}\n{}\n", code, value); }
  void number(int code, long long value) { fmt::format_to(std::back_inserter(out_), "{:>3}\n{}\n", code, value); }
  void real(int code, double value) {
    fmt::format_to(std::back_inserter(out_), "{:>3}\n{:.10f}\n", code, value == 0 ? 0.0 : value);
  }
  void point(int code, Point p) {
    real(code, p.x);
    real(code + 10, p.y);
    real(code + 20, 0);
  }
  unsigned handle() { return next_++; }
  void write_handle(int code, unsigned h) { text(code, fmt::format("{:X}", h)); }
  unsigned next() const { return next_; }
  std::string take() { return std::move(out_); }

private:
  std::string out_;
  unsigned next_ = 0x10;
};

/// Every word of a DXF of 2000 in ASCII: others as \U+XXXX, and its own signs for diameter, degree, plus-minus.
std::string dxf_words(std::string_view utf8) {
  std::string out;
  for (const char32_t c : code_points(utf8)) {
    if (c == U'\u2300' || c == U'\u00D8')
      out += "%%c";
    else if (c == U'\u00B0')
      out += "%%d";
    else if (c == U'\u00B1')
      out += "%%p";
    else if (c < 0x20)
      out += ' ';
    else if (c < 0x80)
      out += static_cast<char>(c);
    else
      out += fmt::format("\\U+{:04X}", static_cast<unsigned>(c > 0xFFFF ? U'?' : c));
  }
  return out;
}

class Entities {
public:
  Entities(Groups& g, const Model& model, Curves curves, unsigned owner)
      : g_(g), model_(model), curves_(curves), owner_(owner) {}

  void operator()(const Line& l) { line(l.a, l.b, l.pen.layer); }
  void operator()(const Arc& a) {
    const bool whole = a.sweep_rad > 2 * std::numbers::pi - 1e-12;
    begin(whole ? "CIRCLE" : "ARC", a.pen.layer);
    g_.text(100, "AcDbCircle");
    g_.point(10, at(a.centre));
    g_.real(40, a.radius / model_.scale);
    if (whole) return;
    g_.text(100, "AcDbArc");
    g_.real(50, turn(a.from_rad));
    g_.real(51, turn(a.from_rad + a.sweep_rad));
  }
  void operator()(const Polyline& p) {
    if (curves_ == Curves::lines_and_arcs) return pieces(p);
    begin("LWPOLYLINE", p.pen.layer);
    g_.text(100, "AcDbPolyline");
    g_.number(90, static_cast<long long>(p.vertices.size()));
    g_.number(70, p.closed ? 1 : 0);
    for (const auto& v : p.vertices) {
      const auto q = at(v.at);
      g_.real(10, q.x);
      g_.real(20, q.y);
      if (v.bulge != 0) g_.real(42, v.bulge);
    }
  }
  void operator()(const Area& a) {
    if (a.corners.size() != 3 && a.corners.size() != 4) {
      Polyline p{{}, true, pen(a.layer)};
      for (const auto& c : a.corners) p.vertices.push_back({c, 0});
      return (*this)(p);
    }
    begin("SOLID", a.layer);
    g_.text(100, "AcDbTrace");
    // A solid's third and fourth corners are crossed over.
    g_.point(10, at(a.corners[0]));
    g_.point(11, at(a.corners[1]));
    g_.point(12, at(a.corners.size() == 4 ? a.corners[3] : a.corners[2]));
    g_.point(13, at(a.corners[2]));
  }
  void operator()(const Text& t) {
    begin("TEXT", t.layer);
    g_.text(100, "AcDbText");
    g_.point(10, at(t.at));
    g_.real(40, t.height_mm / model_.scale);
    g_.text(1, dxf_words(t.words));
    g_.real(50, t.angle_rad * degrees);
    g_.text(7, "LETTERS");
    if (t.align != Align::left) {
      g_.number(72, t.align == Align::centre ? 1 : 2);
      g_.point(11, at(t.at));
    }
    g_.text(100, "AcDbText");
  }

private:
  Point at(Point sheet) const { return (sheet - model_.origin) * (1 / model_.scale); }
  static double turn(double rad) {
    const double d = std::fmod(rad * degrees, 360);
    return d < 0 ? d + 360 : d;
  }
  void begin(std::string_view kind, Layer layer) {
    g_.text(0, kind);
    g_.write_handle(5, g_.handle());
    g_.write_handle(330, owner_);
    g_.text(100, "AcDbEntity");
    g_.text(8, name(layer));
  }
  void line(Point a, Point b, Layer layer) {
    begin("LINE", layer);
    g_.text(100, "AcDbLine");
    g_.point(10, at(a));
    g_.point(11, at(b));
  }
  void pieces(const Polyline& p) {
    for (std::size_t i = 0; i < p.vertices.size(); ++i) {
      if (i + 1 == p.vertices.size() && !p.closed) break;
      const auto& a = p.vertices[i];
      const auto& b = p.vertices[(i + 1) % p.vertices.size()];
      if (a.bulge == 0) {
        line(a.at, b.at, p.pen.layer);
        continue;
      }
      auto arc = arc_of(a.at, b.at, a.bulge);
      arc.pen = p.pen;
      (*this)(arc);
    }
  }

  Groups& g_;
  const Model& model_;
  Curves curves_;
  unsigned owner_;
};

/// A symbol table with its records; `fill` writes one record's groups after its name.
class Table {
public:
  Table(Groups& g, std::string_view name, std::size_t records) : g_(g), name_(name), own_(g.handle()) {
    g.text(0, "TABLE");
    g.text(2, name);
    g.write_handle(5, own_);
    g.write_handle(330, 0);
    g.text(100, "AcDbSymbolTable");
    g.number(70, static_cast<long long>(records));
    if (name == "DIMSTYLE") g.text(100, "AcDbDimStyleTable");
  }
  unsigned record(std::string_view subclass, std::string_view record_name) {
    const auto h = g_.handle();
    g_.text(0, name_);
    g_.write_handle(name_ == "DIMSTYLE" ? 105 : 5, h);
    g_.write_handle(330, own_);
    g_.text(100, "AcDbSymbolTableRecord");
    g_.text(100, subclass);
    g_.text(2, record_name);
    return h;
  }
  void end() { g_.text(0, "ENDTAB"); }

private:
  Groups& g_;
  std::string_view name_;
  unsigned own_;
};

void line_types(Groups& g, double mm) {
  Table t(g, "LTYPE", 6);
  const double w = 0.25 * mm;
  const auto type = [&](std::string_view type_name, std::string_view looks, const std::vector<double>& dashes) {
    t.record("AcDbLinetypeTableRecord", type_name);
    g.number(70, 0);
    g.text(3, looks);
    g.number(72, 65);
    g.number(73, static_cast<long long>(dashes.size()));
    double sum = 0;
    for (const double d : dashes) sum += std::abs(d);
    g.real(40, sum);
    for (const double d : dashes) {
      g.real(49, d);
      g.number(74, 0);
    }
  };
  type("BYBLOCK", "", {});
  type("BYLAYER", "", {});
  type("CONTINUOUS", "solid", {});
  type("DASHED", "_ _ _", {12 * w, -3 * w});
  type("CHAIN", "___ . ___", {24 * w, -3 * w, 2 * w, -3 * w});
  type("PHANTOM", "___ . . ___", {24 * w, -3 * w, 2 * w, -3 * w, 2 * w, -3 * w});
  t.end();
}

void layers(Groups& g) {
  constexpr int colours[layer_count] = {1, 7, 8, 6, 3, 4, 8, 8, 5, 5, 3, 7, 7, 2};
  Table t(g, "LAYER", layer_count + 1);
  const auto layer = [&](std::string_view layer_name, int colour, Dash dash, double width) {
    t.record("AcDbLayerTableRecord", layer_name);
    g.number(70, 0);
    g.number(62, colour);
    g.text(6, dash_names[static_cast<std::size_t>(dash)]);
    g.number(370, std::lround(width * 100));
  };
  layer("0", 7, Dash::continuous, 0.25);
  for (std::size_t i = 0; i < layer_count; ++i) {
    const auto p = pen(static_cast<Layer>(i));
    layer(name(p.layer), colours[i], p.dash, p.width_mm);
  }
  t.end();
}

/// Returns the handles of the block records of model and paper space.
std::array<unsigned, 2> tables(Groups& g, const Picture& picture, const Model& model) {
  const double mm = 1 / model.scale;
  const Point centre = (Point{picture.width_mm / 2, picture.height_mm / 2} - model.origin) * mm;
  g.text(0, "SECTION");
  g.text(2, "TABLES");
  Table views(g, "VPORT", 1);
  views.record("AcDbViewportTableRecord", "*ACTIVE");
  g.number(70, 0);
  for (const auto& [code, p] : {std::pair{10, Point{0, 0}},
                                {11, Point{1, 1}},
                                {12, centre},
                                {13, Point{0, 0}},
                                {14, Point{10, 10}},
                                {15, Point{10, 10}}}) {
    g.real(code, p.x);
    g.real(code + 10, p.y);
  }
  g.point(16, {0, 0});
  g.point(17, {0, 0});
  g.real(40, picture.height_mm * mm);
  g.real(41, picture.width_mm / picture.height_mm);
  views.end();
  line_types(g, mm);
  layers(g);
  Table styles(g, "STYLE", 2);
  for (const std::string_view style : {"STANDARD", "LETTERS"}) {
    styles.record("AcDbTextStyleTableRecord", style);
    g.number(70, 0);
    g.real(40, 0);
    g.real(41, 1);
    g.real(50, 0);
    g.number(71, 0);
    g.real(42, 2.5);
    g.text(3, style == "STANDARD" ? "txt" : "osifont.ttf");
    g.text(4, "");
  }
  styles.end();
  Table(g, "VIEW", 0).end();
  Table(g, "UCS", 0).end();
  Table apps(g, "APPID", 1);
  apps.record("AcDbRegAppTableRecord", "ACAD");
  g.number(70, 0);
  apps.end();
  Table dims(g, "DIMSTYLE", 1);
  dims.record("AcDbDimStyleTableRecord", "STANDARD");
  g.number(70, 0);
  dims.end();
  Table blocks(g, "BLOCK_RECORD", 2);
  const auto model_space = blocks.record("AcDbBlockTableRecord", "*Model_Space");
  const auto paper_space = blocks.record("AcDbBlockTableRecord", "*Paper_Space");
  blocks.end();
  g.text(0, "ENDSEC");
  return {model_space, paper_space};
}

void blocks(Groups& g, const std::array<unsigned, 2>& owners) {
  g.text(0, "SECTION");
  g.text(2, "BLOCKS");
  for (std::size_t i = 0; i < 2; ++i) {
    const std::string_view block = i == 0 ? "*Model_Space" : "*Paper_Space";
    g.text(0, "BLOCK");
    g.write_handle(5, g.handle());
    g.write_handle(330, owners[i]);
    g.text(100, "AcDbEntity");
    if (i == 1) g.number(67, 1);
    g.text(8, "0");
    g.text(100, "AcDbBlockBegin");
    g.text(2, block);
    g.number(70, 0);
    g.point(10, {0, 0});
    g.text(3, block);
    g.text(1, "");
    g.text(0, "ENDBLK");
    g.write_handle(5, g.handle());
    g.write_handle(330, owners[i]);
    g.text(100, "AcDbEntity");
    if (i == 1) g.number(67, 1);
    g.text(8, "0");
    g.text(100, "AcDbBlockEnd");
  }
  g.text(0, "ENDSEC");
}

void objects(Groups& g) {
  const auto root = g.handle(), groups = g.handle();
  g.text(0, "SECTION");
  g.text(2, "OBJECTS");
  g.text(0, "DICTIONARY");
  g.write_handle(5, root);
  g.write_handle(330, 0);
  g.text(100, "AcDbDictionary");
  g.number(281, 1);
  g.text(3, "ACAD_GROUP");
  g.write_handle(350, groups);
  g.text(0, "DICTIONARY");
  g.write_handle(5, groups);
  g.write_handle(330, root);
  g.text(100, "AcDbDictionary");
  g.number(281, 1);
  g.text(0, "ENDSEC");
}

std::string header(const Picture& picture, const Model& model, unsigned next_handle) {
  const auto box = grown(box_of(picture), 0);
  Groups g;
  g.text(0, "SECTION");
  g.text(2, "HEADER");
  const auto variable = [&](std::string_view variable_name) { g.text(9, variable_name); };
  variable("$ACADVER"), g.text(1, "AC1015");
  variable("$DWGCODEPAGE"), g.text(3, "ANSI_1252");
  variable("$INSUNITS"), g.number(70, 4);    // millimetres
  variable("$MEASUREMENT"), g.number(70, 1); // metric
  variable("$LUNITS"), g.number(70, 2);
  variable("$LUPREC"), g.number(70, 3);
  variable("$EXTMIN"), g.point(10, (Point{box.left, box.bottom} - model.origin) * (1 / model.scale));
  variable("$EXTMAX"), g.point(10, (Point{box.right, box.top} - model.origin) * (1 / model.scale));
  variable("$LWDISPLAY"), g.number(290, 1);
  variable("$HANDSEED"), g.write_handle(5, next_handle);
  g.text(0, "ENDSEC");
  return g.take();
}

} // namespace

std::string to_dxf(const Picture& picture, const Model& model, Curves curves) {
  Groups g;
  const auto owners = tables(g, picture, model);
  blocks(g, owners);
  g.text(0, "SECTION");
  g.text(2, "ENTITIES");
  Entities entities(g, model, curves, owners[0]);
  for (const auto& item : picture.items) std::visit(entities, item);
  g.text(0, "ENDSEC");
  objects(g);
  g.text(0, "EOF");
  return header(picture, model, g.next()) + g.take();
}

} // namespace chamber::drawing
