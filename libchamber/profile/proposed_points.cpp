#include "chamber/profile/proposed_detail.hpp"
#include "chamber/profile/table.hpp"
#include "chamber/profile/thinner.hpp"
#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace chamber::profile {
namespace {

using namespace detail;

/// Dropped points lie nearer to the line than a step of the last digit written, within these bounds; or than the last
/// of these, 0.001 cc of a chamber's wall, where there are too many.
constexpr double finest_mm = 1e-7, coarsest_step_mm = 1e-4, coarsest_mm = 4e-4;
constexpr std::size_t sample_rows = 200; ///< seen before columns without a header are told apart
using Row = std::array<double, most_columns>;

class Reader {
public:
  Reader(std::istream& in, const std::string& file, const ProposedOptions& o) : lines_(in), file_(file), o_(o) {}

  Result<Proposed> run() {
    std::string_view line;
    for (;;) {
      const auto next = lines_.next(line);
      if (next == Lines::Next::end) break;
      if (next == Lines::Next::binary)
        return refuse("this is not a text file.", "give points as CSV or a table of text.");
      if (next == Lines::Next::too_long)
        return refuse("the line is longer than any row of points.", "give two columns, one point a line.");
      if (const auto problem = take(line)) return tl::unexpected(*problem);
    }
    if (const auto problem = settle_columns()) return tl::unexpected(*problem);
    return finish();
  }

private:
  tl::unexpected<Problem> refuse(std::string message, std::string cure, int line = -1) const {
    return tl::unexpected(Problem{{file_, line < 0 ? lines_.number() : line, 0}, std::move(message), std::move(cure)});
  }
  std::optional<Problem> problem(std::string message, std::string cure, int line = -1) const {
    return refuse(std::move(message), std::move(cure), line).value();
  }

  std::optional<Problem> take(std::string_view line) {
    if (lines_.number() == 1)
      if (const auto kind = other_kind(line); !kind.empty())
        return problem(fmt::format("this is {}, not a table of points.", kind),
                       "name it by its right ending, or export "
                       "points as text.");
    const auto whole = line;
    if (const auto hash = line.find('#'); hash != std::string_view::npos) line = line.substr(0, hash);
    if (line.find_first_not_of(" \t,;\f") == std::string_view::npos || line.starts_with("//") ||
        line.starts_with("%") || line.starts_with("!") || line.starts_with("*"))
      return separator_ ? std::nullopt : title(whole);
    if (!separator_) {
      separator_ = separator_of(line);
      if (!separator_) return title(whole);
      columns_ = split_fields(line, separator_).count;
      header_ = read_header(titles_, columns_, separator_);
      if (auto p = set_unit()) return p;
    }
    return row(line);
  }

  std::optional<Problem> title(std::string_view line) {
    if (titles_.size() == 40) {
      const auto f = split_fields(line, ' ');
      return problem("no row of at least two numbers so far.",
                     f.count == 1 ? "give two columns: radius and depth." : "check that it is a table of points.");
    }
    if (!line.empty()) titles_.emplace_back(line.substr(0, 400));
    return std::nullopt;
  }

  std::optional<Problem> set_unit() {
    if (!header_.foreign_unit.empty() && o_.unit == LengthUnit::automatic && header_.unit == LengthUnit::automatic)
      return problem(fmt::format("the header speaks of \"{}\".", header_.foreign_unit),
                     "convert to mm or in, or say --unit.");
    const bool told = o_.unit != LengthUnit::automatic;
    const auto unit = told ? o_.unit : header_.unit;
    reading_.unit_said = unit != LengthUnit::automatic;
    scale_ = unit == LengthUnit::inch ? 25.4 : 1;
    if (told) return std::nullopt;
    out_.taken.push_back(unit == LengthUnit::inch         ? "Inches, by the header."
                         : unit == LengthUnit::millimetre ? "Millimetres, by the header."
                                                          : "Nothing says the unit: millimetres assumed.");
    return std::nullopt;
  }

