#include "chamber/profile/dxf_join.hpp"
#include "chamber/profile/proposed_detail.hpp"
#include "chamber/units/tolerance.hpp"
#include <algorithm>
#include <map>

namespace chamber::profile::detail {
namespace {

using tolerance::point_mm;
/// mm. A gap narrower than this is the last digit of somebody's coordinates.
constexpr double worth_a_word = 1e-4;

double length_of(ChainView c) {
  double sum = 0;
  for (const auto& s : c) sum += arc_length(s);
  return sum;
}

/// Ends nearer to each other than gap_mm share a number.
class Nodes {
public:
  std::size_t of(const P& p) {
    const auto cell = [](double x) { return static_cast<long>(std::floor(x / gap_mm)); };
    const long i = cell(p.r), j = cell(p.z);
    for (long a = i - 1; a <= i + 1; ++a)
      for (long b = j - 1; b <= j + 1; ++b)
        if (const auto it = cells_.find({a, b}); it != cells_.end())
          for (const auto n : it->second)
            if (length(at_[n] - p) <= gap_mm) return n;
    at_.push_back(p);
    cells_[{i, j}].push_back(at_.size() - 1);
    return at_.size() - 1;
  }
  const P& at(std::size_t n) const { return at_[n]; }
  std::size_t size() const { return at_.size(); }

private:
  std::map<std::pair<long, long>, std::vector<std::size_t>> cells_;
  std::vector<P> at_;
};

struct Edge {
  Chain chain;
  std::size_t from, to;
  bool used = false;
};

bool same_way(const Edge& a, const Edge& b) {
  if (std::minmax(a.from, a.to) != std::minmax(b.from, b.to) || a.chain.size() != b.chain.size()) return false;
  const auto middle = [](const Edge& e, bool turned) {
    const std::size_t i = e.chain.size() / 2;
    return turned && e.chain.size() % 2 == 0 ? point_at(e.chain[i - 1], 0.5) : point_at(e.chain[i], 0.5);
  };
  return length(middle(a, false) - middle(b, a.from != b.from)) <= gap_mm;
}

void drop_doubled(std::vector<Edge>& edges, Joined& out) {
  std::map<std::pair<std::size_t, std::size_t>, std::vector<std::size_t>> between;
  std::vector<Edge> kept;
  for (auto& e : edges) {
    auto& others = between[std::minmax(e.from, e.to)];
    if (std::any_of(others.begin(), others.end(), [&](std::size_t k) { return same_way(kept[k], e); })) {
      ++out.doubled;
      continue;
    }
    if (others.size() < 50) others.push_back(kept.size());
    kept.push_back(std::move(e));
  }
  edges = std::move(kept);
}

/// Puts `next` behind `chain`; what is left of the gap is closed by moving a line's end, or by a line.
void append(Chain& chain, Chain next, Joined& out) {
  if (!chain.empty()) {
    S &a = chain.back(), &b = next.front();
    const double gap = length(b.start - a.end);
    if (gap > worth_a_word) ++out.gaps, out.widest_gap_mm = std::max(out.widest_gap_mm, gap);
    if (!b.is_arc() && length(b.end - a.end) > gap_mm)
      b.start = a.end;
    else if (!a.is_arc() && length(b.start - a.start) > gap_mm)
      a.end = b.start;
    else if (gap > point_mm / 10)
      chain.push_back(line(a.end, b.start));
  }
  chain.insert(chain.end(), next.begin(), next.end());
}

void close_loop(Chain& c, Joined& out) {
  const P from = c.back().end, to = c.front().start;
  const double gap = length(to - from);
  if (gap > worth_a_word) ++out.gaps, out.widest_gap_mm = std::max(out.widest_gap_mm, gap);
  if (gap == 0) return;
  if (!c.back().is_arc())
    c.back().end = to;
  else if (!c.front().is_arc())
    c.front().start = from;
  else if (gap > point_mm / 10)
    c.push_back(line(from, to));
}

} // namespace

Joined join(std::vector<Chain> pieces) {
  Joined out;
  Nodes nodes;
  std::vector<Edge> edges;
  for (auto& p : pieces) {
    if (length_of(p) <= gap_mm) continue;
    const auto a = nodes.of(p.front().start), b = nodes.of(p.back().end);
    edges.push_back({std::move(p), a, b});
  }
  drop_doubled(edges, out);
  std::vector<std::vector<std::size_t>> at(nodes.size());
  for (std::size_t i = 0; i < edges.size(); ++i) {
    at[edges[i].from].push_back(i);
    at[edges[i].to].push_back(i);
  }
  for (std::size_t n = 0; n < at.size(); ++n)
    if (at[n].size() > 2) out.branches.push_back(nodes.at(n));
  const auto walk = [&](std::size_t node, std::size_t first) {
    Chain chain;
    const std::size_t begin = node;
    for (std::size_t e = first;;) {
      edges[e].used = true;
      const bool forward = edges[e].from == node;
      append(chain, forward ? edges[e].chain : reversed(edges[e].chain), out);
      node = forward ? edges[e].to : edges[e].from;
      if (node == begin || at[node].size() != 2) break;
      const std::size_t onward = at[node][0] == e ? at[node][1] : at[node][0];
      if (edges[onward].used) break;
      e = onward;
    }
    if (node == begin) close_loop(chain, out);
    out.chains.push_back(std::move(chain));
  };
  for (std::size_t n = 0; n < at.size(); ++n)
    if (at[n].size() != 2)
      for (const auto e : at[n])
        if (!edges[e].used) walk(n, e);
  for (std::size_t e = 0; e < edges.size(); ++e)
    if (!edges[e].used) walk(edges[e].from, e);
  std::vector<std::pair<double, std::size_t>> order;
  for (std::size_t i = 0; i < out.chains.size(); ++i) order.push_back({-length_of(out.chains[i]), i});
  std::sort(order.begin(), order.end());
  std::vector<Chain> sorted;
  for (const auto& [l, i] : order) sorted.push_back(std::move(out.chains[i]));
  out.chains = std::move(sorted);
  return out;
}

} // namespace chamber::profile::detail
