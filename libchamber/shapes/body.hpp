#pragma once
// The insert around the chamber: outside steps, O-ring grooves, plug hole and seat, as one closed meridian of metal.
#include "chamber/profile/segment.hpp"
#include "chamber/shapes/chamber.hpp"
#include "chamber/units/result.hpp"
#include <string>

namespace chamber::shapes {

/// One outside step, in order from the sealing face.
struct Step {
  double diameter_mm = 0, length_mm = 0;
};

/// A groove in the sealing face round the bore (O-ring against the cylinder).
struct FaceGroove {
  double inner_diameter_mm = 0, width_mm = 0, depth_mm = 0;
};

/// A groove in an outside step (O-ring against the coolant).
struct RadialGroove {
  double from_face_mm = 0; ///< sealing face to the nearer groove wall
  double width_mm = 0, depth_mm = 0;
};

/// A spark plug's thread and how it sits. The hole is modelled at the tapped (minor) diameter.
struct Plug {
  std::string thread; ///< "M14x1.25"
  double major_mm = 0, pitch_mm = 0;
  double reach_mm = 0;          ///< thread length from the plug's seat
  double washer_mm = 0;         ///< compressed gasket washer between seat and plug, 0 for a taper seat
  double seat_diameter_mm = 0;  ///< spotface
  double thread_chamfer_mm = 0; ///< 45 degree chamfer of the hole at the seat, along the axis; 0 = none
};

/// Minor diameter limits of an internal 6H thread, mm (ISO 965-1 / ASME B1.13M), and the tap drill (common practice).
struct ThreadSize {
  std::string_view name;
  double major_mm, pitch_mm, minor_low_mm, minor_high_mm, tap_drill_mm;
};
std::span<const ThreadSize> plug_threads();
const ThreadSize* find_thread(std::string_view name);
/// Chamfer whose mouth is 0.3 mm wider than the thread's major diameter, mm (common practice, no source).
double usual_thread_chamfer_mm(const ThreadSize& thread);
/// ISO 68-1 basic pitch and minor diameters of a metric thread.
double pitch_diameter_mm(const ThreadSize& t);
double basic_minor_diameter_mm(const ThreadSize& t);

struct BodySpec {
  std::vector<Step> steps;
  std::vector<FaceGroove> face_grooves;
  std::vector<RadialGroove> radial_grooves;
  double edge_break_mm = 0; ///< 45 degree break on outside convex edges; 0 = sharp
};

/// A segment of the insert's outline and the face it sweeps ("sealing face", "step 2", "plug seat", "bowl", ...).
struct NamedSegment {
  profile::S segment;
  std::string face;
};

/// The insert's metal as one closed meridian, counter-clockwise (metal on the left), and its landmarks.
struct Insert {
  std::vector<NamedSegment> outline;
  double height_mm = 0; ///< sealing face to top face
  double roof_z_mm = 0; ///< pocket roof = end of the seated plug
  double seat_z_mm = 0; ///< plug seat
  double hole_radius_mm = 0;
};

/// Height of the plug seat above the pocket roof: reach less what the washer takes.
double seat_above_roof_mm(const Plug& plug);

/// Outside faces a chamber must keep its wall to: everything but the chamber and the plug hole, open chains by name.
std::vector<NamedSegment> outside_faces(const BodySpec& body, const Plug& plug, double rim_radius_mm, double roof_z_mm);

/// What steps, grooves, plug and the chamber's rim contradict each other in, whatever the chamber.
Result<void> check_body(const BodySpec& body, const Plug& plug, double rim_radius_mm);

/// Builds the whole insert. Fails where body, grooves, plug and chamber contradict each other, saying which.
Result<Insert> assemble(const Chamber<double>& chamber, const BodySpec& body, const Plug& plug);

/// The cavity with the plug fitted as a closed meridian, counter-clockwise. A band that lies in the sealing plane is no
/// part of it.
std::vector<NamedSegment> cavity_outline(const Chamber<double>& chamber);

/// Plain segments of an outline.
profile::Chain chain_of(std::span<const NamedSegment> outline);

} // namespace chamber::shapes
