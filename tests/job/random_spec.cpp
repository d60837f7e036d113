#include "random_spec.hpp"
#include "chamber/engine/crank.hpp"
#include "chamber/job/spec.hpp"
#include "chamber/shapes/oring.hpp"
#include <algorithm>
#include <cmath>
#include <random>

namespace chamber::job::testing {
namespace {

class Dice {
public:
  explicit Dice(unsigned seed) : engine_(seed) {}
  double in(double a, double b) { return std::uniform_real_distribution<>(a, b)(engine_); }
  int of(int n) { return std::uniform_int_distribution<>(0, n - 1)(engine_); }
  bool chance(double p) { return in(0, 1) < p; }
  template <class T>
  T one(std::initializer_list<T> all) {
    return all.begin()[of(static_cast<int>(all.size()))];
  }

private:
  std::mt19937 engine_;
};

/// What a stand-in shape comes to; the second look at the dice fits volume and body to it.
struct Guess {
  double head_cc = 20, roof_mm = 45, swept_cc = 0, clearance_less_cc = 0;
};

class Maker {
public:
  Maker(unsigned seed, const std::string& lathes) : d_(seed), seed_(seed), lathes_(lathes) {}

  SpecText make() {
    inches_ = d_.one({0.0, 0.0, 0.0, 1.0, 0.3});
    names();
    engine();
    crown();
    plug();
    squish();
    shape();
    limits();
    lathe();
    body({});
    out_.table("want").quote("head_volume", "20 cc");
    if (const auto spec = read_spec(out_.text(), lathes_ + "/random.toml")) {
      const auto g = guess(*spec);
      want(g);
      body(g);
    }
    blank();
    return std::move(out_);
  }

private:
  std::string length(double mm) {
    if (d_.chance(inches_))
      return d_.chance(0.1) ? fmt::format("{:.1f} thou", mm / 0.0254) : fmt::format("{:.4f} in", mm / 25.4);
    return d_.chance(0.05) ? fmt::format("{:.4f} cm", mm / 10) : fmt::format("{:.{}f} mm", mm, d_.of(3) + 1);
  }
  std::string height(double mm) {
    if (std::abs(mm) < 0.02) return "level";
    return length(std::abs(mm)) + (mm > 0 ? " below" : " above");
  }

  void names() {
    auto& job = out_.table("job");
    job.quote("name", fmt::format("Random {}", seed_));
    if (d_.chance(0.2)) job.quote("revision", "C");
    if (d_.chance(0.1)) job.quote("customer", "invented, Größe ü");
  }

  void engine() {
    bore_ = d_.in(40, 100), stroke_ = bore_ * d_.in(0.8, 1.15);
    auto& e = out_.table("engine");
    e.quote("bore", length(bore_));
    e.quote("stroke", length(stroke_));
    if (d_.chance(0.6)) e.quote("rod", length(stroke_ * d_.in(1.6, 2.2)));
    if (d_.chance(0.2)) {
      e.quote("exhaust_valve_shut", fmt::format("{:.0f} deg", d_.in(170, 186)));
      e.quote("exhaust_valve_open", fmt::format("{:.0f} deg", d_.in(186, 204)));
    } else {
      e.quote("exhaust_duration", fmt::format("{:.1f} deg", d_.in(176, 204)));
    }
    rpm_ = d_.chance(0.8) ? d_.in(5500, 12500) : 0;
    if (rpm_ > 0) e.quote("peak_power", fmt::format("{:.0f} rpm", rpm_));
    deck_ = d_.chance(0.2) ? 0 : d_.chance(0.7) ? d_.in(0.05, 0.8) : d_.in(-0.6, -0.05);
    e.quote("deck", height(deck_));
    gasket_ = d_.chance(0.25) ? d_.in(0.3, 1) : 0;
    auto& seal = out_.table("seal");
    seal.quote("kind", gasket_ > 0 ? "gasket" : "o-ring");
    if (gasket_ > 0) {
      seal.quote("bore", length(bore_ + d_.in(0.5, 3)));
      seal.quote("thickness", length(gasket_));
    }
  }

  void crown() {
    auto& c = out_.table("crown");
    const int form = d_.one({0, 1, 1, 1, 1, 2});
    c.quote("form", form == 0 ? "flat" : form == 1 ? "domed" : "dished");
    if (form == 0) return;
    const double h = bore_ * d_.in(0.01, 0.06), r = (bore_ * bore_ / 4 + h * h) / (2 * h);
    if (form == 1) dome_deg_ = std::asin(bore_ / 2 / r) * 57.2958;
    dished_ = form == 2;
    switch (d_.of(3)) {
    case 0:
      return c.quote("radius", length(r));
    case 1:
      return c.quote("height", length(h));
    default:
      return c.quote("volume", fmt::format("{:.2f} cc", 3.14159265 * h * h * (3 * r - h) / 3000));
    }
  }

