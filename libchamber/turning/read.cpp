#include "chamber/turning/read.hpp"
#include "chamber/turning/read_block.hpp"
#include "chamber/turning/read_words.hpp"
#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <optional>
#include <string>

namespace chamber::turning {
namespace {

constexpr std::size_t most_problems = 50;
using detail::Block;
using detail::Code;
using detail::Meaning;
using detail::Words;

/// Largest feed a cut may have, and largest lead: slips of a decimal point.
constexpr double most_feed_mm = 2, most_lead_mm = 6;
constexpr double same_place_mm = 1e-9;

class Reader {
public:
  Reader(const Words& words, const Machine& machine) : w_(words), swapped_(arcs_swapped(machine)) {
    program_.diameter = machine.diameter_mode;
    x_meaning_ = !w_.says_x_meaning;
    plane_ = absolute_ = !w_.says_plane;
  }

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

  /// What a line asks for, its words looked up.
  struct Line {
    const Block* block;
    std::vector<Meaning> meanings;
    std::optional<Meaning> motion;

    bool has(Meaning m) const { return std::find(meanings.begin(), meanings.end(), m) != meanings.end(); }
    std::optional<double> word(char letter) const { return find(*block, letter); }
  };

  void apply(const Block& b) {
    Line line{&b, {}, {}};
    bool good = true;
    for (const int g : b.g) good = look_up('G', g, line) && good;
    for (const int m : b.m) good = look_up('M', m, line) && good;
    if (!good || !speeds(line) || !stray_words(line) || !tool_call(line)) return;
    if (line.has(Meaning::spindle_forward)) start_spindle(false);
    if (line.has(Meaning::spindle_backward)) start_spindle(true);
    if (line.has(Meaning::stop)) stop();
    if (line.has(Meaning::end)) end_program();
    const bool thread = line.motion == Meaning::thread || line.motion == Meaning::rigid_tap;
    if (const auto f = line.word('F'); f && !(thread && w_.lead_is_feed) && !set_feed(*f)) return;
    if (line.motion) return move(line);
    for (const char c : {'X', 'Z', 'I', 'K'})
      if (line.word(c)) return report("coordinates without a motion word.", "write G0, G1, G2 or G3 on the line.");
  }

  bool look_up(char letter, int tenfold, Line& line) {
    const auto it = std::find_if(w_.codes.begin(), w_.codes.end(),
                                 [&](const Code& c) { return c.letter == letter && c.tenfold == tenfold; });
    if (it == w_.codes.end())
      return report(fmt::format("{}{} has no place in a program of this kind.", letter, tenfold / 10.0), "remove it."),
             false;
    line.meanings.push_back(it->meaning);
    if (it->meaning == Meaning::refused) return report(std::string(it->why), std::string(it->cure)), false;
    if (it->meaning <= Meaning::rigid_tap) {
      if (line.motion) return report("two motion words in a line.", "keep one."), false;
      line.motion = it->meaning;
      return true;
    }
    return set_mode(it->meaning);
  }

  bool set_mode(Meaning meaning) {
    switch (meaning) {
    case Meaning::diameter_words:
    case Meaning::radius_words:
      if (x_meaning_) return report("G7 or G8 a second time.", "say once what X words mean."), false;
      x_meaning_ = true;
      program_.diameter = meaning == Meaning::diameter_words;
      return true;
    case Meaning::inch:
    case Meaning::millimetre:
      if (units_) return report("G20 or G21 a second time.", "say the unit once."), false;
      units_ = true;
      program_.inch = meaning == Meaning::inch;
      return true;
    case Meaning::plane:
      return plane_ = true;
    case Meaning::cycles_off:
      return cycles_off_ = true;
    case Meaning::absolute:
      return absolute_ = true;
    case Meaning::work_offset:
      return offset_ = true;
    case Meaning::nose_off:
      nose_ = Compensation::none;
      return nose_off_ = true;
    case Meaning::nose_left:
    case Meaning::nose_right:
      if (tool_ == 0) return report("nose compensation before a tool is called.", "call the tool first."), false;
      if (nose_ != Compensation::none)
        return report("nose compensation while it is on already.", "write G40 and lead out first."), false;
      nose_ = (meaning == Meaning::nose_left) != swapped_ ? Compensation::left : Compensation::right;
      return true;
    case Meaning::feed_per_rev:
      feed_ = 0;
      return per_rev_ = true;
    case Meaning::spindle_stop:
      if (!ran_) return report("M5 although the spindle never ran.", "remove it, or start the spindle."), false;
      spindle_ = false;
      return true;
    case Meaning::coolant_on:
      return coolant_ = true;
    case Meaning::coolant_off:
      if (!coolant_)
        return report("M9 although the coolant is off.", "remove it, or write M8 after the tool call."), false;
      coolant_ = false;
      return coolant_used_ = true;
    default:
      return true; // what it does depends on the other words of the line
    }
  }

