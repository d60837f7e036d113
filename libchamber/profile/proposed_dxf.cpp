#include "chamber/profile/dxf_join.hpp"
#include "chamber/profile/integrals.hpp"
#include "chamber/profile/proposed_detail.hpp"
#include "chamber/units/quantity.hpp"
#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <map>

namespace chamber::profile {
namespace {

using namespace detail;

constexpr std::size_t most_chains = 40; ///< tried as profiles, the longest first
constexpr double least_rim_mm = 15;     ///< of a profile whose axis nothing shows
constexpr double near_miss_mm = 1;      ///< ends this near to each other were meant to meet

/// A place the axis may lie, and how much speaks for it.
struct Axis {
  bool vertical = true;
  double at = 0;
  int weight = 0;
};

struct Candidate {
  Proposed profile;
  std::optional<Problem> doubt;
  Axis axis;
  std::string layer;
  Chain drawn; ///< mm
  int score = 0;
  double volume = 0;
};

std::string words(const Axis& a) {
  return fmt::format("{} line {} = {} mm", a.vertical ? "vertical" : "horizontal", a.vertical ? "x" : "y",
                     units::fixed(a.at, 3));
}

class Picker {
public:
  Picker(const Drawing& drawing, const ProposedOptions& o) : drawing_(drawing), o_(o) {
    for (const auto& p : drawing_.pieces) on_layer_[p.layer].push_back(&p);
  }

  Result<Proposed> run() {
    if (const auto p = take_units()) return tl::unexpected(*p);
    if (const auto p = choose_layers()) return tl::unexpected(*p);
    if (layers_.empty()) return nothing_drawn();
    for (const auto& p : drawing_.pieces)
      if (p.centre_line)
        for (const auto& s : p.chain) add_centre_line(s, centre_lines_);
    for (const auto& l : layers_) try_layers({l});
    if (candidates_.empty() && layers_.size() > 1) try_layers(layers_);
    if (candidates_.empty()) return no_profile();
    return best();
  }

private:
  std::optional<Problem> take_units() {
    const auto say = [&](std::string_view unit) {
      out_.taken.push_back(fmt::format("The drawing is in {}, it says.", unit));
    };
    reading_.unit_said = true;
    if (o_.unit != LengthUnit::automatic) {
      scale_ = o_.unit == LengthUnit::inch ? 25.4 : 1;
      return std::nullopt;
    }
    switch (drawing_.units) {
    case 0:
      reading_.unit_said = false;
      out_.taken.push_back("The drawing does not say its unit: millimetres assumed.");
      imperial_ = drawing_.measurement == 0;
      return std::nullopt;
    case 1:
      scale_ = 25.4;
      say("inches");
      return std::nullopt;
    case 4:
      say("millimetres");
      return std::nullopt;
    case 5:
      scale_ = 10;
      say("centimetres");
      return std::nullopt;
    case 6:
      scale_ = 1000;
      say("metres");
      return std::nullopt;
    default:
      return Problem{{},
                     fmt::format("the drawing says its unit is number {}, which no lathe shop uses.", drawing_.units),
                     "say --unit mm or --unit in."};
    }
  }

  std::optional<Problem> choose_layers() {
    if (o_.layer.empty()) {
      for (const auto& [layer, pieces] : on_layer_) layers_.push_back(layer);
      return std::nullopt;
    }
    if (on_layer_.count(o_.layer)) {
      layers_ = {o_.layer};
      return std::nullopt;
    }
    if (auto p = unusable_on({o_.layer})) return p;
    std::string names;
    for (const auto& [layer, pieces] : on_layer_) {
      if (names.size() > 200) break;
      names += (names.empty() ? "" : ", ") + layer;
    }
    if (names.size() > 200) {
      names.resize(200);
      names += " ...";
    }
    return Problem{{},
                   fmt::format("there is nothing to take on layer \"{}\".", o_.layer.substr(0, 60)),
                   names.empty() ? "no layer has lines or arcs."
                                 : fmt::format("layers with lines or arcs: {}.", names)};
  }