  void plug() {
    auto& p = out_.table("plug");
    thread_ = d_.one({0, 0, 0, 1, 2});
    const auto& t = shapes::plug_threads()[static_cast<std::size_t>(thread_)];
    p.quote("thread", std::string(t.name));
    reach_ = d_.one({12.7, 19.0, 19.0, d_.in(9.5, 20)});
    p.quote("reach", length(reach_));
    const bool taper = d_.chance(0.2);
    if (taper) p.quote("seat", "taper");
    washer_ = taper ? 0 : 1.45;
    seat_ = t.major_mm + 10;
    if (d_.chance(0.6)) p.quote("seat_diameter", length(seat_ = t.major_mm + d_.in(5, 13)));
    if (d_.chance(0.3)) p.quote("thread_chamfer", length(d_.in(0, 1.2)));
    if (d_.chance(0.7)) {
      auto& k = out_.table("pocket");
      k.quote("diameter", length(t.major_mm + d_.in(0.8, 2.5)));
      if (d_.chance(0.7)) k.quote("edge_round", length(d_.in(0.2, 0.8)));
      k.quote("corner_round", length(d_.in(0.42, 0.7)));
    }
  }

  void squish() {
    auto& s = out_.table("squish");
    const double below = deck_ + gasket_;
    const double clearance = std::max(0.6, d_.chance(0.95) ? below + d_.in(0.45, 1.2) : d_.in(0.6, 1.6));
    s.quote("clearance", length(clearance));
    follow_ = !dished_ && d_.chance(0.4);
    s.quote("band", follow_ ? "follow crown" : "straight");
    if (d_.chance(0.3)) s.quote("rim_diameter", length(bore_ + d_.in(0.1, 1.2)));
    s.quote("rim_round", length(d_.chance(0.93) ? std::max(0.1, std::min(d_.in(0.42, 0.7), 0.95 * (clearance - below)))
                                                : d_.in(0.1, 1.5)));
    if (d_.chance(0.8)) s.quote("mouth_round", length(d_.in(0.4, 1.6)));
  }

  void dimension(const std::string& name, double prefer, double most_spread, bool angle = false) {
    const auto text = [&](double v) { return angle ? fmt::format("{:.2f} deg", v) : length(v); };
    if (!angle && name != closing_ && d_.chance(0.08)) return out_.table("shape").quote(name, text(prefer));
    auto& t = out_.table("shape." + name);
    const double spread = d_.in(0.3, 1) * most_spread;
    t.quote("prefer", text(prefer));
    t.quote("min", text(std::max(angle ? 0.0 : 0.2, prefer - spread)));
    t.quote("max", text(prefer + spread * d_.in(0.7, 1.5)));
    if (d_.chance(0.2)) t.quote("weight", fmt::format("{:.1f}", d_.in(0.5, 4)));
    if (d_.chance(0.2)) t.quote("grid", angle ? "0.5 deg" : d_.one({"0.1 mm", "0.002 in", "0.01 mm", "0.5 mm"}));
  }

  void shape() {
    auto& s = out_.table("shape");
    const int family = d_.of(4);
    s.quote("family", std::string(shapes::family_names[static_cast<std::size_t>(family)]));
    const bool deep = family == 1 || family == 2; // flat-roof, toroidal: with a depth of their own
    closing_ = deep ? "bowl_depth" : "bowl_radius";
    if (d_.chance(0.1)) closing_ = "pocket_depth";
    if (closing_ == "pocket_depth" || d_.chance(0.3)) s.quote("close_with", closing_);
    const double mouth = bore_ / 2 * std::sqrt(1 - d_.in(0.38, 0.56)), width = bore_ / 2 - mouth;
    if (family != 0) s.quote("draft", fmt::format("{:.1f} deg", d_.in(3, 14)));
    if (family == 3) s.quote("wall_radius", length(mouth * d_.in(0.2, 0.45)));
    if (family == 2) {
      s.quote("boss_drop", length(d_.in(0.5, 2)));
      s.quote("boss_round", length(d_.in(0.5, 1.5)));
    }
    const double radius = family == 0   ? mouth * d_.in(1.05, 1.6)
                          : family == 3 ? mouth * d_.in(1.2, 2.4)
                          : family == 2 ? mouth * d_.in(0.2, 0.3)
                                        : mouth * d_.in(0.15, 0.4);
    dimension("bowl_radius", radius, radius * d_.in(0.1, 0.6));
    if (deep) dimension("bowl_depth", mouth * d_.in(0.3, 0.6), mouth * 0.25);
    dimension("squish_width", width, width * 0.3);
    dimension("squish_angle", follow_ ? d_.in(0.5, 2) : dome_deg_ + d_.in(0, 3), d_.in(0.5, 3), true);
    dimension("pocket_depth", d_.in(1.2, 4), d_.in(0.5, 2));
  }

