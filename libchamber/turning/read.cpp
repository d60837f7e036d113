#include "chamber/turning/read.hpp"
#include "chamber/turning/read_block.hpp"
#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <optional>
#include <string>

namespace chamber::turning {
namespace {

constexpr std::size_t most_problems = 50;
using detail::Block;

class Reader {
public:
  Results<Program> run(std::string_view text) {
    if (text.size() > longest_text) {
      report("the program is longer than 4 MB.", "that is no lathe program of this kind.");
      return tl::unexpected(problems_);
    }
    while (!text.empty() && problems_.size() < most_problems) {
      const auto end = text.find('\n');
      auto one = text.substr(0, end);
      text.remove_prefix(end == std::string_view::npos ? text.size() : end + 1);
      if (!one.empty() && one.back() == '\r') one.remove_suffix(1);
      ++line_;
      take(one);
    }
    finish();
    if (!problems_.empty()) return tl::unexpected(problems_);
    program_.line_count = line_;
    return std::move(program_);
  }

private:
  void report(std::string message, std::string cure) {
    if (problems_.size() < most_problems) problems_.push_back({{"", line_, 0}, std::move(message), std::move(cure)});
  }

  void take(std::string_view one) {
    if (one.size() > longest_line) return report("the line is longer than 256 characters.", "break it up.");
    for (const char c : one)
      if (static_cast<unsigned char>(c) < 32 || static_cast<unsigned char>(c) > 126)
        return report("a character outside printable ASCII.", "remove it.");
    if (one == "%") return wrap();
    if (wraps_ != 1) {
      if (!one.empty())
        report(wraps_ == 0 ? "text before the first %." : "text after the last %.", "wrap the program in %.");
      return;
    }
    if (ended_) return report("text after M30.", "end the program with M30 and %.");
    const auto block = detail::dissect(one);
    if (!block) return report(block.error().message, block.error().cure);
    const Block& b = *block;
    if (b.empty()) return;
    if (!named_) {
      if (b.words.size() == 1 && b.words[0].letter == 'O' && b.g.empty() && b.m.empty()) {
        named_ = true;
        program_.number = static_cast<int>(b.words[0].value);
        return;
      }
      report("the program does not begin with its O number.", "write O and a number after the first %.");
      named_ = true;
    }
    apply(b);
  }

  void wrap() {
    ++wraps_;
    if (wraps_ == 2 && !ended_) report("the closing % comes before M30.", "write M30 before it.");
    if (wraps_ > 2) report("a third %.", "wrap the program in two.");
  }

  static std::optional<double> find(const Block& b, char letter) {
    for (const auto& w : b.words)
      if (w.letter == letter) return w.value;
    return std::nullopt;
  }
  static bool has(const std::vector<int>& codes, int code) {
    return std::find(codes.begin(), codes.end(), code) != codes.end();
  }

  void apply(const Block& b) {
    bool good = true;
    std::optional<int> motion;
    for (const int g : b.g) good = g_code(g, motion) && good;
    for (const int m : b.m) good = m_code(m) && good;
    if (!good) return;
    if (has(b.g, 960) && !set_constant_speed(b)) return;
    if (has(b.g, 970)) {
      if (!find(b, 'S') || *find(b, 'S') <= 0)
        return report("G97 without a spindle speed.", "write S on the same line.");
      constant_speed_ = false;
      speed_ = *find(b, 'S');
    }
    if (find(b, 'S') && !has(b.g, 960) && !has(b.g, 970))
      return report("S without G96 or G97 beside it.", "say on the same line what the speed means.");
    if (find(b, 'D') && !has(b.g, 960)) return report("D without G96.", "remove it.");
    if (find(b, 'P')) return report("P without a dwell.", "remove it.");
    if (find(b, 'O')) return report("a second O number.", "remove it.");
    if (has(b.m, 60) != find(b, 'T').has_value() || has(b.m, 60) != has(b.g, 430))
      return report("a tool call is T, M6 and G43 together.", "write them on one line.");
    if (has(b.m, 60) && !change_tool(*find(b, 'T'))) return;
    if (has(b.m, 30)) start_spindle();
    if (has(b.m, 300)) end_program();
    if (find(b, 'F') && !set_feed(*find(b, 'F'))) return;
    const bool coordinates = find(b, 'X') || find(b, 'Z') || find(b, 'I') || find(b, 'K');
    if (motion) return move(b, *motion);
    if (coordinates) report("coordinates without a motion word.", "write G0, G1, G2 or G3 on the line.");
  }

