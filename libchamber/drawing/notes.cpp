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
constexpr double over_a_leader = 300; ///< mm of leader rather than crossing another leader

double length(Point a) {
  return std::hypot(a.x, a.y);
}

double distance(Point p, Point a, Point b) {
  const Point d = b - a;
  const double l2 = d.x * d.x + d.y * d.y;
  const double u = l2 > 0 ? std::clamp(((p.x - a.x) * d.x + (p.y - a.y) * d.y) / l2, 0.0, 1.0) : 0;
  return length(p - (a + d * u));
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
  double cost = 0;
  const Box room = grown(box_round(a, b), 0.5);
  for (const auto& w : words_)
    if (overlap(room, w) && meets(a, b, grown(w, 0.4))) return 1e9;
  for (const auto& s : strokes_) {
    if (cost >= most) return cost;
    if (!overlap(room, grown(s.box, 0.01))) continue;
    if (!crosses(a, b, s.a, s.b)) {
      // Running along another line, or ending on it, reads as part of it.
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
  return cost;
}

void Board::try_note(const Note& n, const Size& size, const Aim& aim, double reach, int side, Placed& best) const {
  if (reach + aim.cost >= best.cost) return;
  const Point elbow = aim.tip + aim.direction * reach;
  Placed p;
  Box room{};
  if (n.bare) {
    const double x = elbow.x + aim.direction.x * size.width / 2, y = elbow.y + (aim.direction.y - 1) * word_height / 2;
    p.text = {{x, y}, n.words, word_height, Align::centre, 0, Layer::leader, black};
    room = box_of(p.text);
    double end = reach - 0.5; // where it comes to the words
    while (end > 1 && meets(aim.tip, aim.tip + aim.direction * end, grown(room, 0.4))) end -= 0.2;
    if (reach > 2.2) p.leader = {aim.tip + aim.direction * 0.5, aim.tip + aim.direction * end};
  } else {
    const Point end = elbow + Point{side * (size.width + 1.0), 0};
    p.text = {{std::min(elbow.x, end.x) + 0.5, elbow.y + size.lift},
              n.words,
              word_height,
              Align::left,
              0,
              Layer::leader,
              black};
    p.leader = {aim.tip, elbow, end};
    room = united(box_of(p.text), box_round(elbow, end));
    if (!n.under.empty()) {
      p.under = p.text;
      p.under.words = n.under;
      p.under.at.y = elbow.y - size.drop;
      room = united(room, box_of(p.under));
    }
  }
  p.cost = reach + aim.cost + growth(room);
  if (p.cost >= best.cost) return;
  if (!metal_.empty() && !n.bare)
    for (const double x : {room.left, (room.left + room.right) / 2, room.right})
      if (inside(metal_, {x, (room.bottom + room.top) / 2})) p.cost += 20;
  if (p.cost >= best.cost) return;
  if (!box_free(room)) return;
  if (!n.bare && (meets(aim.tip, elbow, grown(box_of(p.text), 0.3)) ||
                  (!n.under.empty() && meets(aim.tip, elbow, grown(box_of(p.under), 0.3)))))
    return;
  if (p.leader.size() >= 2) p.cost += leader_cost(p.leader[0], p.leader[1], aim.tip, best.cost - p.cost);
  if (p.cost < best.cost) best = std::move(p);
}

/// What it costs that the view becomes larger.
double Board::growth(const Box& box) const {
  const Box b = united(box, extent_);
  return 1.5 * (b.width() - extent_.width()) + 3 * (b.height() - extent_.height());
}

/// The cheapest free place; found() is false where there is none.
Board::Placed Board::place(const Note& n) const {
  Placed best;
  Size size{measure(n.words, word_height).width, lift(n.words), drop(n.under)};
  if (!n.under.empty()) size.width = std::max(size.width, measure(n.under, word_height).width);
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
  std::vector<Placed> best;
  Tally least;
  for (int round = 0; round < rounds; ++round) {
    words_.resize(words), strokes_.resize(strokes), extent_ = extent;
    std::iota(order.begin(), order.end(), 0u);
    std::stable_sort(order.begin(), order.end(), [&](auto i, auto k) { return bad[i] > bad[k]; });
    std::vector<Placed> placed(notes_.size());
    Tally tally;
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
      if (poor) ++bad[i];
    }
    if (round == 0 || tally < least) least = tally, best = std::move(placed);
    if (least.lost + least.poor == 0) break;
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