  bool speeds(const Line& line) {
    const auto s = line.word('S'), d = line.word('D');
    const bool constant = line.has(Meaning::constant_speed), fixed = line.has(Meaning::fixed_speed),
               clamp = line.has(Meaning::clamp);
    if (constant + fixed + clamp > 1)
      return report("two words that want the S for themselves.", "write them on lines of their own."), false;
    if (s && *s <= 0) return report("S is not above 0.", "write a speed."), false;
    if (d && !(constant && w_.clamp_beside_speed)) return report("D without G96.", "remove it."), false;
    if (s && !constant && !fixed && !clamp)
      return report("S without G96 or G97 beside it.", "say on the same line what the speed means."), false;
    if (clamp) {
      if (!s) return report("G50 without S.", "write the highest spindle speed beside it."), false;
      clamp_ = *s;
      clamp_said_ = true;
    }
    if (fixed) {
      if (!s) return report("G97 without a spindle speed.", "write S on the same line."), false;
      constant_speed_ = false;
      speed_ = *s;
    }
    return !constant || set_constant_speed(s, d);
  }

  bool set_constant_speed(const std::optional<double>& s, const std::optional<double>& d) {
    if (w_.clamp_beside_speed) {
      if (!d || *d <= 0) return report("G96 without a clamp.", "write D and the highest rpm beside it."), false;
      clamp_ = *d;
    } else if (!clamp_said_) {
      return report("G96 without a clamp since the tool call.", "write G50 S and the highest rpm before it."), false;
    }
    if (!s) return report("G96 without a cutting speed.", "write S beside it."), false;
    constant_speed_ = true;
    speed_ = *s * (program_.inch ? 0.3048 : 1.0);
    return true;
  }

  bool stray_words(const Line& line) {
    if (line.word('P')) return report("P without a dwell.", "remove it."), false;
    if (line.word('O')) return report("a second O number.", "remove it."), false;
    return true;
  }

  bool tool_call(const Line& line) {
    const auto t = line.word('T');
    if (w_.tool_with_offset) {
      if (!t) return true;
      if (line.block->words.size() > 1 || !line.meanings.empty())
        return report("a tool word beside others.", "write T0101 on a line of its own."), false;
      const double number = std::floor(*t / 100), offset = *t - 100 * number;
      if (number != offset)
        return report("the tool word's offset is not its tool's.", "write T0101: tool 1 with offset 1."), false;
      return change_tool(number);
    }
    const bool change = line.has(Meaning::tool_change);
    if (change != t.has_value() || change != line.has(Meaning::length_offset))
      return report("a tool call is T, M6 and G43 together.", "write them on one line."), false;
    return !change || change_tool(*t);
  }

  bool change_tool(double number) {
    if (number < 1 || number > 99 || number != std::floor(number))
      return report("the tool number is not a whole number from 1 to 99.", "number the tools 1 to 99."), false;
    if (spindle_) return report("a tool change with the spindle turning.", "write M5 before it."), false;
    if (coolant_) return report("a tool change with the coolant on.", "write M9 before it."), false;
    if (constant_speed_) return report("a tool change under G96.", "write G97 before it."), false;
    if (nose_ != Compensation::none)
      return report("a tool change under nose compensation.", "write G40 and lead out before it."), false;
    if (!x_ || !z_)
      return report("a tool change before the tool post has been sent away.", "write G0 Z and G0 X before it."), false;
    if (retreat_ && !at(*retreat_))
      return report("a tool change away from where the first one was made.", "send the tool post there first."), false;
    retreat_ = program_.change = XZ{*x_, *z_};
    tool_ = static_cast<int>(number);
    ++call_;
    per_rev_ = clamp_said_ = ran_ = false;
    feed_ = 0;
    return true;
  }

  bool at(const XZ& p) const {
    return x_ && z_ && std::abs(*x_ - p.x) <= same_place_mm && std::abs(*z_ - p.z) <= same_place_mm;
  }

