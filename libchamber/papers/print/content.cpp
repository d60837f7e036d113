#include "chamber/papers/print/content.hpp"
#include "chamber/papers/print/picture.hpp"
#include "chamber/papers/print/table.hpp"
#include <algorithm>

namespace chamber::papers::print {
namespace {

constexpr double gap = 5 * mm;

class Writer {
public:
  Writer(const Press& press, const Traveller& t, double width) : press_(press), t_(t), width_(width) {}

  Blocks all() {
    title();
    answer();
    measured();
    charts();
    if (!t_.setups.empty()) heading("Setup sheets");
    for (std::size_t i = 0; i < t_.setups.size(); ++i) setup(t_.setups[i], i == 0);
    inspection();
    programs();
    if (!t_.notes.empty()) section("Notes", {sentences(t_.notes)});
    if (!t_.cautions.empty()) section("Cautions", {sentences(t_.cautions)});
    return std::move(out_);
  }

private:
  Paragraph set(const std::vector<Run>& runs, double width) const { return Paragraph(press_, runs).wrap(width); }
  Block line(const std::vector<Run>& runs, double width, double before = 0) const {
    return words(set(runs, width), before);
  }

  void title() {
    std::vector<Run> name{{t_.job, {16, true}}};
    if (!t_.revision.empty()) name.push_back({"  revision " + t_.revision, {11, false, false, soft}});
    Blocks head{line(name, width_)};
    std::string said;
    const auto say = [&](const std::string& what) {
      if (!what.empty()) said += (said.empty() ? "" : "  ·  ") + what;
    };
    say(t_.customer.empty() ? "" : "for " + t_.customer);
    say(t_.material);
    say(t_.spec_hash.empty() ? "" : "sheet " + t_.spec_hash);
    say(t_.made_by);
    if (!said.empty()) head.push_back(line({{said, {body_size, false, false, soft}}}, width_, 0.8 * mm));
    if (!t_.note.empty()) head.push_back(line({{t_.note, {body_size, false, false, soft}}}, width_, 0.4 * mm));
    add(out_, std::move(head));
    if (!t_.headline.empty()) out_.push_back(headline());
  }

  /// The figures that matter most, each in a box.
  Block headline() const {
    const auto n = static_cast<double>(t_.headline.size());
    const double between = 2 * mm, each = (width_ - between * (n - 1)) / n, pad = 1.4 * mm;
    std::vector<At> boxes;
    double height = 0;
    for (const auto& f : t_.headline) {
      Blocks in{line({{f.name, {small_size, false, false, soft}}}, each - 2 * pad),
                line({{f.value, {11, true}}}, each - 2 * pad)};
      if (!f.note.empty()) in.push_back(line({{f.note, {small_size, false, false, soft}}}, each - 2 * pad));
      boxes.push_back({(each + between) * static_cast<double>(boxes.size()), stack(std::move(in))});
      height = std::max(height, boxes.back().block.height + 2 * pad);
    }
    Block out;
    out.height = height, out.before = 2.5 * mm;
    out.draw = [=](cairo_t* c, double x, double y) {
      for (const auto& b : boxes) {
        cairo_set_source_rgb(c, 0, 0, 0);
        cairo_set_line_width(c, 0.5);
        cairo_rectangle(c, x + b.x, y, each, height);
        cairo_stroke(c);
        b.block.draw(c, x + b.x + pad, y + pad);
      }
    };
    return out;
  }

  void heading(const std::string& what) {
    auto p = set({{what, {11, true}}}, width_);
    const double under = p.height() + 0.4 * mm, w = width_;
    out_.push_back({under + 1.2 * mm, 4 * mm,
                    [=](cairo_t* c, double x, double y) {
                      p.draw(c, x, y);
                      rule(c, x, y + under, x + w, y + under, 0.6, 0);
                    },
                    true, nullptr, what});
  }

  void section(const std::string& what, Blocks blocks) {
    if (blocks.empty()) return;
    heading(what);
    add(out_, std::move(blocks));
  }

  /// Name, figure, remark; where nothing is remarked, the figure has the room.
  Blocks facts(const std::vector<Fact>& facts, double width) const {
    const bool noted = std::any_of(facts.begin(), facts.end(), [](const Fact& f) { return !f.note.empty(); });
    Table t;
    t.framed = false;
    t.columns = {{"", {}, false}, {"", {body_size, true}, !noted}};
    if (noted) t.columns.push_back({"", {body_size, false, false, soft}, true});
    for (const auto& f : facts)
      t.rows.push_back(noted ? std::vector{f.name, f.value, f.note} : std::vector{f.name, f.value});
    return table(press_, t, width);
  }

