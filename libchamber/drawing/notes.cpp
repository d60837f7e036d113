#include "chamber/drawing/board.hpp"
#include "chamber/drawing/font.hpp"
#include <algorithm>
#include <cmath>
#include <numeric>
#include <tuple>

// Notes find their places one after the other. Which comes first decides what the others find left, so those that fared
// badly are moved forward and all are placed again.

namespace chamber::drawing::detail {
namespace {

constexpr int rounds = 12;
constexpr int rounds_for_less = 3;    ///< where all are placed and some cost much
constexpr double much = 15;           ///< mm of leader, over what the same note costs alone
constexpr double over_a_leader = 300; ///< mm of leader rather than crossing another leader
constexpr double along_a_line = 100;  ///< and rather than running along any line, or ending on an extension line
constexpr double tight = 8;           ///< and rather than words with hardly any air round them
constexpr double frame_stub = 2;      ///< mm of level line between leader and tolerance frame

double length(Point a) {
  return std::hypot(a.x, a.y);
}

double distance(Point p, Point a, Point b) {
  const Point d = b - a;
  const double l2 = d.x * d.x + d.y * d.y;
  const double u = l2 > 0 ? std::clamp(((p.x - a.x) * d.x + (p.y - a.y) * d.y) / l2, 0.0, 1.0) : 0;
  return length(p - (a + d * u));
}

Box moved(const Box& b, Point by) {
  return {b.left + by.x, b.bottom + by.y, b.right + by.x, b.top + by.y};
}

/// Whether two places' leaders cross.
bool cross_each_other(std::span<const Point> p, std::span<const Point> q) {
  for (std::size_t i = 0; i + 1 < p.size(); ++i)
    for (std::size_t k = 0; k + 1 < q.size(); ++k)
      if (crosses(p[i], p[i + 1], q[k], q[k + 1])) return true;
  return false;
}

} // namespace

/// What it costs to lead a line from a to b, in mm of leader; at least `most` once it comes to that.
double Board::leader_cost(Point a, Point b, Point tip, double most) const {
  double cost = 0, along = 0;
  const Box room = grown(box_round(a, b), 0.8);
  for (const auto& w : words_)
    if (overlap(room, w) && meets(a, b, grown(w, 0.5))) return 1e9; // an arrow is 0.43 mm wide each side
  for (const auto& s : strokes_) {
    if (cost >= most) return cost;
    if (!overlap(room, grown(s.box, 0.01))) continue;
    // Running along another line, or ending on it, reads as part of it.
    if (const auto part = beside(a, b, s.a, s.b, 0.4)) along += part->second - part->first;
    if (s.layer == Layer::extension && distance(tip, s.a, s.b) < 0.7) cost += along_a_line;
    if (!crosses(a, b, s.a, s.b)) {
      if (distance(b, s.a, s.b) < 0.5) cost += 30;
      continue;
    }
    if (s.layer == Layer::leader) {
      cost += over_a_leader;
      continue;
    }
    if (distance(tip, s.a, s.b) < 0.35) continue; // what it points at
    switch (s.layer) {
    case Layer::dimension:
      cost += 25;
      break;
    case Layer::extension:
      cost += 5;
      break;
    default:
      cost += 7;
    }
  }
  return along > 1.5 ? cost + along_a_line : cost;
}

/// How much of the way from a to b lies in the cut metal, mm.
double Board::metal_along(Point a, Point b) const {
  if (metal_.empty() || !overlap(grown(box_round(a, b), 0.01), metal_box_)) return 0;
  const Point d = b - a;
  std::vector<double> at{0}; // parts of the way, where it comes into the metal or out of it
  for (std::size_t i = 0, k = metal_.size() - 1; i < metal_.size(); k = i++) {
    const Point &p = metal_[i], q = metal_[k];
    const double sp = d.x * (p.y - a.y) - d.y * (p.x - a.x), sq = d.x * (q.y - a.y) - d.y * (q.x - a.x);
    if ((sp > 0) == (sq > 0)) continue;
    const Point x = p + (q - p) * (sp / (sp - sq));
    const double u = std::abs(d.x) > std::abs(d.y) ? (x.x - a.x) / d.x : (x.y - a.y) / d.y;
    if (u > 0 && u < 1) at.push_back(u);
  }
  at.push_back(1);
  std::sort(at.begin(), at.end());
  bool in = inside(metal_, a + d * (at[1] / 2));
  double part = 0;
  for (std::size_t i = 0; i + 1 < at.size(); ++i, in = !in) part += in ? at[i + 1] - at[i] : 0;
  return part * length(d);
}

/// Takes the place as the best if it is. Of thousands tried few are: words are copied only when one is.
void Board::try_note(const Note& n, const Size& size, const Aim& aim, double reach, int side, Placed& best) const {
  double cost = reach + aim.cost;
  if (cost >= best.cost) return;
  const Point elbow = aim.tip + aim.direction * reach;
  Point from = aim.tip, to = elbow, end = elbow, at{}, at_under{};
  Box frame{};
  if (n.bare)
    at = elbow + Point{(aim.direction.x - 1) * size.width / 2, (aim.direction.y - 1) * word_height / 2};
  else if (n.frame) {
    end.x += side * frame_stub;
    const double left = side > 0 ? end.x : end.x - size.width;
    frame = {left, end.y - frame_height / 2, left + size.width, end.y + frame_height / 2};
    at = {left, frame.top + size.lift};
  } else {
    end.x += side * (size.width + 1.0);
    at = {std::min(elbow.x, end.x) + 0.5, elbow.y + size.lift};
    at_under = {at.x, elbow.y - size.drop};
  }
  const Box ink = moved(size.ink, at), under = moved(size.under, at_under);
  Box room = ink;
  if (!n.bare) room = united(room, box_round(elbow, end));
  if (n.frame) room = united(room, frame);
  if (!n.under.empty()) room = united(room, under);
  cost += growth(room);
  if (cost >= best.cost) return;
  if (!box_free(room)) return;
  if (!n.bare && overlap(room, metal_box_))
    for (const double x : {room.left, (room.left + room.right) / 2, room.right})
      if (inside(metal_, {x, (room.bottom + room.top) / 2})) cost += 20;
  if (cost >= best.cost) return;
  if (!n.bare) cost += 0.5 * metal_along(aim.tip, elbow);
  if (cost >= best.cost) return;
  const bool has_leader = !n.bare || reach > 2.2;
  if (n.bare) {
    double length = reach - 0.5; // where it comes to the words
    while (length > 1 && meets(aim.tip, aim.tip + aim.direction * length, grown(room, 0.4))) length -= 0.2;
    from = aim.tip + aim.direction * 0.5, to = aim.tip + aim.direction * length;
  } else {
    if (meets(from, to, grown(ink, 0.3)) || (n.frame && meets(from, to, grown(frame, 0.3))) ||
        (!n.under.empty() && meets(from, to, grown(under, 0.3))))
      return;
    if (!box_free(grown(room, 0.4))) cost += tight;
  }
  if (has_leader && cost < best.cost) cost += leader_cost(from, to, aim.tip, best.cost - cost);
  if (cost >= best.cost) return;
  best = {cost, {at, n.words, word_height, Align::left, 0, Layer::leader, black}, {}, frame, {}};
  if (!n.under.empty()) best.under = best.text, best.under.words = n.under, best.under.at = at_under;
  if (n.bare && has_leader) best.leader = {from, to};
  if (!n.bare) best.leader = {from, to, end};
}

/// What it costs that the view becomes larger.
double Board::growth(const Box& box) const {
  const Box b = united(box, extent_);
  return 1.5 * thrift.x * (b.width() - extent_.width()) + 3 * thrift.y * (b.height() - extent_.height());
}

/// The cheapest free place; found() is false where there is none.
Board::Placed Board::place(const Note& n) const {
  Placed best;
  const auto ink = [](const std::string& words) { return box_of(Text{{}, words, word_height}); };
  Size size{measure(n.words, word_height).width, lift(n.words), drop(n.under), ink(n.words), ink(n.under)};
  if (!n.under.empty()) size.width = std::max(size.width, measure(n.under, word_height).width);
  if (n.frame) size.width = width_of(*n.frame);
  const double step = n.bare ? 0.8 : 2, first = n.bare ? 1.0 : 4, most = n.bare ? 24 : 90;
  for (double reach = first; reach <= most && reach < best.cost; reach += step)
    for (const auto& aim : n.aims) {
      if (n.bare || aim.direction.x > -0.35) try_note(n, size, aim, reach, 1, best);
      if (!n.bare && aim.direction.x < 0.35) try_note(n, size, aim, reach, -1, best);
    }
  return best;
}

void Board::occupy(const Placed& p) {
  words_.push_back(box_of(p.text));
  if (!p.under.words.empty()) words_.push_back(box_of(p.under));
  extent_ = united(extent_, words_.back());
  if (p.frame.width() > 0) {
    words_.push_back(p.frame);
    extent_ = united(extent_, p.frame);
  }
  for (std::size_t i = 0; i + 1 < p.leader.size(); ++i) {
    stroke(p.leader[i], p.leader[i + 1], Layer::leader);
    extent_ = united(extent_, strokes_.back().box);
  }
}

std::vector<Board::Placed> Board::place_all() {
  struct Tally {
    int lost = 0, poor = 0;
    double cost = 0;
    bool operator<(const Tally& o) const { return std::tie(lost, poor, cost) < std::tie(o.lost, o.poor, o.cost); }
  };
  const auto words = words_.size(), strokes = strokes_.size();
  const Box extent = extent_;
  std::vector<int> bad(notes_.size()); // how often a note fared badly
  std::vector<std::size_t> order(notes_.size());
  std::vector<double> alone;
  for (const auto& n : notes_) alone.push_back(place(n).cost);
  std::vector<Placed> best;
  Tally least;
  int dear_rounds = 0;
  for (int round = 0; round < rounds; ++round) {
    words_.resize(words), strokes_.resize(strokes), extent_ = extent;
    std::iota(order.begin(), order.end(), 0u);
    std::stable_sort(order.begin(), order.end(), [&](auto i, auto k) { return bad[i] > bad[k]; });
    std::vector<Placed> placed(notes_.size());
    Tally tally;
    bool dear = false;
    for (std::size_t n = 0; n < order.size(); ++n) {
      const auto i = order[n];
      placed[i] = place(notes_[i]);
      bool poor = !placed[i].found();
      if (poor)
        ++(notes_[i].elsewhere ? tally.poor : tally.lost);
      else {
        occupy(placed[i]);
        tally.cost += placed[i].cost;
        for (std::size_t k = 0; k < n; ++k)
          if (cross_each_other(placed[i].leader, placed[order[k]].leader)) ++tally.poor, poor = true;
      }
      const bool is_dear = !poor && placed[i].cost > alone[i] + much;
      if (poor || is_dear) ++bad[i];
      dear = dear || is_dear;
    }
    if (round == 0 || tally < least) least = tally, best = std::move(placed);
    if (least.lost + least.poor == 0 && (!dear || ++dear_rounds > rounds_for_less)) break;
  }
  words_.resize(words), strokes_.resize(strokes), extent_ = extent;
  return best;
}

void Board::draw(const Note& n, const Placed& p) {
  picture.add(p.text);
  if (!p.under.words.empty()) picture.add(p.under);
  for (std::size_t i = 0; i + 1 < p.leader.size(); ++i)
    picture.add(Line{p.leader[i], p.leader[i + 1], pen(Layer::leader)});
  if (p.leader.size() > 2) {
    const Point d = p.leader[1] - p.leader[0];
    if (n.ending == Ending::arrow) arrow(p.leader[0], d * (1 / length(d)));
    if (n.ending == Ending::dot) dot(p.leader[0]);
    if (n.frame) draw_frame(picture, {p.frame.left, p.frame.bottom}, *n.frame);
  }
}

void Board::finish() {
  const auto placed = place_all();
  for (std::size_t i = 0; i < placed.size(); ++i) {
    if (placed[i].found()) {
      occupy(placed[i]);
      draw(notes_[i], placed[i]);
    } else if (!notes_[i].elsewhere)
      give_up(notes_[i].words);
  }
  if (!hatched_.empty()) draw_hatching();
}

} // namespace chamber::drawing::detail