  void limits() {
    auto& l = out_.table("limits");
    if (d_.chance(0.6)) l.quote("squish_area_min", fmt::format("{:.0f} %", d_.in(20, 42)));
    if (d_.chance(0.6)) l.quote("squish_area_max", fmt::format("{:.0f} %", d_.in(50, 70)));
    if (d_.chance(0.5)) l.quote("gap_min", length(d_.in(0.3, 1)));
    if (rpm_ > 0 && d_.chance(0.5))
      l.quote("gap_velocity_max",
              d_.chance(0.2) ? fmt::format("{:.0f} ft/s", d_.in(90, 200)) : fmt::format("{:.1f} m/s", d_.in(25, 60)));
    if (d_.chance(0.8)) l.quote("wall_min", length(d_.in(1, 6)));
    if (d_.chance(0.8)) l.quote("groove_wall_min", length(d_.in(0.5, 2.2)));
    if (d_.chance(0.8)) l.quote("plug_to_crown_min", length(d_.in(1, 9)));
  }

  shapes::Dimensions<double> somewhere(const Spec& spec) {
    shapes::Dimensions<double> d{};
    for (std::size_t i = 0; i < shapes::dimension_count; ++i) {
      const auto& p = spec.task.preferences[i];
      shapes::at(d, i) = d_.chance(0.4) ? p.prefer : d_.in(p.low, std::max(p.low, p.high));
    }
    return d;
  }

  /// Mostly a chamber that keeps every limit, where a few throws find one.
  Guess guess(const Spec& spec) {
    auto d = somewhere(spec);
    const bool possible = d_.chance(0.85);
    for (int i = 0; possible && i < 40; ++i) {
      const auto checks = solve::judge(spec.task, d);
      if (std::all_of(checks.begin(), checks.end(), [](const auto& c) { return c.ok; })) break;
      d = somewhere(spec);
    }
    Guess g;
    g.roof_mm = shapes::build(spec.task.frame, d).roof_z;
    const double cc = solve::head_cc(spec.task, d);
    if (!std::isfinite(cc) || cc < 2 || !std::isfinite(g.roof_mm)) return {};
    g.head_cc = cc * (possible || d_.chance(0.7) ? 1 : d_.in(0.7, 1.4));
    g.clearance_less_cc = spec.budget.clearance_from_head_cc(g.head_cc);
    g.swept_cc = spec.trapped_swept_cc();
    return g;
  }

  void site() {
    if (out_.has("site")) return;
    auto& s = out_.add("site");
    s.quote("name", "somewhere");
    s.quote("altitude",
            d_.chance(0.5) ? fmt::format("{:.0f} m", d_.in(0, 2500)) : fmt::format("{:.0f} ft", d_.in(0, 8000)));
  }

  void want(const Guess& g) {
    auto& w = out_.table("want");
    w.keys.clear();
    switch (d_.one({0, 0, 0, 0, 0, 0, 1, 2, 2, d_.of(4)})) {
    default:
      w.quote("head_volume",
              d_.chance(0.1) ? fmt::format("{:.4f} in3", g.head_cc / 16.387064) : fmt::format("{:.2f} cc", g.head_cc));
      break;
    case 1:
      w.quote("clearance_volume", fmt::format("{:.2f} cc", g.clearance_less_cc));
      break;
    case 2:
      w.quote("trapped_ratio", fmt::format("{:.2f}:1", engine::compression_ratio(g.swept_cc, g.clearance_less_cc)));
      break;
    case 3:
      site();
      out_.table("want").quote("gauge_pressure", fmt::format("{:.0f} psi", d_.in(150, 240)));
      break;
    }
    if (d_.chance(0.1)) {
      auto& u = out_.table("use");
      u.quote("fuel", d_.chance(0.5) ? "methanol" : "pump 93");
      u.quote("kind", "short bursts");
    }
  }

  void groove(SpecText::Table& t) {
    if (d_.chance(0.6)) return t.quote("o_ring", d_.one({"0.070", "0.103", "0.103", "0.139"}));
    t.quote("width", length(d_.in(2.05, 4.5)));
    t.quote("depth", length(d_.in(0.8, 2.4)));
  }

