#pragma once
// A reader of binary STL that shares nothing with the writer, and counts on what it read.
#include <array>
#include <cstdint>
#include <cstring>
#include <map>
#include <stdexcept>
#include <string>
#include <vector>

namespace stl {

using Point = std::array<float, 3>;
struct Facet {
  Point normal;
  std::array<Point, 3> corner;
};

inline std::vector<Facet> parse(const std::string& bytes) {
  if (bytes.size() < 84) throw std::runtime_error("STL: no header");
  std::uint32_t n = 0;
  std::memcpy(&n, bytes.data() + 80, 4);
  if (bytes.size() != 84 + 50 * std::size_t{n}) throw std::runtime_error("STL: size does not fit the count");
  std::vector<Facet> facets(n);
  for (std::size_t i = 0; i < n; ++i) std::memcpy(static_cast<void*>(&facets[i]), bytes.data() + 84 + 50 * i, 48);
  return facets;
}

/// Vertices by their bytes: what differs in one bit is another point, as for any reader without a tolerance.
struct Topology {
  std::size_t vertices = 0, edges = 0, facets = 0;
  std::size_t unmatched = 0; ///< directed edges without exactly one opposite
  std::size_t degenerate = 0;
  long euler() const { return static_cast<long>(vertices) - static_cast<long>(edges) + static_cast<long>(facets); }
};

inline Topology topology(const std::vector<Facet>& facets) {
  std::map<std::array<std::uint32_t, 3>, int> ids;
  std::map<std::pair<int, int>, int> directed;
  Topology t;
  t.facets = facets.size();
  for (const auto& f : facets) {
    int id[3];
    for (int i = 0; i < 3; ++i) {
      std::array<std::uint32_t, 3> key{};
      std::memcpy(key.data(), f.corner[static_cast<std::size_t>(i)].data(), 12);
      id[i] = ids.emplace(key, static_cast<int>(ids.size())).first->second;
    }
    if (id[0] == id[1] || id[1] == id[2] || id[2] == id[0]) ++t.degenerate;
    for (int i = 0; i < 3; ++i) ++directed[{id[i], id[(i + 1) % 3]}];
  }
  t.vertices = ids.size();
  for (const auto& [edge, count] : directed) {
    const auto opposite = directed.find({edge.second, edge.first});
    if (count != 1 || opposite == directed.end() || opposite->second != 1) ++t.unmatched;
  }
  t.edges = directed.size() / 2;
  return t;
}

inline double volume(const std::vector<Facet>& facets) {
  double six = 0;
  for (const auto& f : facets) {
    const auto& [a, b, c] = f.corner;
    six += double{a[0]} * (double{b[1]} * c[2] - double{b[2]} * c[1]) -
           double{a[1]} * (double{b[0]} * c[2] - double{b[2]} * c[0]) +
           double{a[2]} * (double{b[0]} * c[1] - double{b[1]} * c[0]);
  }
  return six / 6;
}

} // namespace stl