  std::optional<Problem> row(std::string_view line) {
    const auto f = split_fields(line, separator_);
    if (f.count != columns_)
      return problem(fmt::format("the row has {} where those above have {}.",
                                 f.count > most_columns ? "more columns"
                                 : f.count == 1         ? "1 column"
                                                        : fmt::format("{} columns", f.count),
                                 columns_),
                     "mend the row; the file may be cut short.");
    Row values{};
    for (std::size_t i = 0; i < f.count; ++i) {
      if (!read_number(f.text[i], separator_ != ',', values[i]))
        return problem(fmt::format("\"{}\" is no number.", f.text[i].substr(0, 30)),
                       "mend the row, or mark it with #.");
      if (!across_) decimals_ = std::max(decimals_, decimals_of(f.text[i]));
      if (!std::isfinite(values[i]) || std::abs(values[i]) * scale_ > most_mm)
        return problem(fmt::format("\"{}\" is no coordinate of a chamber.", f.text[i].substr(0, 30)), "mend the row.");
    }
    if (across_) return point(values, lines_.number());
    rows_.push_back(values);
    row_lines_.push_back(lines_.number());
    return rows_.size() < sample_rows ? std::nullopt : settle_columns();
  }

  /// Rounded to their last digit points jitter: what lies within a step of it is no shape.
  void set_fineness() {
    const double step = std::pow(10.0, -decimals_) * scale_;
    fineness_mm_ = std::clamp(step, finest_mm, coarsest_step_mm);
    thinner_ = Thinner(fineness_mm_, coarsest_mm, most_kept_points);
  }

  /// Columns that tell nothing: all one figure, or a count.
  bool idle(std::size_t c) const {
    bool same = true, counts = rows_.size() > 2;
    for (std::size_t i = 1; i < rows_.size(); ++i) {
      same = same && rows_[i][c] == rows_[0][c];
      counts = counts && rows_[i][c] - rows_[i - 1][c] == 1 && c == 0;
    }
    return same || counts;
  }

  std::optional<Problem> settle_columns() {
    if (across_ || rows_.empty()) return std::nullopt;
    if (o_.across_column || o_.depth_column) {
      const auto fits = [&](int c) { return c >= 1 && c <= static_cast<int>(columns_); };
      if (!fits(o_.across_column) || !fits(o_.depth_column) || o_.across_column == o_.depth_column)
        return problem(fmt::format("there are {} columns, and not those you named.", columns_),
                       "name two of them, counted from 1.", row_lines_[0]);
      across_ = o_.across_column;
      along_ = o_.depth_column;
      columns_said_ = true;
    } else if (header_.across) {
      across_ = header_.across;
      along_ = header_.along;
      columns_said_ = true;
      out_.taken.push_back(
          fmt::format("By the header, column {} is across the axis and column {} along it.", across_, along_));
    } else {
      std::vector<int> live;
      for (std::size_t c = 0; c < columns_; ++c)
        if (columns_ == 2 || !idle(c)) live.push_back(static_cast<int>(c) + 1);
      if (live.size() != 2)
        return problem(fmt::format("{} of the {} columns change, and nothing says which are radius and depth.",
                                   live.size(), columns_),
                       "name them with --columns, or in a header.", row_lines_[0]);
      across_ = live[0];
      along_ = live[1];
      if (columns_ > 2)
        out_.taken.push_back(
            fmt::format("Columns {} and {} hold the profile; the others say nothing.", across_, along_));
    }
    set_fineness();
    const auto rows = std::move(rows_);
    for (std::size_t i = 0; i < rows.size(); ++i)
      if (auto p = point(rows[i], row_lines_[i])) return p;
    return std::nullopt;
  }

  std::optional<Problem> point(const Row& v, int line) {
    const P p{v[static_cast<std::size_t>(across_ - 1)] * scale_, v[static_cast<std::size_t>(along_ - 1)] * scale_};
    if (thinner_.add(p, line)) return std::nullopt;
    return problem(fmt::format("the points so far are too rough to be drawn with {} points within {} mm.",
                               most_kept_points, coarsest_mm),
                   "smooth the profile; are the points in order along it?", line);
  }