  bool g_code(int g, std::optional<int>& motion) {
    switch (g) {
    case 0:
    case 10:
    case 20:
    case 30:
      if (motion) return report("two motion words in a line.", "keep one."), false;
      motion = g / 10;
      return true;
    case 70:
    case 80:
      if (mode_) return report("G7 or G8 a second time.", "say once what X words mean."), false;
      mode_ = true;
      program_.diameter = g == 70;
      return true;
    case 200:
    case 210:
      if (units_) return report("G20 or G21 a second time.", "say the unit once."), false;
      units_ = true;
      program_.inch = g == 200;
      return true;
    case 180:
      plane_ = true;
      return true;
    case 400:
      nose_off_ = true;
      return true;
    case 800:
      cycles_off_ = true;
      return true;
    case 900:
      absolute_ = true;
      return true;
    case 540:
      offset_ = true;
      return true;
    case 950:
      per_rev_ = true;
      feed_ = 0;
      return true;
    case 430:
    case 960:
    case 970:
      return true;
    case 980:
    case 990:
      return report("G98 and G99 are canned-cycle words here, not feed modes.", "write G95 for feed per revolution."),
             false;
    case 500:
      return report("G50 does not clamp the spindle here.", "write the clamp as D beside G96."), false;
    default:
      return report(fmt::format("G{} has no place in a program of this kind.", g / 10.0), "remove it."), false;
    }
  }

  bool m_code(int m) {
    switch (m) {
    case 30:
    case 60:
    case 300:
      return true;
    case 50:
      if (!spindle_) return report("M5 although the spindle stands still.", "remove it, or start the spindle."), false;
      spindle_ = false;
      return true;
    case 80:
      coolant_ = true;
      return true;
    case 90:
      if (!coolant_)
        return report("M9 although the coolant is off.", "remove it, or write M8 after the tool call."), false;
      coolant_used_ = true;
      coolant_ = false;
      return true;
    default:
      return report(fmt::format("M{} has no place in a program of this kind.", m / 10.0), "remove it."), false;
    }
  }

  bool set_constant_speed(const Block& b) {
    if (!find(b, 'D') || *find(b, 'D') <= 0)
      return report("G96 without a clamp.", "write D and the highest rpm beside it."), false;
    if (!find(b, 'S') || *find(b, 'S') <= 0) return report("G96 without a cutting speed.", "write S beside it."), false;
    constant_speed_ = true;
    clamp_ = *find(b, 'D');
    speed_ = *find(b, 'S') * (program_.inch ? 0.3048 : 1.0);
    return true;
  }

  bool change_tool(double number) {
    if (number < 1 || number > 99 || number != std::floor(number))
      return report("the tool number is not a whole number from 1 to 99.", "write T1 M6 G43."), false;
    if (spindle_) return report("a tool change with the spindle turning.", "write M5 before it."), false;
    if (coolant_) return report("a tool change with the coolant on.", "write M9 before it."), false;
    if (constant_speed_) return report("a tool change under G96.", "write G97 before it."), false;
    if (!x_ || !z_)
      return report("a tool change before the tool post has been sent away.", "write G0 Z and G0 X before it."), false;
    if (retreat_ && (std::abs(*x_ - retreat_->x) > 1e-9 || std::abs(*z_ - retreat_->z) > 1e-9))
      return report("a tool change away from where the first one was made.", "send the tool post there first."), false;
    retreat_ = XZ{*x_, *z_};
    tool_ = static_cast<int>(number);
    per_rev_ = false;
    feed_ = 0;
    return true;
  }

  void start_spindle() {
    if (speed_ <= 0) return report("M3 without a spindle speed.", "write G96 or G97 with S.");
    if (tool_ == 0) return report("the spindle starts before a tool is called.", "call the tool first.");
    spindle_ = true;
  }

  bool set_feed(double f) {
    const double scale = program_.inch ? 25.4 : 1.0;
    if (!per_rev_) return report("F before G95.", "say the feed mode first."), false;
    if (f <= 0 || f * scale > 2) return report("a feed outside 0 to 2 mm per revolution.", "check F."), false;
    feed_ = f * scale;
    return true;
  }

  bool safe_start() {
    if (plane_ && mode_ && units_ && nose_off_ && cycles_off_ && absolute_ && offset_ && speed_ > 0) return true;
    report("a motion before the safe start is complete (G18, G7 or G8, G20 or G21, G40, G80, G90, G54, G97 S).",
           "write all of them at the start.");
    return false;
  }

