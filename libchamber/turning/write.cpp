#include "chamber/turning/write.hpp"
#include "chamber/units/quantity.hpp"
#include <algorithm>
#include <cctype>
#include <cmath>
#include <fmt/format.h>

namespace chamber::turning {
namespace {

/// A place on the written grid, in grid steps: X as the word stands (diameter or radius), Z.
struct Grid {
  long x = 0, z = 0;
  bool operator==(const Grid&) const = default;
};

/// Readers stumble over arcs whose radii at start and end differ by more than this.
constexpr double bearable_mismatch_mm = 1.5e-3;

class Writer {
public:
  Writer(const Plan& plan, const Machine& machine) : plan_(plan), m_(machine), decimals_(coordinate_decimals(machine)) {
    unit_ = m_.inch ? units::mm_per_inch : 1.0;
    step_ = unit_ * std::pow(10.0, -decimals_);
  }

  std::string run(const std::string& warning) {
    line("%");
    line(fmt::format("O{:04d}", m_.program_number));
    if (!warning.empty()) comment("WARNING", warning);
    header();
    line("G18");
    line(m_.diameter_mode ? "G7" : "G8");
    line(m_.inch ? "G20" : "G21");
    line("G40 G80 G90");
    line("G54");
    line(fmt::format("G97 S{:.0f}", std::min(500.0, std::floor(m_.clamp_rpm))));
    home();
    for (const auto& op : plan_.operations) operation(op);
    line("M30");
    line("%");
    return std::move(out_);
  }

private:
  void line(std::string_view text) {
    out_ += text;
    out_ += '\n';
  }

  /// Wrapped over as many lines as it takes. The label keeps a text from starting with a word the control acts on.
  void comment(std::string_view label, std::string_view text) {
    std::string clean;
    for (const char c : text) {
      const auto u = static_cast<unsigned char>(c);
      const bool plain = u >= 32 && u < 127 && c != '(' && c != ')' && c != '%' && c != ';';
      clean += plain ? static_cast<char>(std::toupper(u)) : (c == '(' || c == ')' ? ' ' : '?');
    }
    const std::size_t room = static_cast<std::size_t>(m_.max_line_length) - label.size() - 4;
    std::string_view rest = clean;
    do {
      std::size_t n = std::min(room, rest.size());
      if (n < rest.size())
        if (const auto gap = rest.substr(0, n + 1).rfind(' '); gap != std::string_view::npos && gap > 0) n = gap;
      line(fmt::format("({}: {})", label, rest.substr(0, n)));
      rest.remove_prefix(n);
      while (!rest.empty() && rest.front() == ' ') rest.remove_prefix(1);
    } while (!rest.empty());
  }

  std::string length_text(double mm, int decimals = 2) const {
    return m_.inch ? fmt::format("{:.{}f} IN", mm / unit_, decimals + 1) : fmt::format("{:.{}f} MM", mm, decimals);
  }

  void header() {
    comment("JOB", plan_.title.empty() ? "CHAMBER INSERT" : plan_.title);
    comment("SIDE", "CHAMBER SIDE, CHAMBER TOWARDS THE TAILSTOCK");
    comment("UNITS", fmt::format("{}, X IS {}", m_.inch ? "INCH" : "MM", m_.diameter_mode ? "DIAMETER" : "RADIUS"));
    comment("ZERO", "Z0 IS THE SEALING FACE, ALREADY FINISHED. CHAMBER AT Z-. X0 IS THE SPINDLE AXIS");
    if (!plan_.material.empty()) comment("MATERIAL", plan_.material);
    std::string stock = fmt::format("DIAMETER {}, THICKNESS {}", length_text(plan_.stock.outside_diameter_mm),
                                    length_text(plan_.stock.thickness_mm));
    if (plan_.stock.bore_mm > 0) stock += ", BORE " + length_text(plan_.stock.bore_mm);
    comment("STOCK", stock + ", CHUCKED ON THE OUTSIDE");
    comment("LATHE", fmt::format("{}, {} TOOLPOST, SPINDLE AT MOST {:.0f} RPM", m_.name,
                                 m_.toolpost == Toolpost::rear ? "REAR" : "FRONT", m_.clamp_rpm));
    for (const auto& op : plan_.operations) {
      const Tool& t = op.tool;
      const auto data =
          t.kind == ToolKind::drill
              ? fmt::format("DRILL DIA {}, POINT {:.0f} DEG", length_text(t.diameter_mm), t.point_angle_deg)
              : fmt::format("NOSE {}, TIP {}, BAR {}", length_text(t.nose_radius_mm, 3), t.orientation,
                            length_text(t.shank_mm));
      comment(fmt::format("T{}", t.number),
              fmt::format("{}, {}, STICK-OUT {}", t.name, data, length_text(t.reach_mm, 1)));
    }
    comment("NOSE", "COORDINATES ARE COMPENSATED FOR THE NOSE, G40. TOUCH OFF THE TIP: NO COMPENSATION IN THE CONTROL");
    comment("CAUTION", "RUN IT FIRST IN THE AIR AT REDUCED FEED. CHECK JAWS AND REACH OF THE BARS");
    for (const auto& n : plan_.notes) comment("NOTE", n);
  }