  std::optional<Problem> unusable_on(const std::vector<std::string>& layers) const {
    for (const auto& u : drawing_.unusable)
      if (std::find(layers.begin(), layers.end(), u.layer) != layers.end())
        return Problem{{"", u.line, 0},
                       u.what.find(' ') == std::string::npos
                           ? fmt::format("a {} on layer \"{}\" is neither line nor arc.", u.what, u.layer)
                           : u.what,
                       u.cure};
    return std::nullopt;
  }

  tl::unexpected<Problem> nothing_drawn() const {
    if (!drawing_.unusable.empty()) return tl::unexpected(*unusable_on({drawing_.unusable[0].layer}));
    if (!drawing_.hidden.empty())
      return fail(fmt::format("everything lies on layers that are off or frozen (\"{}\").", drawing_.hidden[0]),
                  "turn the profile's layer on.");
    return fail("there are no lines and arcs in the drawing's model space.", "check that it is the right file.");
  }

  void try_layers(const std::vector<std::string>& layers) {
    std::vector<Chain> pieces;
    double low[2] = {1e300, 1e300}, high[2] = {-1e300, -1e300};
    for (const auto& layer : layers)
      for (const auto* p : on_layer_[layer]) {
        if (p->centre_line) continue;
        pieces.push_back(transformed(p->chain, scale_, 0));
        const auto b = bounding_box(pieces.back());
        low[0] = std::min(low[0], b.r_min), high[0] = std::max(high[0], b.r_max);
        low[1] = std::min(low[1], b.z_min), high[1] = std::max(high[1], b.z_max);
      }
    auto joined = join(std::move(pieces));
    std::size_t tried = 0;
    for (const auto& chain : joined.chains) {
      if (++tried > most_chains) break;
      auto axes = centre_lines_;
      axes.push_back({true, (low[0] + high[0]) / 2, 2});
      axes.push_back({false, (low[1] + high[1]) / 2, 2});
      try_axes(chain, std::move(axes), layers.size() == 1 ? layers[0] : "", joined);
    }
    if (!joined.branches.empty()) branch_ = joined.branches[0];
  }

  void add_centre_line(const S& s, std::vector<Axis>& out) const {
    if (s.is_arc() || out.size() > 8) return;
    if (std::abs(s.start.r - s.end.r) < 1e-6) out.push_back({true, s.start.r * scale_, 5});
    if (std::abs(s.start.z - s.end.z) < 1e-6) out.push_back({false, s.start.z * scale_, 5});
  }

  void try_axes(const Chain& chain, std::vector<Axis> axes, const std::string& layer, const Joined& joined) {
    const auto box = bounding_box(chain);
    for (const bool v : {true, false}) {
      const double low = v ? box.r_min : box.z_min, high = v ? box.r_max : box.z_max;
      axes.push_back({v, 0, 3});
      axes.push_back({v, (low + high) / 2, 2});
      axes.push_back({v, low, 0});
      axes.push_back({v, high, 0});
    }
    if (o_.axis_at_mm) axes = {{true, *o_.axis_at_mm, 9}, {false, *o_.axis_at_mm, 9}};
    std::vector<Axis> tried;
    std::stable_sort(axes.begin(), axes.end(), [](const Axis& a, const Axis& b) { return a.weight > b.weight; });
    for (const auto& a : axes) {
      if (o_.axis != TurningAxis::automatic && a.vertical != (o_.axis == TurningAxis::vertical)) continue;
      if (std::any_of(tried.begin(), tried.end(),
                      [&](const Axis& t) { return t.vertical == a.vertical && std::abs(t.at - a.at) <= gap_mm; }))
        continue;
      tried.push_back(a);
      const Chain turned = a.vertical ? chain : swapped(chain);
      auto p = settle(moved_across(turned, -a.at), reading_, o_);
      if (p)
        keep(*std::move(p), a, layer, chain, joined);
      else if (!first_error_ || (a.weight >= first_weight_ && o_.axis_at_mm))
        first_error_ = p.error(), first_weight_ = a.weight;
    }
  }

