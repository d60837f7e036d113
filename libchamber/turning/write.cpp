#include "chamber/turning/write.hpp"
#include "chamber/turning/write_arc.hpp"
#include "chamber/turning/write_dialect.hpp"
#include "chamber/turning/write_header.hpp"
#include "chamber/units/quantity.hpp"
#include <algorithm>
#include <array>
#include <cmath>
#include <fmt/format.h>
#include <optional>
#include <stdexcept>

namespace chamber::turning {

using namespace detail;

namespace detail {

std::span<const Dialect* const> all_dialects() {
  static constexpr std::array all{&dialect_rs274, &dialect_type_a};
  return all;
}

} // namespace detail

namespace {

const Dialect& words_of(std::string_view dialect) {
  for (const auto* w : all_dialects())
    if (w->name == dialect) return *w;
  throw std::logic_error(fmt::format("turning: no dialect {}", dialect));
}

class Writer {
public:
  Writer(const Plan& plan, std::size_t setup, const Machine& machine, const WriteOptions& options)
      : plan_(plan), index_(setup), setup_(plan.setups.at(setup)), m_(machine), o_(options),
        words_(words_of(machine.dialect)), grid_(machine), text_(machine) {}

  std::string run() {
    text_.line("%");
    text_.line(fmt::format("O{:04d}", m_.program_number + static_cast<int>(index_)));
    if (!o_.warning.empty()) text_.comment("WARNING", o_.warning);
    if (o_.lift_mm > 0)
      text_.comment("IN THE AIR",
                    fmt::format("A TRIAL RUN. EVERY Z BUT THE CHANGE POSITION'S IS {} FARTHER FROM THE CHUCK, FEEDS "
                                "{:.0f} PERCENT BUT IN THREADS. IT CUTS NOTHING",
                                length_text(m_, o_.lift_mm), 100 * o_.feed_factor));
    write_header(text_, plan_, setup_, m_, words_);
    for (const auto& l : words_.start) say(l);
    home();
    for (const auto& op : setup_.operations) operation(op);
    text_.line("M30");
    text_.line("%");
    return text_.take();
  }

private:
  /// Fills in a template's words; a line that comes out empty is left out.
  void say(std::string_view line) { text_.line(fill(line, {})); }

  struct Fields {
    int tool = 0;
    double speed = 0;
    std::string x, z, lead;
  };
  std::string fill(std::string_view line, const Fields& f) const {
    using fmt::arg;
    const std::string_view x = m_.diameter_mode ? words_.diameter : words_.radius;
    return fmt::format(fmt::runtime(line), arg("units", m_.inch ? "G20" : "G21"),
                       arg("x", f.x.empty() ? x : std::string_view(f.x)), arg("z", f.z), arg("lead", f.lead),
                       arg("rpm", idle_rpm()), arg("clamp", std::lround(std::floor(m_.clamp_rpm))), arg("tool", f.tool),
                       arg("speed", std::lround(f.speed)));
  }
  long idle_rpm() const { return std::lround(std::min(500.0, std::floor(m_.clamp_rpm))); }

  void home() {
    const Grid home = grid_.at(m_.change_x_mm / 2, m_.change_z_mm);
    text_.line("G0 Z" + grid_.number(home.z));
    text_.line("G0 X" + grid_.number(home.x));
  }

  void stop(const Operation& op) {
    for (const auto& l : op.stop) text_.comment("MEASURE", l);
    text_.comment("MEASURE",
                  fmt::format("WHAT IS TOO MUCH, TAKE OFF THE OFFSET OF T{}, THEN GO ON. WHERE THE CONTROL TAKES X "
                              "OFFSETS AS RADII, HALF OF A DIAMETER'S",
                              op.tool.number));
    text_.line("M0");
  }

  void operation(const Operation& op) {
    if (!op.stop.empty()) stop(op); // the tool is at the change position, spindle and coolant are off
    text_.comment(fmt::format("OP {}", ++count_), op.title);
    if (op.nose != Nose::in_coordinates)
      text_.comment("NOSE", fmt::format("THE CONTROL COMPENSATES: NOSE {} AND TIP {} IN THE TOOL TABLE",
                                        length_text(m_, op.tool.nose_radius_mm, 3),
                                        tip_of(op.tool, words_.name).value().number));
    if (op.cut == Cut::tap && !words_.tap_note.empty()) text_.comment("NOTE", words_.tap_note);
    for (const auto& n : op.notes) text_.comment("NOTE", n);
    Fields f;
    f.tool = op.tool.number;
    text_.line(fill(words_.tool_call, f));
    f.speed = m_.inch ? op.speed / 0.3048 : op.speed;
    if (op.constant_speed)
      for (const auto& l : words_.constant_speed) text_.line(fill(l, f));
    else
      text_.line(fmt::format("G97 S{:.0f} M3", op.speed));
    if (m_.coolant) text_.line("M8");
    say(words_.feed_per_revolution);
    feed_.clear();
    known_ = stopped_ = false;
    moves(op);
    home();
    if (op.constant_speed) text_.line(fmt::format("G97 S{}", idle_rpm()));
    if (m_.coolant) text_.line("M9");
    if (!stopped_) text_.line("M5");
  }