  void body(const Guess& g) {
    out_.drop("body");
    out_.drop("body.step");
    out_.drop("body.face_groove");
    out_.drop("body.radial_groove");
    auto& b = out_.table("body");
    if (d_.chance(0.8)) b.quote("edge_break", length(d_.chance(0.1) ? 0 : d_.in(0.1, 0.6)));
    b.quote("inner_corner", length(d_.in(0.41, 0.9)));
    height_ = g.roof_mm + reach_ - washer_ + (d_.chance(0.08) ? d_.in(-3, 0) : d_.chance(0.1) ? 0.0 : d_.in(0.3, 6));
    widest_ = bore_ + d_.in(10, 34);
    const double flange = std::min(d_.in(7, 16), height_ - 4);
    std::vector<std::pair<double, double>> steps;
    double top = flange, at = widest_;
    if (d_.chance(0.15)) steps.emplace_back(widest_ - d_.in(2, 6), d_.in(2, 4)), top += steps.back().second;
    steps.emplace_back(widest_, flange);
    while (height_ - top > 3 && steps.size() < 4) {
      at -= d_.in(3, 20);
      if (at < seat_ + 4) break;
      const bool last = height_ - top < 8 || d_.chance(0.5);
      steps.emplace_back(at, last ? height_ - top : d_.in(3, height_ - top - 3));
      top += steps.back().second;
    }
    steps.back().second += height_ - top;
    for (const auto& [diameter, long_mm] : steps) {
      auto& s = out_.add("body.step");
      s.quote("diameter", length(diameter));
      s.quote("length", fmt::format("{:.3f} mm", std::max(0.5, long_mm)));
    }
    // Where the sealing face has room for it, and sometimes where it has not.
    if (d_.chance(0.6) && steps.front().first > bore_ + (d_.chance(0.1) ? 0 : 18)) {
      auto& f = out_.add("body.face_groove");
      f.quote("inner_diameter", length(bore_ + d_.in(2.5, 6)));
      groove(f);
    }
    double z = 0;
    for (const auto& [diameter, long_mm] : steps) {
      if (long_mm > 7 && d_.chance(0.4)) {
        auto& r = out_.add("body.radial_groove");
        r.quote("from_face", length(z + d_.in(1, long_mm - 6)));
        groove(r);
      }
      z += long_mm;
    }
  }

  void blank() {
    auto& b = out_.table("blank");
    b.quote("material", d_.one({"aluminium 6061-T6", "aluminium 7075-T6", "7075", "bronze CC483K", "steel C45",
                                d_.chance(0.1) ? "unobtainium" : "6061"}));
    if (d_.chance(0.5)) b.quote("diameter", length(widest_ + d_.in(0.6, 6)));
    if (d_.chance(0.4)) b.quote("length", length(height_ + d_.in(1.5, 14)));
    if (d_.chance(0.1)) b.quote("bore", length(d_.in(6, 13)));
    if (d_.chance(0.2)) b.quote("form", "bar");
    if (d_.chance(0.5)) return;
    auto& c = out_.table("chucking");
    const int way = d_.of(4);
    if (way == 1) c.quote("first", "top");
    if (way == 2) c.quote("first", "top"), c.quote("second", "mandrel");
    if (d_.chance(0.5)) c.quote("grip", length(d_.in(4, 11)));
    if (d_.chance(0.2)) c.quote("second_grip", length(d_.in(2, 8)));
    if (d_.chance(0.2)) c.quote("face", length(d_.in(0.2, 1.5)));
  }

  void lathe() {
    auto& l = out_.table("lathe");
    if (d_.chance(0.3)) l.quote("finish_allowance", length(d_.in(0.12, 0.4)));
    if (d_.chance(0.3)) l.quote("finish", fmt::format("{:.1f} um", d_.in(2, 12)));
    if (d_.chance(0.15)) l.set("leave_tight_rounds", "true");
    if (d_.chance(0.2)) l.set("nose_by_control", "true");
    if (d_.chance(0.6))
      return l.quote("file", d_.one({"lathes/bench-rear-mm.toml", "lathes/bench-rear-mm.toml",
                                     "lathes/turret-type-a-mm.toml", "lathes/front-type-a-inch.toml"}));
    l.quote("dialect", d_.one({"rs274", "type-a"}));
    l.quote("toolpost", d_.one({"rear", "front"}));
    if (d_.chance(0.3)) l.quote("units", "inch");
    if (d_.chance(0.2)) l.quote("x", "radius");
    if (d_.chance(0.2)) l.quote("arcs", "from above");
    l.quote("change_z", length(d_.in(200, 300)));
    l.quote("change_x", length(d_.in(150, 250)));
    own_tools();
  }