  /// Off the axis, where more than two lines meet: the way may lead on along another of them.
  static bool ends_at_branch(const Chain& drawn, const Axis& a, const Joined& joined) {
    for (const P& end : {drawn.front().start, drawn.back().end}) {
      if (std::abs((a.vertical ? end.r : end.z) - a.at) <= gap_mm) continue;
      for (const P& branch : joined.branches)
        if (length(branch - end) <= 2 * gap_mm) return true;
    }
    return false;
  }

  /// Keeps a settled profile that may be meant, with what speaks for it.
  void keep(Settled settled, const Axis& a, const std::string& layer, const Chain& drawn, const Joined& joined) {
    auto& p = settled.profile;
    const auto said = [&](std::string_view w) {
      return std::any_of(p.taken.begin(), p.taken.end(), [&](const auto& t) { return t.find(w) != std::string::npos; });
    };
    const bool full = said("A full section"), metal = said("outline is the insert's");
    const bool halves_differ = std::any_of(p.cautions.begin(), p.cautions.end(),
                                           [](const auto& t) { return t.find("halves differ") != std::string::npos; });
    const bool wide = wider_than_deep(p);
    const int fits = fits_bore(p, o_);
    // The middle is an axis only of what is alike on both sides; an end of the profile only of what could be a chamber.
    if (a.weight == 2 && !metal && (!full || halves_differ)) return;
    if (a.weight == 0 && (o_.bore_radius_mm ? fits == 0 : p.chain.front().start.r < least_rim_mm)) return;
    if (fits < 2 && (ends_at_branch(drawn, a, joined) || (a.weight <= 2 && !joined.branches.empty()))) return;
    if (settled.doubt && !wide && o_.axis == TurningAxis::automatic) return;
    Candidate c{std::move(p), std::move(settled.doubt), a, layer, drawn, 0, 0};
    const auto& chain = c.profile.chain;
    c.volume = swept_volume(ChainView(chain));
    const bool square = std::abs(direction_at(chain.back(), 1).z) < 0.05; // a roof, or a dome's top
    const bool steep = std::abs(direction_at(chain.front(), 0).z) > 0.05; // a recess or a bowl, not a roof
    c.score = 4 * fits + 2 * (wide ? 1 : 0) + a.weight + (square ? 1 : 0) + (steep ? 1 : 0) +
              (full && !halves_differ ? 3 : 0) + (o_.roof_mm && said("as told") ? 3 : 0);
    if (joined.gaps > 0)
      c.profile.taken.push_back(fmt::format("{} gap{} of up to {:.4f} mm {} closed.", joined.gaps,
                                            joined.gaps == 1 ? "" : "s", joined.widest_gap_mm,
                                            joined.gaps == 1 ? "was" : "were"));
    if (joined.doubled > 0)
      c.profile.taken.push_back(fmt::format("{} line{} drawn twice {} taken once.", joined.doubled,
                                            joined.doubled == 1 ? "" : "s", joined.doubled == 1 ? "was" : "were"));
    candidates_.push_back(std::move(c));
  }

  tl::unexpected<Problem> no_profile() const {
    if (const auto p = unusable_on(layers_)) return tl::unexpected(*p);
    if (branch_)
      return fail(
          fmt::format("at x = {:.3f}, y = {:.3f} mm more than two lines meet, and no way from rim to axis can be told.",
                      branch_->r, branch_->z),
          "put the profile alone on a layer and say --layer.");
    if (!first_error_)
      return fail("there is nothing but centre lines in the drawing.", "draw the profile in another line type.");
    auto p = *first_error_;
    if (layers_.size() > 1) p.cure += " Or say --layer.";
    return tl::unexpected(p);
  }