  void start_spindle(bool backwards) {
    if (speed_ <= 0) return report("M3 or M4 without a spindle speed.", "write G96 or G97 with S.");
    if (tool_ == 0) return report("the spindle starts before a tool is called.", "call the tool first.");
    if (spindle_ && backwards_ != backwards)
      return report("the spindle is turned round while it runs.", "write M5 before it.");
    spindle_ = ran_ = true;
    backwards_ = backwards;
  }

  void stop() {
    program_.stops.push_back(line_);
    if (spindle_) report("M0 with the spindle turning.", "write M5 before it.");
    if (!z_ || !x_ || !(*z_ > 0 || (retreat_ && at(*retreat_))))
      report("M0 with the tool at the work.", "send the tool post in front of the face first.");
  }

  bool set_feed(double f) {
    const double scale = program_.inch ? 25.4 : 1.0;
    if (!per_rev_) return report(fmt::format("F before {}.", w_.feed_word), "say the feed mode first."), false;
    if (f <= 0 || f * scale > most_feed_mm)
      return report("a feed outside 0 to 2 mm per revolution.", "check F."), false;
    feed_ = f * scale;
    return true;
  }

  bool safe_start() {
    if (plane_ && x_meaning_ && units_ && nose_off_ && cycles_off_ && absolute_ && offset_ && speed_ > 0) return true;
    report(fmt::format("a motion before the safe start is complete ({}).", w_.safe_start),
           "write all of them at the start.");
    return false;
  }

  void move(const Line& line) {
    if (start_failed_) return;
    if (!safe_start()) {
      start_failed_ = true;
      return;
    }
    const double scale = program_.inch ? 25.4 : 1.0;
    const auto x = line.word('X'), z = line.word('Z');
    if (!x && !z) return report("a motion word without X or Z.", "write where to.");
    Motion m;
    m.line = line_;
    m.kind = kind_of(*line.motion);
    m.from_known = x_ && z_;
    m.from = {x_.value_or(0), z_.value_or(0)};
    if (x) x_ = *x * scale * (program_.diameter ? 0.5 : 1.0);
    if (z) z_ = *z * scale;
    m.to = {x_.value_or(0), z_.value_or(0)};
    m.tool = tool_;
    m.call = call_;
    m.constant_speed = constant_speed_;
    m.speed = speed_;
    m.clamp_rpm = clamp_;
    m.backwards = spindle_ && backwards_;
    m.nose = nose_;
    const bool arc_word = m.kind == MotionKind::arc_cw || m.kind == MotionKind::arc_ccw;
    if (m.kind != MotionKind::rapid && !cutting(m)) return;
    if (arc_word && !arc(line, m, scale)) return;
    if (!arc_word && (line.word('I') || (line.word('K') && m.kind != MotionKind::thread)))
      return report("I or K on a straight move.", "remove them.");
    if (m.kind == MotionKind::thread && !thread(line, m, scale)) return;
    if (!m.from_known && program_.motions.empty() && !(z && !x))
      return report("the first motion does not take Z alone out of the work.", "write G0 Z first.");
    if (!under_compensation(m)) return;
    program_.motions.push_back(m);
    if (line.motion == Meaning::rigid_tap) tap_out(m);
  }

  MotionKind kind_of(Meaning motion) const {
    switch (motion) {
    case Meaning::rapid:
      return MotionKind::rapid;
    case Meaning::line:
      return MotionKind::line;
    case Meaning::arc_cw:
      return swapped_ ? MotionKind::arc_ccw : MotionKind::arc_cw;
    case Meaning::arc_ccw:
      return swapped_ ? MotionKind::arc_cw : MotionKind::arc_ccw;
    default:
      return MotionKind::thread;
    }
  }

  bool cutting(Motion& m) {
    if (!m.from_known) return report("a cut from an unknown place.", "position both axes with G0 first."), false;
    if (tool_ == 0) return report("a cut without a tool.", "call one."), false;
    if (!spindle_) return report("a cut with the spindle still.", "write M3 after the tool call."), false;
    if (coolant_used_ && !coolant_)
      return report("a cut without the coolant that earlier tools had.", "write M8."), false;
    if (m.kind == MotionKind::thread) return true;
    if (backwards_) return report("a cut with the spindle turning backwards.", "write M5 and M3 before it."), false;
    if (!per_rev_)
      return report("a cut without a feed mode.", fmt::format("write {} after the tool call.", w_.feed_word)), false;
    if (feed_ <= 0)
      return report(w_.lead_is_feed ? "a cut without F since the feed mode or the last thread."
                                    : "a cut without F since the feed mode.",
                    "write F on the first cut."),
             false;
    m.feed_mm_per_rev = feed_;
    return true;
  }