  Block item(const std::string& mark, const std::string& text, double width, double size) const {
    const double indent = mark.size() > 2 ? 3.2 * mm : 4 * mm; // a bullet's three bytes, or a number
    return beside({{0, line({{mark, {size}}}, indent)}, {indent, line({{text, {size}}}, width - indent)}});
  }

  Blocks items(const std::vector<std::string>& texts, double width, double size, bool numbered) const {
    Blocks out;
    for (const auto& text : texts) {
      out.push_back(item(numbered ? std::to_string(out.size() + 1) + "." : "•", text, width, size));
      out.back().before = 0.6 * mm;
    }
    return out;
  }

  Block sentences(const std::vector<std::string>& texts) const {
    return columns(items(texts, (width_ - gap) / 2, body_size, false), 2, width_, gap);
  }

  void answer() {
    if (t_.answer.empty() && !t_.section) return;
    heading("The answer, and why");
    const double left = t_.section ? 0.54 * width_ : width_, right = width_ - left - gap;
    Blocks said = facts(t_.answer, left);
    auto why = items(t_.reasons, left, body_size, false);
    if (!why.empty()) why.front().before = 2 * mm;
    add(said, std::move(why));
    if (!t_.section) return add(out_, std::move(said));
    Blocks seen{picture(press_, t_.section->figure, right, 62 * mm)};
    const auto caption = t_.section->title + (t_.section->caption.empty() ? "" : " " + t_.section->caption);
    if (!caption.empty()) seen.push_back(line({{caption, {small_size, false, false, soft}}}, right, 0.8 * mm));
    out_.push_back(beside({{0, stack(std::move(said))}, {left + gap, stack(std::move(seen))}}));
  }

  void measured() {
    if (t_.measured.empty()) return;
    constexpr int count = 4;
    const double each = (width_ - (count - 1) * gap) / count;
    Blocks groups;
    for (const auto& g : t_.measured) {
      Blocks rows{line({{g.title, {body_size, true}}}, each)};
      add(rows, facts(g.facts, each));
      groups.push_back(stack(std::move(rows)));
      groups.back().before = 1.8 * mm;
    }
    section("The sheet, as measured", {columns(groups, count, width_, gap)});
  }

  /// Two in a row.
  void charts() {
    const double each = (width_ - gap) / 2;
    Blocks rows;
    std::vector<At> row;
    const auto put = [&] {
      if (row.empty()) return;
      rows.push_back(beside(std::move(row)));
      rows.back().before = 2 * mm;
      row.clear();
    };
    for (const auto& chart : t_.charts) {
      if (!chart.on_paper) continue;
      Blocks one{picture(press_, chart.figure, each, 90 * mm)};
      if (!chart.caption.empty()) one.push_back(line({{chart.caption, {small_size, false, false, soft}}}, each));
      row.push_back({(each + gap) * static_cast<double>(row.size()), stack(std::move(one))});
      if (row.size() == 2) put();
    }
    put();
    section("Charts", std::move(rows));
  }

  void setup(const SetupSheet& s, bool first) {
    std::vector<Run> head{{s.title, {9.5, true}}};
    if (!s.program.empty()) head.push_back({"   " + s.program, {body_size, false, true}});
    if (!s.time.empty()) head.push_back({"   " + s.time, {body_size, false, false, soft}});
    out_.push_back(line(head, width_, first ? 0 : 4 * mm));
    out_.back().keeps_next = true;
    out_.back().mark = s.title;

    const double left = 0.56 * (width_ - gap), right = width_ - gap - left;
    std::vector<At> both;
    if (!s.facts.empty()) both.push_back({0, stack(facts(s.facts, left))});
    if (!s.order.empty()) both.push_back({left + gap, stack(items(s.order, right, body_size, true))});
    if (!both.empty()) {
      out_.push_back(beside(std::move(both)));
      out_.back().before = 0.8 * mm;
    }
    auto notes = items(s.notes, width_, body_size, false);
    if (!notes.empty()) notes.front().before = 1.5 * mm;
    add(out_, std::move(notes));
    tools(s);
    steps(s.steps);
  }

  void put_table(const Table& t, double before) {
    auto rows = table(press_, t, width_);
    if (rows.empty()) return;
    rows.front().before = before;
    add(out_, std::move(rows));
  }

