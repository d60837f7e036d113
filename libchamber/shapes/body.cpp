#include "chamber/shapes/body.hpp"
#include "chamber/profile/distance.hpp"
#include "chamber/units/tolerance.hpp"
#include <array>
#include <fmt/format.h>

namespace chamber::shapes {
namespace {

using profile::P;
constexpr double point = tolerance::point_mm;
/// A step's length is written to 0.001 mm: a seat that near to the top face is the top face.
constexpr double flush_mm = 1e-3;

// Minor diameter limits 6H: ISO 965-1 / ASME B1.13M. Tap drills: common practice, no source.
constexpr std::array threads{
    ThreadSize{"M14x1.25", 14, 1.25, 12.647, 12.912, 12.75},
    ThreadSize{"M12x1.25", 12, 1.25, 10.647, 10.912, 10.75},
    ThreadSize{"M10x1", 10, 1.0, 8.917, 9.153, 9.0},
};

/// Walks the outline point by point; a zero-length step is left out.
class Pen {
public:
  explicit Pen(P start) : at_(start) {}
  void to(P p, std::string face) {
    if (profile::length(p - at_) < point) return;
    out_.push_back({profile::line(at_, p), std::move(face)});
    at_ = p;
  }
  P at() const { return at_; }
  std::vector<NamedSegment> take() { return std::move(out_); }

private:
  P at_;
  std::vector<NamedSegment> out_;
};

/// The top's edge height and the outside from the rim to the edge of the plug hole, unbroken and without grooves'
/// breaks.
struct Outside {
  std::vector<NamedSegment> path;
  double height = 0;
};

Outside outside_path(const BodySpec& body, const Plug& plug, double rim_radius, double roof_z, double hole_radius) {
  Outside o;
  Pen pen({rim_radius, 0});
  for (std::size_t i = 0; i < body.face_grooves.size(); ++i) {
    const auto& g = body.face_grooves[i];
    const double inner = g.inner_diameter_mm / 2;
    const auto label = body.face_grooves.size() > 1 ? fmt::format("face groove {}", i + 1) : std::string("face groove");
    pen.to({inner, 0}, "sealing face");
    pen.to({inner, g.depth_mm}, label);
    pen.to({inner + g.width_mm, g.depth_mm}, label);
    pen.to({inner + g.width_mm, 0}, label);
  }
  double z = 0;
  const double b = body.edge_break_mm;
  double previous = 0; // radius of the step below; none under the first
  for (std::size_t i = 0; i < body.steps.size(); ++i) {
    const double r = body.steps[i].diameter_mm / 2, top = z + body.steps[i].length_mm;
    const auto label = fmt::format("step {}", i + 1);
    const auto below = i == 0 ? std::string("sealing face") : fmt::format("shoulder {}", i);
    const bool edge_below = i == 0 || r > previous;
    const double next = i + 1 < body.steps.size() ? body.steps[i + 1].diameter_mm / 2 : 0;
    const bool edge_above = next < r;
    pen.to({edge_below ? r - b : r, z}, below);
    if (edge_below) pen.to({r, z + b}, "edge break");
    for (std::size_t k = 0; k < body.radial_grooves.size(); ++k) {
      const auto& g = body.radial_grooves[k];
      if (g.from_face_mm < z || g.from_face_mm >= top) continue;
      const auto groove =
          body.radial_grooves.size() > 1 ? fmt::format("radial groove {}", k + 1) : std::string("radial groove");
      pen.to({r, g.from_face_mm}, label);
      pen.to({r - g.depth_mm, g.from_face_mm}, groove);
      pen.to({r - g.depth_mm, g.from_face_mm + g.width_mm}, groove);
      pen.to({r, g.from_face_mm + g.width_mm}, groove);
    }
    pen.to({r, edge_above ? top - b : top}, label);
    if (edge_above) pen.to({r - b, top}, "edge break");
    previous = r;
    z = top;
  }
  o.height = z;
  const double seat_z = roof_z + seat_above_roof_mm(plug), mouth = hole_radius + plug.thread_chamfer_mm;
  if (seat_z < z - flush_mm) {
    const double seat = plug.seat_diameter_mm / 2;
    pen.to({seat, z}, "top face");
    pen.to({seat, seat_z}, "plug seat wall");
    pen.to({mouth, seat_z}, "plug seat");
  } else {
    pen.to({mouth, z}, "top face");
  }
  pen.to({hole_radius, pen.at().z - plug.thread_chamfer_mm}, "thread chamfer");
  o.path = pen.take();
  return o;
}

double height_of(const BodySpec& body) {
  double height = 0;
  for (const auto& s : body.steps) height += s.length_mm;
  return height;
}

/// Of the step at this height.
double radius_at(const BodySpec& body, double z_mm) {
  for (const auto& s : body.steps) {
    if (z_mm < s.length_mm) return s.diameter_mm / 2;
    z_mm -= s.length_mm;
  }
  return body.steps.back().diameter_mm / 2;
}

Result<void> check_steps_and_grooves(const BodySpec& body, double rim_radius) {
  if (body.steps.empty()) return fail("the body has no outside step.", "give at least one [[body.step]].");
  const double b = body.edge_break_mm;
  for (std::size_t i = 0; i < body.steps.size(); ++i) {
    const auto& s = body.steps[i];
    if (s.length_mm <= 2 * b)
      return fail(fmt::format("outside step {} is {:.2f} mm long: too short for its edge breaks of {:.2f} mm.", i + 1,
                              s.length_mm, b),
                  "lengthen the step or make the edge break smaller.");
    if (i > 0 && std::abs(s.diameter_mm - body.steps[i - 1].diameter_mm) / 2 <= b)
      return fail(fmt::format("outside steps {} and {} differ by less than an edge break.", i, i + 1),
                  "merge them, or make the edge break smaller.");
  }
  double from = rim_radius;
  for (const auto& g : body.face_grooves) {
    const double inner = g.inner_diameter_mm / 2;
    if (inner <= from + point)
      return fail(fmt::format("a face groove begins at diameter {:.2f} mm, inside the rim or the groove before it "
                              "(diameter {:.2f} mm).",
                              g.inner_diameter_mm, 2 * from),
                  "move the groove outwards; list face grooves from the inside out.");
    from = inner + g.width_mm;
  }
  if (from >= body.steps[0].diameter_mm / 2 - b - point)
    return fail(fmt::format("the sealing face ends at diameter {:.2f} mm, but rim and face grooves need {:.2f} mm.",
                            body.steps[0].diameter_mm - 2 * b, 2 * from),
                "make step 1 larger or move the groove inwards.");
  double last_end = 0;
  for (const auto& g : body.radial_grooves) {
    double z = 0;
    bool fits = false;
    for (const auto& s : body.steps) {
      // Half the radius only keeps the outline sound; how deep it may really go is the wall limit's to say.
      if (g.from_face_mm > z + b + point && g.from_face_mm + g.width_mm < z + s.length_mm - b - point &&
          g.depth_mm < s.diameter_mm / 4)
        fits = true;
      z += s.length_mm;
    }
    if (!fits)
      return fail(
          fmt::format("the radial groove at {:.2f} mm from the sealing face (width {:.2f} mm) does not lie within "
                      "one outside step.",
                      g.from_face_mm, g.width_mm),
          "move it, or change the steps.");
    if (g.from_face_mm < last_end + point)
      return fail("radial grooves overlap or are out of order.", "list them from the sealing face upwards.");
    last_end = g.from_face_mm + g.width_mm;
    for (const auto& f : body.face_grooves)
      if (const double bottom = radius_at(body, g.from_face_mm) - g.depth_mm;
          g.from_face_mm <= f.depth_mm + point && bottom <= f.inner_diameter_mm / 2 + f.width_mm + point)
        return fail(fmt::format("the radial groove at {:.2f} mm from the sealing face runs into the face groove at "
                                "diameter {:.2f} mm.",
                                g.from_face_mm, f.inner_diameter_mm),
                    "move one of them, or make it shallower.");
  }
  return {};
}

/// Where the seat comes to lie with this chamber's roof.
Result<void> check_seat(const BodySpec& body, const Plug& plug, double roof_z) {
  const double b = body.edge_break_mm, height = height_of(body), seat_z = roof_z + seat_above_roof_mm(plug);
  if (seat_z > height + flush_mm)
    return fail(
        fmt::format("the plug seat would lie {:.2f} mm above the top face (body {:.2f} mm high, roof at {:.2f} mm, "
                    "plug reach {:.2f} mm).",
                    seat_z - height, height, roof_z, plug.reach_mm),
        "make the body higher, take a plug of shorter reach, or a shallower bowl.");
  if (seat_z < height - flush_mm && plug.seat_diameter_mm / 2 >= body.steps.back().diameter_mm / 2 - b)
    return fail(fmt::format("the plug seat (diameter {:.2f} mm) is wider than the top step ({:.2f} mm).",
                            plug.seat_diameter_mm, body.steps.back().diameter_mm),
                "make the seat smaller or the top step larger.");
  return {};
}

Result<void> check_plug_mouth(const BodySpec& body, const Plug& plug, double hole_radius) {
  const double mouth = hole_radius + plug.thread_chamfer_mm;
  const double top = body.steps.back().diameter_mm / 2 - body.edge_break_mm;
  if (!(plug.thread_chamfer_mm >= 0) || plug.thread_chamfer_mm >= seat_above_roof_mm(plug))
    return fail(fmt::format("the thread chamfer of {:.2f} mm is no chamfer.", plug.thread_chamfer_mm),
                "give a length from 0 to a few millimetres.");
  if (plug.seat_diameter_mm / 2 < hole_radius + point)
    return fail(fmt::format("the plug seat (diameter {:.2f} mm) is no wider than the plug hole ({:.2f} mm).",
                            plug.seat_diameter_mm, 2 * hole_radius),
                "make the seat larger.");
  if (mouth >= std::min(plug.seat_diameter_mm / 2, top) - point)
    return fail(
        fmt::format("the thread chamfer opens the plug hole to {:.2f} mm, the plug seat is only {:.2f} mm wide.",
                    2 * mouth, std::min(plug.seat_diameter_mm, 2 * top)),
        "make the chamfer smaller or the seat larger.");
  return {};
}

double hole_radius_of(const Plug& plug) {
  const auto* t = find_thread(plug.thread);
  if (!t) throw std::logic_error("shapes: plug thread not in the table");
  return t->tap_drill_mm / 2;
}

} // namespace

std::span<const ThreadSize> plug_threads() {
  return threads;
}

double usual_thread_chamfer_mm(const ThreadSize& t) {
  return (t.major_mm + 0.3 - t.tap_drill_mm) / 2;
}

const ThreadSize* find_thread(std::string_view name) {
  for (const auto& t : threads)
    if (t.name == name) return &t;
  return nullptr;
}

// ISO 68-1: H = sqrt(3)/2 P; d2 = d - 2 * 3/8 H; d1 = d - 2 * 5/8 H.
double pitch_diameter_mm(const ThreadSize& t) {
  return t.major_mm - 0.75 * std::sqrt(3.0) / 2 * t.pitch_mm;
}
double basic_minor_diameter_mm(const ThreadSize& t) {
  return t.major_mm - 1.25 * std::sqrt(3.0) / 2 * t.pitch_mm;
}

double seat_above_roof_mm(const Plug& plug) {
  return plug.reach_mm - plug.washer_mm;
}

std::vector<NamedSegment> outside_faces(const BodySpec& body, const Plug& plug, double rim_radius, double roof_z) {
  auto path = outside_path(body, plug, rim_radius, roof_z, hole_radius_of(plug)).path;
  // The sealing face meets the chamber at the rim: no wall there to measure.
  std::erase_if(path, [&](const NamedSegment& n) { return n.face == "sealing face"; });
  return path;
}

Result<void> check_body(const BodySpec& body, const Plug& plug, double rim_radius_mm) {
  if (auto ok = check_steps_and_grooves(body, rim_radius_mm); !ok) return ok;
  if (seat_above_roof_mm(plug) < point)
    return fail(fmt::format("the plug's washer ({:.2f} mm) takes up its whole reach ({:.2f} mm).", plug.washer_mm,
                            plug.reach_mm),
                "check reach and washer.");
  return check_plug_mouth(body, plug, hole_radius_of(plug));
}

Result<Insert> assemble(const Chamber<double>& chamber, const BodySpec& body, const Plug& plug) {
  const auto& chain = chamber.chain;
  const double rim = chain[0].start.r;
  Insert insert;
  insert.hole_radius_mm = hole_radius_of(plug);
  if (auto ok = check_body(body, plug, rim); !ok) return tl::unexpected(ok.error());
  if (auto ok = check_seat(body, plug, chamber.roof_z); !ok) return tl::unexpected(ok.error());
  insert.roof_z_mm = chamber.roof_z;
  auto outside = outside_path(body, plug, rim, chamber.roof_z, insert.hole_radius_mm);
  insert.height_mm = outside.height;
  insert.seat_z_mm = std::min(insert.height_mm, chamber.roof_z + seat_above_roof_mm(plug));
  insert.outline = std::move(outside.path);
  const P seat = insert.outline.back().segment.end;
  insert.outline.push_back({profile::line(seat, P{insert.hole_radius_mm, chamber.roof_z}), "plug hole"});
  // Back along the chamber, from the hole's edge to the rim.
  for (std::size_t i = chain.size(); i-- > 0;) {
    auto s = profile::reversed(chain[i]);
    if (i + 1 == chain.size()) {
      if (s.end.r <= insert.hole_radius_mm + point)
        return fail(
            fmt::format("the pocket (its flat roof reaches to radius {:.3f} mm) leaves no roof round the plug hole "
                        "(radius {:.3f} mm).",
                        s.end.r, insert.hole_radius_mm),
            "make the pocket wider or its corner round smaller.");
      s.start.r = insert.hole_radius_mm;
    }
    insert.outline.push_back({s, std::string(name(chamber.roles[i]))});
  }
  if (const auto clash = profile::self_crossing(chain_of(insert.outline)))
    return fail(fmt::format("the {} cuts through the {} near r {:.2f} mm, z {:.2f} mm.",
                            insert.outline[clash->first].face, insert.outline[clash->second].face, clash->at.r,
                            clash->at.z),
                "make the body larger there, or the chamber smaller.");
  return insert;
}

std::vector<NamedSegment> cavity_outline(const Chamber<double>& chamber) {
  std::vector<NamedSegment> out;
  // A flat band in the sealing plane bounds nothing: there the cavity begins at the mouth.
  std::size_t first = 0;
  while (!chamber.chain[first].is_arc() && std::abs(chamber.chain[first].end.z) < point) ++first;
  for (std::size_t i = first; i < chamber.chain.size(); ++i)
    out.push_back({chamber.chain[i], std::string(name(chamber.roles[i]))});
  const P top = chamber.chain.back().end, rim = chamber.chain[first].start;
  out.push_back({profile::line(top, P{0, 0}), "axis"});
  out.push_back({profile::line(P{0, 0}, rim), "sealing plane"});
  return out;
}

profile::Chain chain_of(std::span<const NamedSegment> outline) {
  profile::Chain out;
  out.reserve(outline.size());
  for (const auto& n : outline) out.push_back(n.segment);
  return out;
}

} // namespace chamber::shapes