  std::string number(long steps) const {
    const double scale = std::pow(10.0, -decimals_);
    std::string text = units::fixed(static_cast<double>(steps) * scale, decimals_);
    return text;
  }
  std::string xz(const Grid& g) const { return "X" + number(g.x) + " Z" + number(g.z); }

  double x_step() const { return m_.diameter_mode ? step_ / 2 : step_; } ///< mm of radius
  Grid grid(double x_radius, double z) const { return {std::lround(x_radius / x_step()), std::lround(z / step_)}; }

  void home() {
    const Grid home = grid(m_.change_x_mm / 2, m_.change_z_mm);
    line("G0 Z" + number(home.z));
    line("G0 X" + number(home.x));
  }

  void operation(const Operation& op) {
    comment(fmt::format("OP {}", ++count_), op.title);
    for (const auto& n : op.notes) comment("NOTE", n);
    line(fmt::format("T{} M6 G43", op.tool.number));
    if (op.constant_speed) {
      const double speed = m_.inch ? op.speed / 0.3048 : op.speed;
      line(fmt::format("G96 D{:.0f} S{:.0f} M3", m_.clamp_rpm, std::round(speed)));
    } else {
      line(fmt::format("G97 S{:.0f} M3", op.speed));
    }
    if (m_.coolant) line("M8");
    line("G95");
    feed_ = 0;
    known_ = false;
    for (std::size_t i = 0; i < op.moves.size(); ++i)
      move(op.moves[i], i + 1 < op.moves.size() ? &op.moves[i + 1] : nullptr);
    home();
    if (op.constant_speed) line(fmt::format("G97 S{:.0f}", std::min(500.0, std::floor(m_.clamp_rpm))));
    if (m_.coolant) line("M9");
    line("M5");
  }

  void feed_word(std::string& text, double feed) {
    if (feed == feed_) return;
    feed_ = feed;
    text += m_.inch ? fmt::format(" F{:.5f}", feed / unit_) : fmt::format(" F{:.4f}", feed);
  }

  void move(const Move& m, const Move* next) {
    Grid to = grid(m.x_mm, m.z_mm);
    if (known_ && to == at_) return;
    std::string text;
    if (m.kind == Move::Kind::rapid) {
      text = "G0 " + xz(to);
    } else if (m.kind == Move::Kind::line || flat(m, to)) {
      text = "G1 " + xz(to);
      feed_word(text, m.feed_mm_per_rev);
    } else {
      const auto arc = fit_arc(m, next);
      to = arc.to;
      text = fmt::format("{} {} I{} K{}", m.kind == Move::Kind::arc_cw ? "G2" : "G3", xz(to), number(arc.i),
                         number(arc.k));
      feed_word(text, m.feed_mm_per_rev);
    }
    line(text);
    at_ = to;
    known_ = true;
  }

  struct Place {
    double x, z;
  };
  Place place(const Grid& g) const { return {static_cast<double>(g.x) * x_step(), static_cast<double>(g.z) * step_}; }

  /// So short that the grid no longer tells the arc from its chord (and a rounded end could turn it into a circle).
  bool flat(const Move& m, const Grid& to) const {
    const Place a = place(at_), b = place(to);
    const double chord = std::hypot(b.x - a.x, b.z - a.z);
    const double radius = std::hypot(m.centre_x_mm - m.x_mm, m.centre_z_mm - m.z_mm);
    return radius < step_ || (chord < 8 * step_ && chord * chord / (8 * radius) < step_ / 10);
  }

  /// An arc on the grid: its end, and I and K in steps (I along the radius, whatever the X words mean).
  struct Fit {
    Grid to;
    long i = 0, k = 0;
    double error = 1e9;
  };

  /// Straying into the metal is worse than leaving some.
  static double cost(double into_metal) { return into_metal > 0 ? into_metal : -0.6 * into_metal; }

