#include "chamber/profile/integrals.hpp"
#include "chamber/solid/files.hpp"
#include "chamber/solid/step_file.hpp"
#include "chamber/solid/tessellation.hpp"
#include "chamber/units/tolerance.hpp"
#include <Message.hxx>
#include <Message_Messenger.hxx>
#include <Standard_Failure.hxx>
#include <chrono>
#include <fmt/format.h>
#include <future>

namespace chamber::solid {
namespace {

/// Keeps the kernel's chatter off stdout while it lives.
class Silence {
public:
  Silence() : printers_(Message::DefaultMessenger()->Printers()) {
    Message::DefaultMessenger()->ChangePrinters().Clear();
  }
  ~Silence() { Message::DefaultMessenger()->ChangePrinters() = printers_; }
  Silence(const Silence&) = delete;
  Silence& operator=(const Silence&) = delete;

private:
  Message_SequenceOfPrinters printers_;
};

/// Milliseconds since it was last asked.
class Watch {
public:
  double lap() {
    const auto now = std::chrono::steady_clock::now();
    const double ms = std::chrono::duration<double, std::milli>(now - last_).count();
    last_ = now;
    return ms;
  }

private:
  std::chrono::steady_clock::time_point last_ = std::chrono::steady_clock::now();
};

Result<void> printable(const std::string& what, const std::string& text) {
  for (const char c : text)
    if (c < 0x20 || c > 0x7e)
      return fail(fmt::format("{} \"{}\" holds a character that is not printable ASCII.", what, text),
                  "STEP readers differ on other characters: use letters, digits and plain punctuation.");
  return {};
}

Result<void> check_texts(const std::vector<Part>& parts, const FileOptions& options) {
  for (const auto& part : parts) {
    if (part.name.empty()) return fail("a part has no name.", "give the part a product name.");
    if (auto ok = printable("the product name", part.name); !ok) return ok;
    for (const auto& named : part.outline)
      if (auto ok = printable("the face name", named.face); !ok) return ok;
    if (part.step_path.empty()) return fail(part.name + ": no path for the STEP file.", "give one.");
  }
  if (auto ok = printable("the description", options.description); !ok) return ok;
  if (auto ok = printable("the author", options.author); !ok) return ok;
  if (auto ok = printable("the organization", options.organization); !ok) return ok;
  if (!(options.mesh_deflection_mm > 0)) return fail("the mesh deflection must be above 0 mm.", "0.01 mm is usual.");
  return printable("the originating system", options.originating_system);
}

/// Fails unless `value` is within `relative` of `expected`.
Result<void> agree(const Part& part, const char* what, double value, double expected, const char* unit,
                   double relative) {
  if (std::abs(value - expected) <= relative * std::abs(expected)) return {};
  return fail(
      fmt::format(
          "{}: the {} is {:.9g} {unit}, but the closed form gives {:.9g} {unit} (off by {:.2g}, allowed {:.0e}; "
          "{}).",
          part.name, what, value, expected, std::abs(value / expected - 1), relative,
          describe(shapes::chain_of(part.outline)), fmt::arg("unit", unit)),
      "report this with the specification that led to it.");
}

Result<void> check_measures(const Part& part, const profile::Chain& chain, const Measures& m) {
  const double volume = profile::swept_volume(profile::ChainView(chain));
  if (auto ok = agree(part, "solid's volume", m.volume_mm3, volume, "mm3", tolerance::exact_relative); !ok) return ok;
  if (auto ok = agree(part, "solid's area", m.area_mm2, profile::swept_area(chain), "mm2", tolerance::exact_relative);
      !ok)
    return ok;
  const double off = std::hypot(m.centroid.X(), m.centroid.Y(), m.centroid.Z() - profile::centroid_z(chain));
  if (off > tolerance::point_mm)
    return fail(fmt::format("{}: the solid's centroid is {:.2g} mm from the closed form's.", part.name, off),
                "report this with the specification that led to it.");
  return {};
}

/// A part on its way.
struct Work {
  const Part& part;
  profile::Chain chain;
  Revolved revolved;
  Mesh mesh;
  PartResult result;
  std::promise<Result<Measures>> measured;
  std::future<Result<double>> reread_mm3;
};

/// Runs the step; what the kernel throws becomes a Problem.
template <class Step>
Result<void> guarded(const Part& part, const Step& step) {
  try {
    return step();
  } catch (const Standard_Failure& failure) {
    return fail(fmt::format("{}: the CAD kernel gave up ({}: {}; {}).", part.name, failure.DynamicType()->Name(),
                            failure.GetMessageString(), describe(shapes::chain_of(part.outline))),
                "report this with the specification that led to it.");
  }
}

Result<Work> begin(const Part& part) {
  Watch watch;
  auto chain = checked_outline(part);
  if (!chain) return tl::unexpected(chain.error());
  auto revolved = revolve(part, *chain);
  if (!revolved) return tl::unexpected(revolved.error());
  Work work{part, std::move(*chain), std::move(*revolved), {}, {}, {}, {}};
  work.result.name = part.name;
  work.result.faces = work.revolved.faces.size();
  work.result.volume_closed_mm3 = profile::swept_volume(profile::ChainView(work.chain));
  work.result.timings_ms.revolve = watch.lap();
  return work;
}

/// The kernel's integrals, compared with the closed form.
Result<Measures> measured(Work& work) {
  auto& out = work.result;
  Watch watch;
  Measures measures;
  const auto ok = guarded(work.part, [&] {
    measures = measure(work.revolved.solid);
    return check_measures(work.part, work.chain, measures);
  });
  if (!ok) return tl::unexpected(ok.error());
  out.volume_brep_mm3 = measures.volume_mm3;
  out.area_mm2 = measures.area_mm2;
  out.centroid_z_mm = measures.centroid.Z();
  out.timings_ms.properties = watch.lap();
  return measures;
}

/// Soundness and mesh.
Result<void> check_and_mesh(Work& work, const FileOptions& options, Files& files) {
  auto& ms = work.result.timings_ms;
  Watch watch;
  if (auto ok = check(work.part, work.revolved); !ok) return ok;
  ms.check = watch.lap();
  auto mesh = tessellate(work.part, work.revolved, options.mesh_deflection_mm);
  if (!mesh) return tl::unexpected(mesh.error());
  work.mesh = std::move(*mesh);
  ms.mesh = watch.lap();
  if (!work.part.stl_path.empty())
    if (auto ok = files.write(work.part.stl_path,
                              [&](std::FILE* file) { return write_stl(file, work.mesh, work.part.name); });
        !ok)
      return ok;
  ms.stl = watch.lap();
  for (const bool coarse : {false, true}) {
    const auto& path = coarse ? work.part.view_path : work.part.glb_path;
    if (path.empty()) continue;
    auto ok = files.write(path, [&](std::FILE* file) {
      return write_glb(file, work.mesh, work.part.name, work.part.chamber_faces, coarse);
    });
    if (!ok) return ok;
  }
  ms.glb = watch.lap();
  return {};
}

/// STEP file and its reading back: the kernel's STEP layer serves one caller at a time. What was read is measured
/// beside it.
Result<void> write_and_reread(Work& work, const FileOptions& options, Files& files) {
  auto& out = work.result;
  Watch watch;
  auto measures = work.measured.get_future();
  const auto text = step_text(work.part, work.revolved, options, [&] { return measures.get(); });
  if (!text) return tl::unexpected(text.error());
  if (auto ok = files.write(
          work.part.step_path,
          [&](std::FILE* file) { return std::fwrite(text->data(), 1, text->size(), file) == text->size(); });
      !ok)
    return ok;
  out.timings_ms.step_write = watch.lap();
  const auto shape = reread(work.part, work.revolved, options);
  if (!shape) return tl::unexpected(shape.error());
  work.reread_mm3 = std::async(
      std::launch::async, [&work, shape = *shape] { return volume_of_reread_mm3(work.part, work.revolved, shape); });
  out.timings_ms.step_reread = watch.lap();
  return {};
}

Result<void> compare_reread(Work& work) {
  const auto volume = work.reread_mm3.get();
  if (!volume) return tl::unexpected(volume.error());
  work.result.volume_reread_mm3 = *volume;
  return agree(work.part, "volume of the STEP file, read back,", *volume, work.result.volume_closed_mm3, "mm3",
               tolerance::exact_relative);
}

/// Both mesh figures against the closed form.
Result<void> compare_mesh(Work& work) {
  auto& out = work.result;
  const auto& mesh = work.mesh;
  out.volume_mesh_mm3 = mesh.extrapolated_mm3;
  out.mesh_bound_mm3 = mesh.extrapolated_bound_mm3;
  out.coarse_mesh_mm3 = mesh.coarse_volume_mm3;
  out.fine_mesh_mm3 = mesh.fine_volume_mm3;
  out.coarse_deflection_mm = mesh.coarse_deflection_mm;
  out.fine_deflection_mm = mesh.fine_deflection_mm;
  out.stl_bound_mm3 = mesh.fine_bound_mm3 + stl_rounding_mm3(mesh, out.area_mm2);
  out.triangles = mesh.fine.size();
  const double closed = out.volume_closed_mm3;
  if (std::abs(out.volume_mesh_mm3 - closed) > out.mesh_bound_mm3 ||
      std::abs(out.fine_mesh_mm3 - closed) > out.stl_bound_mm3)
    return fail(
        fmt::format("{}: the mesh volumes {:.6f} and {:.6f} mm3 miss {:.6f} mm3 by more than their bounds {:.2g} and "
                    "{:.2g} mm3.",
                    work.part.name, out.volume_mesh_mm3, out.fine_mesh_mm3, closed, out.mesh_bound_mm3,
                    out.stl_bound_mm3),
        "report this with the specification that led to it.");
  return agree(work.part, "mesh's volume", out.volume_mesh_mm3, closed, "mm3", tolerance::mesh_relative);
}

/// One step over all parts, up to the first failure.
template <class Step>
Result<void> each(std::vector<Work>& works, const Step& step) {
  for (auto& work : works)
    if (auto ok = guarded(work.part, [&] { return step(work); }); !ok) return ok;
  return {};
}

/// All that only reads the solids, and so may run beside the STEP layer: first the integrals, which that waits for.
Result<void> read_solids(std::vector<Work>& works, const FileOptions& options, Files& files) {
  for (auto& work : works) {
    try {
      work.measured.set_value(measured(work));
    } catch (...) {
      work.measured.set_exception(std::current_exception());
    }
  }
  return each(works, [&](Work& work) { return check_and_mesh(work, options, files); });
}

} // namespace

Result<std::vector<PartResult>> make(const std::vector<Part>& parts, const FileOptions& options) {
  if (auto ok = check_texts(parts, options); !ok) return tl::unexpected(ok.error());
  const Silence silence;
  std::vector<Work> works;
  for (const auto& part : parts) {
    const auto ok = guarded(part, [&]() -> Result<void> {
      auto work = begin(part);
      if (!work) return tl::unexpected(work.error());
      works.push_back(std::move(*work));
      return {};
    });
    if (!ok) return tl::unexpected(ok.error());
  }
  Files mesh_files, step_files;
  auto beside = std::async(std::launch::async, [&] { return read_solids(works, options, mesh_files); });
  const auto written = each(works, [&](Work& work) { return write_and_reread(work, options, step_files); });
  // An unsound solid explains whatever else went wrong with it.
  if (const auto sound = beside.get(); !sound) return tl::unexpected(sound.error());
  if (!written) return tl::unexpected(written.error());
  if (const auto ok = each(works, compare_reread); !ok) return tl::unexpected(ok.error());
  if (const auto ok = each(works, compare_mesh); !ok) return tl::unexpected(ok.error());
  mesh_files.keep();
  step_files.keep();
  std::vector<PartResult> results;
  for (auto& work : works) results.push_back(std::move(work.result));
  return results;
}

} // namespace chamber::solid
