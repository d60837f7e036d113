#pragma once
// Outlines to verified solids and files. This header is free of the CAD kernel, so that a program can hold the contract
// and load the kernel only when it needs it (loader.hpp).
#include "chamber/shapes/body.hpp"
#include "chamber/units/result.hpp"
#include <cstddef>
#include <string>
#include <vector>

namespace chamber::solid {

/// One body of revolution and where its files go.
struct Part {
  std::string name; ///< product name in the STEP file: printable ASCII, not empty
  /// Closed meridian, counter-clockwise (material on the left). It may run along the axis; what lies at r = 0 sweeps no
  /// face.
  std::vector<shapes::NamedSegment> outline;
  std::string step_path;
  std::string stl_path;                     ///< binary STL in millimetres; empty = none
  std::string glb_path{};                   ///< binary glTF in metres, Y up, for viewers; empty = none
  std::string view_path{};                  ///< the same of the coarse mesh, a quarter as large; empty = none
  std::vector<std::string> chamber_faces{}; ///< names of the faces that get the glTF file's second material
};

enum class LengthUnit { millimetre, inch };
enum class Schema { ap203, ap214, ap242 };

/// What the files say besides the geometry. Texts are printable ASCII; empty ones are allowed.
struct FileOptions {
  LengthUnit unit = LengthUnit::millimetre; ///< of the STEP file; STL is always millimetres
  Schema schema = Schema::ap214;
  std::string description, author, organization;
  std::string originating_system;   ///< product and version
  double mesh_deflection_mm = 0.02; ///< of the finer mesh, which is the one in the STL file
};

/// Where the time went, ms. Properties, check, mesh, STL and glTF run beside the STEP file's writing and reading.
struct Timings {
  double revolve = 0, check = 0, properties = 0, mesh = 0, stl = 0, glb = 0, step_write = 0, step_reread = 0;
};

/// What is known of one part once its files are written and checked.
struct PartResult {
  std::string name;
  std::size_t faces = 0;        ///< all of them planes, cylinders, cones, spheres or tori
  double volume_closed_mm3 = 0; ///< of the outline, profile::swept_volume
  double volume_brep_mm3 = 0;   ///< of the solid, integrated by the kernel
  double volume_reread_mm3 = 0; ///< of the solid read back from the written STEP file
  double area_mm2 = 0;          ///< of the solid, integrated by the kernel
  double centroid_z_mm = 0;
  double volume_mesh_mm3 = 0; ///< extrapolated from the two meshes
  double mesh_bound_mm3 = 0;  ///< the true volume lies within volume_mesh_mm3 +- this (derived: tessellation.hpp)
  double coarse_mesh_mm3 = 0, fine_mesh_mm3 = 0;           ///< as the meshes enclose them
  double coarse_deflection_mm = 0, fine_deflection_mm = 0; ///< measured
  double stl_bound_mm3 =
      0; ///< the true volume lies within fine_mesh_mm3 +- this, rounding to the file's floats included
  std::size_t triangles = 0; ///< of the finer mesh
  Timings timings_ms;
};

/// Revolves, checks, measures, meshes, writes and reads back every part, in the order given. STEP files carry a product
/// name, named faces, a filled header and the validation properties volume, area and centroid; under SOURCE_DATE_EPOCH
/// they are the same bytes every time.
///
/// Fails, with the dimensions that caused it, on an outline that is open, clockwise or crosses itself or the axis; on a
/// face that is not analytic; on a solid the kernel finds invalid; on volumes or areas that disagree by more than
/// tolerance::exact_relative (BRep, re-read file) or tolerance::mesh_relative (mesh); on a path that cannot be written.
/// After a failure none of the files it began are left.
Result<std::vector<PartResult>> make(const std::vector<Part>& parts, const FileOptions& options);

} // namespace chamber::solid