  Result<Proposed> best() {
    std::stable_sort(candidates_.begin(), candidates_.end(),
                     [](const Candidate& a, const Candidate& b) { return a.score > b.score; });
    auto& c = candidates_[0];
    for (std::size_t i = 1; i < candidates_.size() && candidates_[i].score == c.score; ++i) {
      const auto& d = candidates_[i];
      if (std::abs(d.volume - c.volume) <= 1e-3 * c.volume) continue; // the other half of the section
      if (d.layer != c.layer)
        return fail(fmt::format("layers \"{}\" and \"{}\" both hold a profile.", c.layer, d.layer),
                    "say which with --layer.");
      if (d.axis.vertical == c.axis.vertical && std::abs(d.axis.at - c.axis.at) <= gap_mm)
        return fail(fmt::format("there are two profiles, of {:.3f} and {:.3f} cc.", c.volume / 1000, d.volume / 1000),
                    "put the profile alone on a layer and say --layer.");
      return fail(fmt::format("the axis could be the {} or the {}.", words(c.axis), words(d.axis)),
                  "say which with --axis.");
    }
    if (c.doubt) return tl::unexpected(*c.doubt);
    if (const auto p = near_miss(c)) return tl::unexpected(*p);
    out_.taken.push_back(fmt::format("The turning axis is the {}.", words(c.axis)));
    if (!c.layer.empty() && layers_.size() > 1)
      out_.taken.push_back(fmt::format("The profile is on layer \"{}\".", c.layer));
    out_.taken.insert(out_.taken.end(), c.profile.taken.begin(), c.profile.taken.end());
    out_.cautions = c.profile.cautions;
    if (imperial_)
      out_.cautions.push_back(
          "The drawing's $MEASUREMENT says imperial, but nothing says inches: is it in millimetres?");
    if (c.axis.weight == 0)
      out_.cautions.push_back("Nothing in the drawing says where the axis lies: it was taken at the profile's end.");
    for (const auto& u : drawing_.unusable)
      if (u.layer == c.layer || c.layer.empty()) {
        out_.cautions.push_back(
            fmt::format("The {} in line {} was left out.", u.what.substr(0, u.what.find(' ')), u.line));
        break;
      }
    if (!drawing_.hidden.empty())
      out_.taken.push_back(fmt::format("Layers off or frozen were left out (\"{}\").", drawing_.hidden[0]));
    out_.chain = std::move(c.profile.chain);
    return std::move(out_);
  }

  /// Another line that ends just short of the profile's end was meant to be part of it.
  std::optional<Problem> near_miss(const Candidate& c) {
    for (const auto& piece : drawing_.pieces) {
      if (piece.centre_line || (!c.layer.empty() && piece.layer != c.layer)) continue;
      for (const P& own : {c.drawn.front().start, c.drawn.back().end})
        for (const P& other : {piece.chain.front().start * scale_, piece.chain.back().end * scale_}) {
          const double gap = length(other - own);
          if (gap <= gap_mm || gap > near_miss_mm || nearest(other, c.drawn).distance <= gap_mm) continue;
          const auto message =
              fmt::format("between the profile's end at x = {:.3f}, y = {:.3f} mm and the next line is a gap of "
                          "{:.3f} mm: too wide to close.",
                          own.r, own.z, gap);
          if (fits_bore(c.profile, o_) < 2)
            return Problem{{"", piece.line, 0}, message, "join them, or put what does not belong on another layer."};
          out_.cautions.push_back(message);
          return std::nullopt;
        }
    }
    return std::nullopt;
  }

  const Drawing& drawing_;
  const ProposedOptions& o_;
  Reading reading_;
  double scale_ = 1;
  bool imperial_ = false;
  std::map<std::string, std::vector<const Piece*>> on_layer_; ///< in the order of the file
  std::vector<Axis> centre_lines_;
  std::vector<std::string> layers_;
  std::vector<Candidate> candidates_;
  std::optional<Problem> first_error_;
  int first_weight_ = 0;
  std::optional<P> branch_;
  Proposed out_;
};

} // namespace

Results<Proposed> read_dxf(std::istream& in, const std::string& file, const ProposedOptions& options) {
  auto p = read_drawing(in).and_then([&](const Drawing& d) {
    auto r = Picker(d, options).run();
    if (r && !d.complete) r->cautions.push_back("The file lacks its last line, EOF.");
    return r;
  });
  if (p) return *std::move(p);
  p.error().place.file = file;
  return tl::unexpected(std::vector{p.error()});
}

} // namespace chamber::profile