  void tools(const SetupSheet& s) {
    if (s.tools.empty()) return;
    const Type type{small_size};
    Table t;
    t.columns = {{"T", type},      {"Tool", type, true}, {"Work", type, true}, {"Nose", type},
                 {"Tip", type},    {"Out", type},        {"Speed", type},      {"Feed", type},
                 {"Passes", type}, {"Time", type},       {"Lines", type}};
    for (const auto& l : s.tools)
      t.rows.push_back({l.number, l.name, l.work, l.nose, l.tip, l.out, l.speed, l.feed, l.passes, l.time, l.lines});
    put_table(t, 2 * mm);
  }

  /// As many in a row as can still be told apart.
  void steps(const std::vector<Picture>& pictures) {
    if (pictures.empty()) return;
    constexpr std::size_t most = 8;
    const std::size_t rows = (pictures.size() + most - 1) / most, per_row = (pictures.size() + rows - 1) / rows;
    const double between = 3 * mm;
    const double each = (width_ - between * static_cast<double>(per_row - 1)) / static_cast<double>(per_row);
    std::vector<At> row;
    for (std::size_t i = 0; i < pictures.size(); ++i) {
      const auto& p = pictures[i];
      Blocks one{picture(press_, p.sketch ? *p.sketch : p.figure, each, (rows > 1 ? 21 : 27) * mm),
                 line({{p.title, {small_size}}}, each, 0.6 * mm)};
      row.push_back({(each + between) * static_cast<double>(row.size()), stack(std::move(one))});
      if (row.size() < per_row && i + 1 < pictures.size()) continue;
      out_.push_back(beside(std::move(row)));
      out_.back().before = 2 * mm;
      row.clear();
    }
  }

  void inspection() {
    if (t_.inspection.empty() && !t_.burette) return;
    heading("Inspection");
    Table t;
    t.columns = {{"No."},
                 {"What", {}, true},
                 {"Wanted", {body_size, true}},
                 {"Limits"},
                 {"Measure with", {}, true},
                 {"Found", {}, false, 24 * mm},
                 {"Good?", {}, false, 12 * mm}};
    t.least_height = 5.4 * mm;
    for (const auto& m : t_.inspection)
      t.rows.push_back({std::to_string(t.rows.size() + 1), m.what, m.wanted, m.limits, m.with, "", ""});
    if (!t.rows.empty()) put_table(t, 0);
    Blocks end;
    if (t_.burette) end = burette(*t_.burette);
    end.push_back(signatures());
    add(out_, together(std::move(end)));
  }

  Blocks burette(const BuretteTest& b) const {
    const auto how = "Burette, three times: " + b.wanted + (b.limits.empty() ? "" : ", " + b.limits) + ".";
    Blocks out{line({{how, {body_size, true}}, {b.how.empty() ? "" : " " + b.how + ".", {}}}, width_, 2.5 * mm)};
    Table t;
    t.least_height = 8.5 * mm;
    for (const char* head : {"First, cc", "Second, cc", "Third, cc", "Mean, cc", "Mean less wanted, cc"})
      t.columns.push_back({head, {}, false, 34 * mm});
    t.rows = {std::vector<std::string>(t.columns.size())};
    auto rows = table(press_, t, width_);
    rows.front().before = 0.8 * mm;
    add(out, std::move(rows));
    return out;
  }

  Block signatures() const {
    const double w = (width_ - 3 * gap) / 4;
    std::vector<At> out;
    for (const char* who : {"Cut by", "Lathe", "Measured by", "Date"}) {
      auto p = set({{who, {small_size, false, false, soft}}}, w);
      out.push_back({(w + gap) * static_cast<double>(out.size()),
                     {8 * mm, 2 * mm,
                      [=](cairo_t* c, double x, double y) {
                        p.draw(c, x, y + 7 * mm - p.height());
                        rule(c, x, y + 7.4 * mm, x + w, y + 7.4 * mm, 0.5, 0);
                      },
                      false, nullptr, ""}});
    }
    return beside(std::move(out));
  }

  void programs() {
    if (t_.programs.empty()) return;
    heading("Programs");
    const Type code{small_size, false, true};
    Table t;
    t.columns = {{"File", code, true}, {"What", {small_size}, true}, {"Compare before the first cut", code}};
    for (const auto& p : t_.programs) t.rows.push_back({p.file, p.what, p.hash});
    add(out_, together(table(press_, t, width_)));
  }

  const Press& press_;
  const Traveller& t_;
  double width_;
  Blocks out_;
};

} // namespace

Blocks content(const Press& press, const Traveller& traveller, double width) {
  return Writer(press, traveller, width).all();
}

} // namespace chamber::papers::print