  Result<Proposed> finish() {
    thinner_.finish();
    const auto& p = thinner_.points();
    if (thinner_.taken() == 0)
      return refuse("there are no points in the file.", "give two columns: radius and depth.", 0);
    if (p.size() < 3)
      return refuse(fmt::format("{} point{} cannot make a profile.", p.size(), p.size() == 1 ? "" : "s on one line"),
                    "give the whole profile from the rim to the axis.");
    say_thinning();
    Chain chain;
    for (std::size_t i = 0; i + 1 < p.size(); ++i) {
      chain.push_back(line(p[i], p[i + 1]));
      if (i == 0) continue;
      const P a = p[i] - p[i - 1], b = p[i + 1] - p[i];
      if (dot(a, b) < 0 && std::abs(cross(a, b)) <= 1e-9 * length(a) * length(b))
        return refuse("the profile runs back on itself here.", "put the points in order along the profile.",
                      thinner_.lines()[i]);
    }
    const auto [clash, tangled] = find_crossing(chain);
    if (tangled) return refuse("the points are too tangled to follow.", "put them in order along the profile.", 0);
    if (clash) {
      const auto l = [&](std::size_t i) { return thinner_.lines()[i]; };
      return refuse(
          fmt::format("the profile crosses itself: what leads on from line {} meets what leads on from here, at "
                      "{:.4f}, {:.4f} mm.",
                      l(clash->first), clash->at.r, clash->at.z),
          "put the points in order along the profile, once.", l(clash->second));
    }
    return place(chain);
  }

  void say_thinning() {
    if (const long n = thinner_.doubled())
      out_.taken.push_back(fmt::format("{} doubled point{} merged.", n, n == 1 ? " was" : "s were"));
    const auto kept = thinner_.points().size();
    if (thinner_.off_line() > fineness_mm_)
      out_.cautions.push_back(
          fmt::format("{} points were thinned to {}: those left out lie up to {:.6f} mm from the line.",
                      thinner_.taken(), kept, thinner_.off_line()));
    else if (const long dropped = thinner_.taken() - thinner_.doubled() - static_cast<long>(kept); dropped > 0)
      out_.taken.push_back(
          fmt::format("{} of {} points lie on the line between others (within {:.7f} mm) and were left out.", dropped,
                      thinner_.taken(), fineness_mm_));
  }

  Result<Proposed> place(const Chain& chain) {
    reading_.points = true;
    const auto kind = o_.across != Across::automatic ? o_.across : header_.kind;
    reading_.across_said = kind != Across::automatic;
    reading_.diameter = kind == Across::diameter;
    if (o_.across == Across::automatic && reading_.across_said)
      out_.taken.push_back(reading_.diameter ? "Diameters, by the header." : "Radii, by the header.");
    auto as_is = settle(chain, reading_, o_);
    bool turned = false;
    if (!columns_said_) {
      auto other = settle(swapped(chain), reading_, o_);
      const auto rank = [&](const Settled& s) {
        return 2 * fits_bore(s.profile, o_) + (wider_than_deep(s.profile) ? 1 : 0);
      };
      turned = other && (as_is ? rank(*other) > rank(*as_is) : wider_than_deep(other->profile) && !other->doubt);
      if (turned) as_is = std::move(other);
      out_.taken.push_back(fmt::format("Nothing says which column is which: column {} was taken as across the axis.",
                                       turned ? along_ : across_));
    }
    if (!as_is || as_is->doubt) {
      auto p = as_is ? *as_is->doubt : as_is.error();
      p.place.file = file_;
      const auto& ends = thinner_.points();
      if (p.message.find("is open") != std::string::npos)
        p.place.line =
            std::abs(ends.back().r) <= std::abs(ends.front().r) ? thinner_.lines().back() : thinner_.lines()[0];
      return tl::unexpected(p);
    }
    auto& found = as_is->profile;
    out_.chain = std::move(found.chain);
    out_.taken.insert(out_.taken.end(), found.taken.begin(), found.taken.end());
    out_.cautions.insert(out_.cautions.end(), found.cautions.begin(), found.cautions.end());
    return std::move(out_);
  }

  Lines lines_;
  std::string file_;
  const ProposedOptions& o_;
  std::vector<std::string> titles_;
  Header header_;
  Reading reading_;
  char separator_ = 0;
  std::size_t columns_ = 0;
  double scale_ = 1;
  std::vector<Row> rows_;
  std::vector<int> row_lines_;
  int across_ = 0, along_ = 0, decimals_ = -300;
  double fineness_mm_ = finest_mm;
  bool columns_said_ = false;
  Thinner thinner_{finest_mm, coarsest_mm, most_kept_points};
  Proposed out_;
};

} // namespace

Results<Proposed> read_points(std::istream& in, const std::string& file, const ProposedOptions& options) {
  auto r = Reader(in, file, options).run();
  if (!r) return tl::unexpected(std::vector{r.error()});
  return *std::move(r);
}

} // namespace chamber::profile
