#include "chamber/solid/foreign_chamber.hpp"
#include "chamber/solid/foreign_cap.hpp"
#include "chamber/solid/step_file.hpp"
#include <BRep_Tool.hxx>
#include <TopExp.hxx>
#include <algorithm>
#include <fmt/format.h>

namespace chamber::solid::foreign {
namespace {

/// mm. A told sealing face this near to a level means the level.
constexpr double told_place = 1e-3;

std::size_t index(int i) {
  return static_cast<std::size_t>(i);
}

constexpr std::string_view leads_outside = "the chamber leads outside";

/// Everything found once for the solid.
struct Search {
  const TopoDS_Solid& solid;
  const Skin& skin;
  const Wanted& wanted;
  std::vector<Tunnel> tunnels;
  std::vector<int> tunnel_of; ///< of each face, -1: none
  double volume = 0;
};

/// Area inside the loop; above 0 if the set lies inside it.
double signed_area(const Loop& loop, int out) {
  double twice = 0;
  for (const auto& edge : loop.edges)
    along(edge, [&](const gp_Pnt& p, const gp_Vec& step) { twice += p.X() * step.Y() - p.Y() * step.X(); });
  return out * twice / 2;
}

bool inside(const Loop& loop, const Loop& other) {
  const gp_Pnt p = BRep_Tool::Pnt(TopExp::FirstVertex(other.edges.front()));
  return std::abs(winding(loop, gp_Ax1(p, gp_Dir(0, 0, 1)))) > 0.5;
}

struct Flood {
  std::vector<char> reached;
  std::vector<int> from; ///< face each was reached from
  int escape = -1;       ///< a face at another border of the level
};

/// From the mouth over the faces, not through the level and not through closed tunnels.
Flood flood(const Search& s, const std::vector<char>& level, const Loop& mouth, const std::vector<char>& closed) {
  Flood out{std::vector<char>(s.skin.faces.size(), 0), std::vector<int>(s.skin.faces.size(), -1), -1};
  std::vector<int> todo;
  const auto reach = [&](int face, int from) {
    const int t = s.tunnel_of[index(face)];
    if (level[index(face)] || out.reached[index(face)] || (t >= 0 && closed[index(t)])) return;
    out.reached[index(face)] = 1;
    out.from[index(face)] = from;
    todo.push_back(face);
  };
  for (const int j : mouth.joints) {
    const auto& joint = s.skin.joints[index(j)];
    reach(level[index(joint.a)] ? joint.b : joint.a, -1);
  }
  for (std::size_t k = 0; k < todo.size(); ++k)
    for (const int j : s.skin.joints_of[index(todo[k])]) {
      const int next = s.skin.joints[index(j)].other(todo[k]);
      if (!level[index(next)])
        reach(next, todo[k]);
      else if (out.escape < 0 && std::find(mouth.joints.begin(), mouth.joints.end(), j) == mouth.joints.end())
        out.escape = todo[k];
    }
  return out;
}

/// The hole to close on the way out: the narrowest, or that in which the plug is told to end.
int tunnel_to_close(const Search& s, const Chamber& c, const Flood& f) {
  int best = -1;
  for (int face = f.escape; face >= 0; face = f.from[index(face)]) {
    const int t = s.tunnel_of[index(face)];
    if (t < 0 || (s.wanted.plug_end && !reaches(s.skin, s.tunnels[index(t)], c, *s.wanted.plug_end))) continue;
    // <=: of equal ones that nearest the chamber
    if (best < 0 || s.tunnels[index(t)].radius <= s.tunnels[index(best)].radius) best = t;
  }
  return best;
}

/// A face that stands out of the level: behind its border is no chamber, but a boss or the outside.
bool stands_out(const Search& s, const Chamber& c) {
  return std::any_of(c.faces.begin(), c.faces.end(), [&](int face) {
    const auto& points = s.skin.samples[index(face)];
    return std::any_of(points.begin(), points.end(), [&](const Sample& p) { return c.height(p.point) < -told_place; });
  });
}

/// The chamber behind an inner border of a level; none of its volume where there is none.
Result<Chamber> behind(const Search& s, const Level& level, const std::vector<char>& in, const Loop& mouth,
                       double area) {
  Chamber c;
  c.level = level;
  c.mouth = mouth;
  c.mouth_area = area;
  std::vector<char> closed(s.tunnels.size(), 0);
  Flood f;
  for (;;) {
    f = flood(s, in, mouth, closed);
    if (f.escape < 0) break;
    const int t = tunnel_to_close(s, c, f);
    if (t < 0 && s.wanted.plug_end)
      return fail(fmt::format("no round hole leads through at the plug end told, {:.3f} mm above the sealing face.",
                              *s.wanted.plug_end),
                  "tell a height at which the plug hole is a full cylinder, or none.");
    if (t < 0)
      return fail(fmt::format("{} otherwise than by a round hole, over a {}.", leads_outside,
                              describe(s.skin.faces[index(f.escape)])),
                  "close slots and other openings in the drawing, and export it again.");
    closed[index(t)] = 1;
  }
  for (std::size_t i = 0; i < f.reached.size(); ++i)
    if (f.reached[i]) c.faces.push_back(static_cast<int>(i));
  if (stands_out(s, c)) return c;
  for (std::size_t t = 0; t < closed.size(); ++t) {
    if (!closed[t]) continue;
    const auto cap = close(s.skin, s.tunnels[t], c, f.reached, s.wanted.plug_end);
    if (cap) c.caps.push_back(cap->cap), c.volume += cap->flux;
  }
  const auto own = flux(s.skin, c.faces, gp_Pnt(0, 0, level.z));
  c.volume -= own.value;
  c.doubt = own.doubt;
  return c;
}

bool told(const Wanted& wanted, const Level& level) {
  return !wanted.sealing || std::abs(-level.out * level.z - *wanted.sealing) < told_place;
}

/// A void smaller than this part of the solid is a dent in a cavity, not the chamber of an insert.
constexpr double least_void = 0.005;

Result<Chamber> insert_chamber(const Search& s) {
  Result<Chamber> best = fail("the solid has no plane face square to its axis in which a chamber opens.",
                              "give the turning axis or the sealing face's place, or say that it is a cavity.");
  double refused = 0, taken = 0;
  for (const auto& level : levels(s.skin)) {
    if (!told(s.wanted, level)) continue;
    std::vector<char> in(s.skin.faces.size(), 0);
    for (const int face : level.faces) in[index(face)] = 1;
    const auto loops = border(s.skin, in);
    for (const auto& loop : loops) {
      const double area = -signed_area(loop, level.out);
      if (area <= std::max(taken, 0.0)) continue;
      if (std::any_of(loops.begin(), loops.end(), [&](const Loop& o) { return &o != &loop && inside(loop, o); }))
        continue;
      auto found = behind(s, level, in, loop, area);
      if (found && (found->faces.empty() || found->volume < least_void * s.volume)) continue;
      if (found) {
        taken = area;
        best = std::move(found);
      } else if (taken == 0 && area > refused) {
        refused = area;
        best = std::move(found);
      }
    }
  }
  return best;
}

Result<Chamber> cavity_chamber(const Search& s) {
  Chamber c;
  c.body = Body::cavity;
  for (const auto& level : levels(s.skin)) {
    if (!told(s.wanted, level) || level.area <= c.mouth_area) continue;
    Chamber end;
    end.level = level;
    for (std::size_t i = 0; i < s.skin.faces.size(); ++i) end.faces.push_back(static_cast<int>(i));
    if (!stands_out(s, end)) c.level = level, c.mouth_area = level.area;
  }
  if (c.mouth_area == 0)
    return fail("the solid has no plane end face square to its axis to be the sealing face.",
                "give the turning axis or the sealing face's place.");
  std::vector<char> in(s.skin.faces.size(), 0);
  for (const int face : c.level.faces) in[index(face)] = 1;
  const auto loops = border(s.skin, in);
  if (loops.size() != 1 && s.wanted.body != Body::cavity)
    return fail(
        "the solid is neither an insert with a chamber nor a cavity: its largest end face has holes that lead to no "
        "chamber.",
        "export the insert or the cavity alone; or say which it is.");
  c.mouth = *std::max_element(loops.begin(), loops.end(), [&](const Loop& a, const Loop& b) {
    return signed_area(a, c.level.out) < signed_area(b, c.level.out);
  });
  c.mouth_area = signed_area(c.mouth, c.level.out); // splines' areas by the kernel are rough
  for (std::size_t i = 0; i < in.size(); ++i)
    if (!in[i]) c.faces.push_back(static_cast<int>(i));
  const auto own = flux(s.skin, c.faces, gp_Pnt(0, 0, c.level.z));
  c.volume = own.value;
  c.doubt = own.doubt;
  return c;
}

} // namespace

Result<Chamber> find_chamber(const TopoDS_Solid& solid, const Skin& skin, const Wanted& wanted) {
  Search s{solid, skin, wanted, tunnels(skin), std::vector<int>(skin.faces.size(), -1), 0};
  for (std::size_t t = 0; t < s.tunnels.size(); ++t)
    for (const int face : s.tunnels[t].faces) s.tunnel_of[index(face)] = static_cast<int>(t);
  s.volume = measure(solid).volume_mm3;
  if (wanted.body == Body::cavity) return cavity_chamber(s);
  auto insert = insert_chamber(s);
  if (insert || wanted.body == Body::insert) return insert;
  auto cavity = cavity_chamber(s);
  // An insert refused for its openings, or for the plug's end told, was meant as one: a cavity has neither.
  const bool meant = wanted.plug_end || insert.error().message.starts_with(leads_outside);
  return meant ? insert : cavity;
}

} // namespace chamber::solid::foreign