  Fit fit_arc(const Move& m, const Move* next) const {
    const Grid to = grid(m.x_mm, m.z_mm);
    Fit best;
    fit_centre(m, to, 0, best);
    if (best.error < step_ / 2) return best;
    // A coarse grid: let the end move too, as far as the next move can bear it. Metal lies to the right of the travel.
    Place to_metal{0, 0};
    if (next && next->kind != Move::Kind::rapid) {
      Place d{next->z_mm - m.z_mm, next->x_mm - m.x_mm};
      if (next->kind != Move::Kind::line) {
        const double turn = next->kind == Move::Kind::arc_ccw ? 1 : -1;
        d = {(next->centre_x_mm - m.x_mm) * turn, -(next->centre_z_mm - m.z_mm) * turn};
      }
      const double length = std::hypot(d.x, d.z);
      if (length > 0) to_metal = {-d.x / length, d.z / length};
    }
    for (long x = to.x - 2; x <= to.x + 2; ++x)
      for (long z = to.z - 1; z <= to.z + 1; ++z) {
        const Place p = place({x, z});
        const double off = cost((p.x - m.x_mm) * to_metal.x + (p.z - m.z_mm) * to_metal.z);
        if (off < best.error) fit_centre(m, {x, z}, off, best);
      }
    return best;
  }

  /// Tries centres near the planned one; the error is how far the arc strays from the planned arc, the mismatch of its
  /// two radii included, or `floor` if that is more.
  void fit_centre(const Move& m, const Grid& to, double floor, Fit& best) const {
    const Place s = place(at_), e = place(to);
    const double radius = std::hypot(m.x_mm - m.centre_x_mm, m.z_mm - m.centre_z_mm);
    // Directions in which the arc may stray: its start, middle and end.
    const Place u{(s.x - m.centre_x_mm) / radius, (s.z - m.centre_z_mm) / radius};
    const Place v{(e.x - m.centre_x_mm) / radius, (e.z - m.centre_z_mm) / radius};
    const double norm = std::max(1e-9, std::hypot(u.x + v.x, u.z + v.z));
    const Place w{(u.x + v.x) / norm, (u.z + v.z) / norm};
    const double outside = m.kind == Move::Kind::arc_ccw ? 1 : -1; // metal lies outside a round, inside an edge
    const auto judge = [&](long i, long k) {
      const Place c{s.x + static_cast<double>(i) * step_, s.z + static_cast<double>(k) * step_};
      const double r0 = std::hypot(s.x - c.x, s.z - c.z), r1 = std::hypot(e.x - c.x, e.z - c.z);
      if (r0 < step_ / 2 || r1 < step_ / 2) return;
      const double dx = c.x - m.centre_x_mm, dz = c.z - m.centre_z_mm;
      const double mismatch = std::abs(r1 - r0), mean = (r0 + r1) / 2;
      double error = 0;
      for (const auto& d : {u, w, v}) error = std::max(error, cost(outside * (dx * d.x + dz * d.z + mean - radius)));
      error = std::max(error + mismatch / 2, floor);
      if (mismatch > bearable_mismatch_mm) error += mismatch;
      if (error < best.error) best = {to, i, k, error};
    };
    // Radii agree where chord . centre = chord^2 / 2 (from the start): take the grid points beside that line. The
    // flatter the arc, the less its centre matters across the chord, and the farther along it may be sought.
    const Place d{e.x - s.x, e.z - s.z};
    const double chord = std::hypot(d.x, d.z);
    const bool along_z = std::abs(d.x) > std::abs(d.z);
    const long far = std::clamp(std::lround(4 * radius / std::max(chord, step_)), 4L, 60L);
    const long middle = std::lround((along_z ? m.centre_z_mm - s.z : m.centre_x_mm - s.x) / step_);
    for (long t = middle - far; t <= middle + far; ++t) {
      const double given = static_cast<double>(t) * step_;
      const double other = along_z ? (chord * chord / 2 - d.z * given) / d.x : (chord * chord / 2 - d.x * given) / d.z;
      const long below = static_cast<long>(std::floor(other / step_));
      for (const long n : {below, below + 1}) along_z ? judge(n, t) : judge(t, n);
    }
  }

  const Plan& plan_;
  const Machine& m_;
  int decimals_;
  double unit_ = 1, step_ = 1e-3;
  std::string out_;
  Grid at_;
  bool known_ = false;
  double feed_ = 0;
  int count_ = 0;
};

} // namespace

std::string write(const Plan& plan, const Machine& machine, const std::string& warning) {
  return Writer(plan, machine).run(warning);
}

} // namespace chamber::turning