  bool arc(const Line& line, Motion& m, double scale) {
    const auto i = line.word('I'), k = line.word('K');
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

  bool thread(const Line& line, Motion& m, double scale) {
    const auto lead = line.word(w_.lead_is_feed ? 'F' : 'K');
    if (!w_.lead_is_feed && line.word('F')) return report("F on a thread.", "write its lead as K."), false;
    if (w_.lead_is_feed && line.word('K')) return report("K on a thread.", "write its lead as F."), false;
    if (!lead || *lead <= 0 || *lead * scale > most_lead_mm)
      return report("a thread without a lead of 0 to 6 mm.", w_.lead_is_feed ? "write F." : "write K."), false;
    if (constant_speed_)
      return report("a thread under G96: the speed would change with the radius.", "write G97 before it."), false;
    if (m.from.z == m.to.z) return report("a thread that does not move along Z.", "write where to."), false;
    m.feed_mm_per_rev = *lead * scale;
    if (w_.lead_is_feed) feed_ = 0;
    return true;
  }

  /// The way out of a rigid tap, which the control makes by itself.
  void tap_out(Motion m) {
    if (m.from.x != m.to.x) report("a rigid tap that moves in X.", "keep X.");
    std::swap(m.from, m.to);
    m.backwards = !m.backwards;
    x_ = m.to.x;
    z_ = m.to.z;
    program_.motions.push_back(m);
  }

  bool under_compensation(const Motion& m) {
    const bool on = nose_ != Compensation::none;
    const bool was = !program_.motions.empty() && program_.motions.back().nose != Compensation::none;
    const bool straight = m.kind == MotionKind::line || m.kind == MotionKind::rapid;
    if (on && (m.kind == MotionKind::rapid || m.kind == MotionKind::thread))
      return report("a rapid or a thread under nose compensation.", "write G40 and lead out first."), false;
    if (on != was && !straight)
      return report("nose compensation goes on or off with an arc.", "lead in and out along a line."), false;
    return true;
  }

  void end_program() {
    ended_ = true;
    if (spindle_) report("the program ends with the spindle turning.", "write M5 before M30.");
    if (coolant_) report("the program ends with the coolant on.", "write M9 before M30.");
    if (constant_speed_) report("the program ends under G96, which breaks the next start.", "write G97 before M30.");
    if (nose_ != Compensation::none) report("the program ends under nose compensation.", "write G40 and lead out.");
    if (retreat_ && x_ && z_ && !at(*retreat_))
      report("the program ends with the tool still at the work.", "send the tool post to its change position.");
  }

  void finish() {
    if (wraps_ < 2) report("the program is not wrapped in two % lines.", "write % as first and last line.");
    if (!ended_) report("the program has no M30.", "write M30 before the last %.");
    if (program_.motions.empty()) report("the program moves nothing.", "check that the whole text is there.");
  }

  const Words& w_;
  bool swapped_;
  Program program_;
  std::vector<Problem> problems_;
  int line_ = 0, wraps_ = 0, tool_ = 0, call_ = 0;
  bool named_ = false, ended_ = false, x_meaning_ = false, units_ = false, plane_ = false, nose_off_ = false;
  bool cycles_off_ = false, absolute_ = false, offset_ = false, per_rev_ = false, spindle_ = false, backwards_ = false;
  bool ran_ = false; ///< the spindle, since the tool call
  bool coolant_ = false, coolant_used_ = false, constant_speed_ = false, clamp_said_ = false, start_failed_ = false;
  Compensation nose_ = Compensation::none;
  double feed_ = 0, speed_ = 0, clamp_ = 0;
  std::optional<double> x_, z_;
  std::optional<XZ> retreat_;
};

} // namespace

Results<Program> read(std::string_view text, const Machine& machine) {
  const auto* words = detail::words_of(machine.dialect);
  if (!words)
    return tl::unexpected(std::vector<Problem>{
        {{}, fmt::format("no reader knows the dialect \"{}\".", machine.dialect), "write rs274 or type-a."}});
  return Reader(*words, machine).run(text);
}

} // namespace chamber::turning