  void moves(const Operation& op) {
    bool compensating = false, back = false;
    // A nose to the left of the travel has the metal on its right. Bars go from the mouth to the axis, turning tools
    // from the axis outwards and towards the chuck.
    const bool right = op.nose == Nose::in_coordinates ? op.tool.kind != ToolKind::turning : op.nose == Nose::left;
    for (std::size_t i = 0; i < op.moves.size(); ++i) {
      const Move& m = op.moves[i];
      const Move* next = i + 1 < op.moves.size() ? &op.moves[i + 1] : nullptr;
      if (m.kind == Move::Kind::reverse) {
        for (const auto& l : words_.tap_back) say(l);
        back = true;
        continue;
      }
      if (m.kind == Move::Kind::thread) {
        const bool into = next && next->kind == Move::Kind::reverse;
        if (into && !words_.tap.empty()) {
          tap(op, i);
          i += 2;
          continue;
        }
        thread(m);
        if (back)
          for (const auto& l : words_.tap_done) say(l);
        stopped_ = back && !words_.tap_done.empty();
        back = false;
        continue;
      }
      std::string compensation;
      if (op.nose != Nose::in_coordinates && m.kind == Move::Kind::line) {
        const bool last = !next || next->kind == Move::Kind::rapid;
        if (!compensating && !last) compensation = (op.nose == Nose::left) != arcs_swapped(m_) ? "G41 " : "G42 ";
        if (compensating && last) compensation = "G40 ";
        if (!compensation.empty()) compensating = !last;
      }
      move(m, next, compensation, right);
    }
    if (compensating) throw std::logic_error("turning: nose compensation without a lead-out");
  }

  std::string lead(double mm) const { return m_.inch ? units::fixed(mm / units::mm_per_inch, 6) : units::fixed(mm, 4); }

  void tap(const Operation& op, std::size_t i) {
    const Grid to = lifted(op.moves[i]);
    if (i + 2 >= op.moves.size() || op.moves[i + 2].kind != Move::Kind::thread || lifted(op.moves[i + 2]) != at_)
      throw std::logic_error("turning: a tap has to run out to where it ran in");
    text_.line(fill(words_.tap, {0, 0, {}, "Z" + grid_.number(to.z), lead(op.moves[i].feed_mm_per_rev)}));
  }

  void thread(const Move& m) {
    at_ = lifted(m);
    text_.line(
        fill(words_.thread, {0, 0, "X" + grid_.number(at_.x), "Z" + grid_.number(at_.z), lead(m.feed_mm_per_rev)}));
    feed_.clear(); // where the lead is an F word, it has replaced the feed
  }

  void feed_word(std::string& text, double feed) {
    feed *= o_.feed_factor;
    const std::string word = m_.inch ? units::fixed(feed / units::mm_per_inch, 5) : units::fixed(feed, 4);
    if (word == feed_) return;
    feed_ = word;
    text += " F" + word;
  }

  void move(Move m, const Move* next, const std::string& compensation, bool right) {
    m.z_mm += o_.lift_mm;
    m.centre_z_mm += o_.lift_mm;
    Grid to = grid_.at(m.x_mm, m.z_mm);
    if (known_ && to == at_ && compensation.empty()) return;
    std::string text = compensation;
    const auto xz = [&] { return "X" + grid_.number(to.x) + " Z" + grid_.number(to.z); };
    if (m.kind == Move::Kind::rapid) {
      text += "G0 " + xz();
    } else if (m.kind == Move::Kind::line || flat(grid_, at_, to, m)) {
      text += "G1 " + xz();
      feed_word(text, m.feed_mm_per_rev);
    } else {
      std::optional<Move> lifted_next;
      if (next) {
        lifted_next = *next;
        lifted_next->z_mm += o_.lift_mm;
        lifted_next->centre_z_mm += o_.lift_mm;
      }
      const auto arc = fit_arc(grid_, at_, m, lifted_next ? &*lifted_next : nullptr, right);
      to = arc.to;
      const bool clockwise = (m.kind == Move::Kind::arc_cw) != arcs_swapped(m_);
      text += fmt::format("{} {} I{} K{}", clockwise ? "G2" : "G3", xz(), grid_.number(arc.i), grid_.number(arc.k));
      feed_word(text, m.feed_mm_per_rev);
    }
    text_.line(text);
    at_ = to;
    known_ = true;
  }

  Grid lifted(const Move& m) const { return grid_.at(m.x_mm, m.z_mm + o_.lift_mm); }

  const Plan& plan_;
  std::size_t index_;
  const Setup& setup_;
  const Machine& m_;
  const WriteOptions& o_;
  const Dialect& words_;
  GridOf grid_;
  Text text_;
  Grid at_;
  bool known_ = false;   ///< the place is
  bool stopped_ = false; ///< the spindle is, before the operation's end
  std::string feed_;
  int count_ = 0;
};

} // namespace

std::span<const std::string_view> dialect_names() {
  static const auto names = [] {
    std::vector<std::string_view> out;
    for (const auto* d : all_dialects()) out.push_back(d->name);
    return out;
  }();
  return names;
}

std::string_view file_extension(std::string_view dialect) {
  return words_of(dialect).file_extension;
}

std::optional<Tip> tip_of(const Tool& tool, std::string_view dialect) {
  static constexpr std::string_view towards[] = {"",   "X- Z+", "X- Z-", "X+ Z-", "X+ Z+",
                                                 "Z+", "X-",    "Z-",    "X+",    "nowhere"};
  if (tool.kind == ToolKind::drill || tool.kind == ToolKind::tap || tool.kind == ToolKind::threading) return {};
  const auto i = static_cast<std::size_t>(tool.orientation);
  return Tip{words_of(dialect).tip.at(i), towards[i]};
}

std::string_view tap_note(std::string_view dialect) {
  return words_of(dialect).tap_note;
}

std::string write(const Plan& plan, std::size_t setup, const Machine& machine, const WriteOptions& options) {
  return Writer(plan, setup, machine, options).run();
}

} // namespace chamber::turning