  SpecText::Table& tool(const char* kind, double reach, const char* speed) {
    auto& t = out_.add("tool");
    t.set("number", std::to_string(++number_));
    t.quote("kind", kind);
    t.quote("reach", length(reach));
    t.quote("speed", speed);
    return t;
  }

  void own_tools() {
    const auto& size = shapes::plug_threads()[static_cast<std::size_t>(thread_)];
    const double nose = d_.one({0.2, 0.2, 0.4, 0.4, 0.4, 0.8}), bar = size.tap_drill_mm - d_.in(3, 6);
    auto& drill = tool("drill", d_.in(90, 200), "80 m/min");
    drill.quote("diameter", fmt::format("{:.3f} mm", d_.in(size.minor_low_mm + 0.01, size.minor_high_mm - 0.01)));
    drill.quote("feed", "0.15 mm/rev");
    if (d_.chance(0.3)) drill.quote("max_depth", length(d_.in(4, 15)));
    for (const bool rough : {true, false}) {
      auto& b = tool("boring", d_.in(4, 7) * bar, "250 m/min");
      b.quote("purpose", d_.chance(0.1) ? "any" : rough ? "roughing" : "finishing");
      b.quote("nose_radius", length(rough && d_.chance(0.05) ? d_.in(1, 3) : nose));
      b.quote("shank", length(bar));
      b.set("carbide_shank", "true");
      if (d_.chance(0.3)) b.quote("min_bore", length(bar + d_.in(0.2, 1.5)));
      if (d_.chance(0.6))
        b.quote("end_edge_angle", fmt::format("{:.0f} deg", d_.one({0.0, 3.0, 5.0, 30.0, 52.0, 70.0})));
      if (d_.chance(0.6)) b.quote("edge_length", length(d_.in(3, 7)));
      b.quote("max_depth", length(rough ? d_.in(0.1, 1.5) : d_.in(0.3, 0.6)));
      b.quote("feed", rough ? "0.15 mm/rev" : "0.08 mm/rev");
    }
    auto& t = tool("turning", 40, "300 m/min");
    t.quote("nose_radius", length(d_.one({0.2, 0.4, 0.4})));
    t.quote("max_depth", length(d_.in(0.7, 3)));
    t.quote("feed", "0.15 mm/rev");
    if (d_.chance(0.3)) t.quote("end_edge_angle", fmt::format("{:.0f} deg", d_.in(1, 8)));
    for (const bool face : {false, true}) {
      auto& b = tool(face ? "face grooving" : "grooving", 25, "150 m/min");
      b.quote("width", length(d_.in(1.2, 2.5)));
      b.quote("max_depth", length(d_.in(3, 8)));
      b.quote("feed", "0.05 mm/rev");
      if (face) b.quote("face_min", length(30));
    }
    if (d_.chance(0.5)) {
      auto& thread = tool("threading", 7 * (size.tap_drill_mm - 2.5), "60 m/min");
      thread.quote("shank", length(size.tap_drill_mm - 2.5));
      thread.set("carbide_shank", "true");
    } else {
      auto& tap = tool("tap", 80, "10 m/min");
      tap.quote("diameter", fmt::format("{} mm", size.major_mm));
      tap.quote("pitch", fmt::format("{} mm", size.pitch_mm));
      tap.quote("chamfer", length(d_.in(1, 3)));
    }
    if (d_.chance(0.3)) {
      auto& mark = tool("drill", 60, "60 m/min");
      mark.quote("purpose", "centring");
      mark.quote("diameter", length(d_.in(6, 16)));
      mark.quote("point_angle", d_.one({"90 deg", "120 deg"}));
      mark.quote("feed", "0.08 mm/rev");
    }
  }

  Dice d_;
  unsigned seed_;
  std::string lathes_;
  SpecText out_;
  double inches_ = 0; ///< share of lengths typed in inches
  double bore_ = 0, stroke_ = 0, rpm_ = 0, deck_ = 0, gasket_ = 0, dome_deg_ = 0, reach_ = 0, washer_ = 0, seat_ = 0;
  double height_ = 0, widest_ = 0;
  bool dished_ = false, follow_ = false;
  int thread_ = 0, number_ = 0;
  std::string closing_;
};

} // namespace

SpecText random_spec(unsigned seed, const std::string& lathes) {
  return Maker(seed, lathes).make();
}

} // namespace chamber::job::testing