  void move(const Block& b, int code) {
    if (start_failed_) return;
    if (!safe_start()) {
      start_failed_ = true;
      return;
    }
    const double scale = program_.inch ? 25.4 : 1.0;
    const auto x = find(b, 'X'), z = find(b, 'Z');
    if (!x && !z) return report("a motion word without X or Z.", "write where to.");
    Motion m;
    m.line = line_;
    m.kind = static_cast<MotionKind>(code);
    m.from_known = x_ && z_;
    m.from = {x_.value_or(0), z_.value_or(0)};
    if (x) x_ = *x * scale * (program_.diameter ? 0.5 : 1.0);
    if (z) z_ = *z * scale;
    m.to = {x_.value_or(0), z_.value_or(0)};
    m.tool = tool_;
    m.constant_speed = constant_speed_;
    m.speed = speed_;
    m.clamp_rpm = clamp_;
    if (code != 0 && !cutting(m)) return;
    if (code >= 2 && !arc(b, m, scale)) return;
    if (code < 2 && (find(b, 'I') || find(b, 'K'))) return report("I or K on a straight move.", "remove them.");
    if (!m.from_known && program_.motions.empty() && !(z && !x))
      return report("the first motion does not take Z alone out of the work.", "write G0 Z first.");
    program_.motions.push_back(m);
  }

  bool cutting(Motion& m) {
    if (!m.from_known) return report("a cut from an unknown place.", "position both axes with G0 first."), false;
    if (tool_ == 0) return report("a cut without a tool.", "call one."), false;
    if (!spindle_) return report("a cut with the spindle still.", "write M3 after the tool call."), false;
    if (!per_rev_) return report("a cut without a feed mode.", "write G95 after the tool call."), false;
    if (feed_ <= 0) return report("a cut without F since the feed mode.", "write F on the first cut."), false;
    if (coolant_used_ && !coolant_)
      return report("a cut without the coolant that earlier tools had.", "write M8."), false;
    m.feed_mm_per_rev = feed_;
    return true;
  }

  bool arc(const Block& b, Motion& m, double scale) {
    const auto i = find(b, 'I'), k = find(b, 'K');
    if (!i || !k)
      return report("an arc without both I and K.", "write both, from start to centre, I along the radius."), false;
    m.centre = {m.from.x + *i * scale, m.from.z + *k * scale};
    const double r0 = std::hypot(m.from.x - m.centre.x, m.from.z - m.centre.z);
    const double r1 = std::hypot(m.to.x - m.centre.x, m.to.z - m.centre.z);
    if (r0 <= 0 || std::abs(r1 - r0) > arc_mismatch_mm)
      return report(fmt::format("the arc's radii at start and end differ by {:.4f} mm.", std::abs(r1 - r0)),
                    "check X, Z, I and K of the line and the end of the line before."),
             false;
    if (std::hypot(m.to.x - m.from.x, m.to.z - m.from.z) < 1e-6)
      return report("an arc that ends where it starts: a control would turn a full circle.", "remove it."), false;
    m.radius = (r0 + r1) / 2;
    m.mismatch = std::abs(r1 - r0);
    return true;
  }

  void end_program() {
    ended_ = true;
    if (spindle_) report("the program ends with the spindle turning.", "write M5 before M30.");
    if (coolant_) report("the program ends with the coolant on.", "write M9 before M30.");
    if (constant_speed_) report("the program ends under G96, which breaks the next start.", "write G97 before M30.");
    if (retreat_ && x_ && z_ && (std::abs(*x_ - retreat_->x) > 1e-9 || std::abs(*z_ - retreat_->z) > 1e-9))
      report("the program ends with the tool still at the work.", "send the tool post to its change position.");
  }

  void finish() {
    if (wraps_ < 2) report("the program is not wrapped in two % lines.", "write % as first and last line.");
    if (!ended_) report("the program has no M30.", "write M30 before the last %.");
    if (program_.motions.empty()) report("the program moves nothing.", "check that the whole text is there.");
  }

  Program program_;
  std::vector<Problem> problems_;
  int line_ = 0, wraps_ = 0, tool_ = 0;
  bool named_ = false, ended_ = false, mode_ = false, units_ = false, plane_ = false, nose_off_ = false;
  bool cycles_off_ = false, absolute_ = false, offset_ = false, per_rev_ = false, spindle_ = false;
  bool coolant_ = false, coolant_used_ = false, constant_speed_ = false, start_failed_ = false;
  double feed_ = 0, speed_ = 0, clamp_ = 0;
  std::optional<double> x_, z_;
  std::optional<XZ> retreat_;
};

} // namespace

Results<Program> read(std::string_view text) {
  return Reader().run(text);
}

} // namespace chamber::turning
