#include "chamber/profile/proposed_detail.hpp"

namespace chamber::profile::detail {
namespace {

/// mm. A loop of less than this way is the drawing's rounding, not its shape.
constexpr double short_way = 0.1;
/// mm. Neighbours that should be tangent may overlap in a lens of less than this.
constexpr double thin_lens = 2e-3;
constexpr long most_work = 20'000'000;

bool apart(const Box& a, const Box& b) {
  constexpr double e = 1e-6;
  return a.r_max + e < b.r_min || b.r_max + e < a.r_min || a.z_max + e < b.z_min || b.z_max + e < a.z_min;
}

/// Boxes over halves of halves of the chain: neighbours along it lie together, so whole stretches are told apart at
/// once.
class Search {
public:
  explicit Search(ChainView chain) : chain_(chain), boxes_(4 * chain.size()), way_(chain.size() + 1) {
    for (std::size_t i = 0; i < chain.size(); ++i) way_[i + 1] = way_[i] + arc_length(chain[i]);
    closed_ = length(chain.back().end - chain.front().start) < gap_mm;
    build(1, 0, chain.size());
  }
  Crossing run() {
    within(1, 0, chain_.size());
    return found_;
  }

private:
  void build(std::size_t node, std::size_t from, std::size_t to) {
    if (to - from == 1) {
      boxes_[node] = bounding_box(chain_.subspan(from, 1));
      return;
    }
    const std::size_t mid = (from + to) / 2;
    build(2 * node, from, mid);
    build(2 * node + 1, mid, to);
    const Box &a = boxes_[2 * node], &b = boxes_[2 * node + 1];
    boxes_[node] = {std::min(a.r_min, b.r_min), std::max(a.r_max, b.r_max), std::min(a.z_min, b.z_min),
                    std::max(a.z_max, b.z_max)};
  }
  bool done() { return found_.clash || found_.tangled; }
  void within(std::size_t node, std::size_t from, std::size_t to) {
    if (to - from == 1 || done()) return;
    const std::size_t mid = (from + to) / 2;
    within(2 * node, from, mid);
    within(2 * node + 1, mid, to);
    between(2 * node, from, mid, 2 * node + 1, mid, to);
  }
  void between(std::size_t m, std::size_t a, std::size_t b, std::size_t n, std::size_t c, std::size_t d) {
    if (done() || apart(boxes_[m], boxes_[n])) return;
    if (++work_ > most_work) {
      found_.tangled = true;
      return;
    }
    if (b - a == 1 && d - c == 1) return pair(a, c);
    if (b - a >= d - c) {
      const std::size_t mid = (a + b) / 2;
      between(2 * m, a, mid, n, c, d);
      between(2 * m + 1, mid, b, n, c, d);
    } else {
      const std::size_t mid = (c + d) / 2;
      between(m, a, b, 2 * n, c, mid);
      between(m, a, b, 2 * n + 1, mid, d);
    }
  }
  void pair(std::size_t i, std::size_t j) {
    for (const auto& p : crossings(chain_[i], chain_[j])) {
      // The way along the chain from p on the one to p on the other, either way round if it is closed.
      const double to_end = j == i + 1 ? 0 : way_[j] - way_[i + 1];
      const double loop = length(p - chain_[i].end) + to_end + length(p - chain_[j].start);
      const double round =
          length(p - chain_[i].start) + way_[i] + (way_.back() - way_[j + 1]) + length(p - chain_[j].end);
      if (loop < short_way || (closed_ && round < short_way)) continue;
      if (j == i + 1 && lens(i, j, p, chain_[i].end) < thin_lens) continue;
      if (closed_ && i == 0 && j + 1 == chain_.size() && lens(i, j, p, chain_[0].start) < thin_lens) continue;
      found_.clash = Clash{i, j, p};
      return;
    }
  }
  /// Thickness of what two neighbours enclose between their joint and p.
  double lens(std::size_t i, std::size_t j, const P& p, const P& joint) const {
    const auto middle = (p + joint) * 0.5;
    const double a = nearest(middle, chain_[i]).distance, b = nearest(middle, chain_[j]).distance;
    const bool same_side = dot(nearest(middle, chain_[i]).b - middle, nearest(middle, chain_[j]).b - middle) >= 0;
    return same_side ? std::abs(a - b) : a + b;
  }

  ChainView chain_;
  std::vector<Box> boxes_;
  std::vector<double> way_;
  bool closed_ = false;
  long work_ = 0;
  Crossing found_;
};

} // namespace

Crossing find_crossing(ChainView chain) {
  return chain.size() < 2 ? Crossing{} : Search(chain).run();
}

} // namespace chamber::profile::detail
